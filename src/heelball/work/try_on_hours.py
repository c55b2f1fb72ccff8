"""Hours a pair was worn grow with the days: where two reports say otherwise, one is dated wrongly."""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort
from datetime import date as Date
from math import inf
from typing import TypeAlias

#: A report of a pair: the day, the hours worn by then, and the line that tells them.
Worn: TypeAlias = tuple[Date, float, int]


class HoursWorn:
    """The hours that reports of each pair told, in the order of their days."""

    def __init__(self) -> None:
        self._told: dict[int, tuple[Worn, ...] | list[Worn]] = {}

    def against(self, pair: int, day: Date, hours: float) -> Worn | None:
        """Return an earlier report of more hours, or a later one of fewer; None where all agree.

        Parameters
        ----------
        pair
            A number that stands for it.
        day, hours
            Of the report that is held against the others; hours worn by then.
        """
        told = self._told.get(pair, ())
        before = bisect_left(told, (day, -inf, 0)) - 1
        if before >= 0 and told[before][1] > hours:
            return told[before]
        after = bisect_right(told, (day, inf, 0))
        if after < len(told) and told[after][1] < hours:
            return told[after]
        return None

    def add(self, pair: int, day: Date, hours: float, line: int) -> None:
        """Take in a report that nothing speaks against."""
        told = self._told.get(pair)
        if told is None:
            # Most pairs are told of once: a tuple of plain values costs the least.
            self._told[pair] = ((day, hours, line),)
        elif (day, hours) not in (told[0][:2], told[-1][:2]):
            if not isinstance(told, list):
                told = self._told[pair] = list(told)
            insort(told, (day, hours, line))
