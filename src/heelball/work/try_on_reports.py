"""Reports as rows told them, in columns: a million rows make no million small objects."""

from __future__ import annotations

from array import array
from collections.abc import Iterator, Mapping, Sequence
from datetime import date as Date
from functools import lru_cache
from typing import Final

from heelball.fit.wearer import Place, Verdict
from heelball.foot.vector import FEET, Foot
from heelball.learn.try_on import TryOn
from heelball.work.try_on_cells import Boot, State, Words

#: More days than there are dates; 0 stands for none told.
_DAYS: Final = Date.max.toordinal() + 1

#: More wearers than two to this there are not.
_WEARERS: Final = 40


class Reports:
    """What was told so far, by wearer, label, day and foot."""

    def __init__(self) -> None:
        self._wearers: dict[str, int] = {}
        self._boots: dict[Boot, int] = {}
        self._position: dict[int, int] = {}
        # Of each report its left foot, then its right; line 0 is a foot that was not told.
        self._lines = array("q")
        self._states: list[State | None] = []
        self._words: list[Words] = []

    def number(self, wearer: str, boot: Boot, day: Date | None) -> int:
        """Return a number that stands for a wearer, a label and a day together."""
        whose = self._wearers.setdefault(wearer, len(self._wearers))
        which = self._boots.setdefault(boot, len(self._boots))
        return ((which << _WEARERS) + whose) * _DAYS + (0 if day is None else day.toordinal())

    def line(self, report: int, foot: int) -> int:
        """Return the line that told of a foot, 0 for none."""
        at = self._position.get(report)
        return 0 if at is None else self._lines[at + foot]

    def add(self, report: int, feet: Sequence[int], line: int, state: State, words: Words) -> None:
        """Take in what a line told of feet that were not told of before."""
        at = self._position.get(report)
        if at is None:
            at = self._position[report] = len(self._lines)
            self._lines.extend((0, 0))
            self._states += (None, None)
            self._words += ((), ())
        for foot in feet:
            self._lines[at + foot] = line
            self._states[at + foot] = state
            self._words[at + foot] = words

    def try_ons(self, name: str) -> Iterator[TryOn]:
        """Yield the try-ons of a file of some name, in the order of their reports' first rows.

        Both feet told in one state are one try-on; a foot told in another state is one of its own.
        """
        wearers, boots = tuple(self._wearers), tuple(self._boots)
        for key, at in self._position.items():
            who, day = divmod(key, _DAYS)
            boot = boots[who >> _WEARERS]
            told_on = Date.fromordinal(day) if day else None
            for state, line, left, right in self._told(at):
                yield TryOn(
                    wearers[who % (1 << _WEARERS)], boot.last, boot.label, _verdicts(left, right), state.sock,
                    state.swelling, state.insole, state.hours, told_on, f"{name}, line {line}",
                )  # fmt: skip

    def _told(self, at: int) -> Iterator[tuple[State, int, Words, Words]]:
        """Yield each state of a report with its first line and the words of both feet."""
        (left, right), (first, second) = self._states[at : at + 2], self._lines[at : at + 2]
        words = self._words[at : at + 2]
        if left is not None and left == right:
            yield left, min(first, second), words[0], words[1]
            return
        if left is not None:
            yield left, first, words[0], ()
        if right is not None:
            yield right, second, (), words[1]


@lru_cache(65536)
def _verdicts(left: Words, right: Words) -> Mapping[tuple[Foot, Place], Verdict]:
    """Return the words of both feet; the same words are the same mapping, for memory's sake."""
    return {
        (foot, place): word for foot, words in zip(FEET, (left, right), strict=True) for place, word in words
    }
