"""All lasts ranked for one wearer, in a process of its own that keeps the lasts on their shelves.

It is asked with a wearer and answers with the names of the lasts that stand first. It keeps nothing
about any wearer.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date as Date
from datetime import datetime
from typing import Final

from attrs import frozen

from heelball.fit.choice import answer
from heelball.fit.wearer import Wearer
from heelball.learn.owned import weigh
from heelball.records.store import Records
from heelball.work.bench_process import BenchProcess
from heelball.work.lasts_on_hand import LastsOnHand, lasts_on_hand

#: Pages before rankings, where both want a processor.
_NICE: Final = 5

_POPULATIONS: Final = ("unstated", "men", "women")


@frozen
class Ranked:
    """The lasts that stand first for one wearer.

    Parameters
    ----------
    last_ids
        The rows' names, best first.
    lasts
        How many lasts were ranked.
    left_out
        Sentences: which lasts could not be ranked, and why.
    """

    last_ids: tuple[str, ...]
    lasts: int
    left_out: tuple[str, ...] = ()


@frozen
class _Asked:
    wearer: Wearer
    count: int
    today: Date


class RankingProcess(BenchProcess):
    """One process that ranks, started again where it dies.

    Parameters
    ----------
    records, clock
        See `BenchProcess`.
    """

    def __init__(self, records: Records, clock: Callable[[], datetime]) -> None:
        super().__init__(records, clock, _ranking, answers="The ranking of the lasts", nice=_NICE)

    def rank(self, wearer: Wearer, count: int, *, today: Date) -> Ranked:
        """Return the lasts that stand first for a wearer, through the wearer's day.

        Parameters
        ----------
        wearer
            Readings, day and signs.
        count
            How many lasts are wanted at most.
        today
            For the age of readings.

        Raises
        ------
        ProcessStopped
            Where neither this process nor a fresh one answers.
        """
        found: Ranked = self.ask(_Asked(wearer, count, today))
        return found


def _ranking(records: Records) -> Callable[[_Asked], Ranked]:
    """Return what ranks, with the lasts already shelved: the first to ask waits no longer for it."""
    kept = lasts_on_hand(records)
    for population in _POPULATIONS:
        for _ in kept.shelves.chunks(population):
            pass

    def rank(asked: _Asked) -> Ranked:
        nonlocal kept
        kept = lasts_on_hand(records, kept)
        return _ranked(kept, asked)

    return rank


def _ranked(kept: LastsOnHand, asked: _Asked) -> Ranked:
    feet = weigh(asked.wearer, kept.by_code, kept.known)
    found = answer(asked.wearer, kept.shelves, today=asked.today, detailed=0, listed=asked.count, feet=feet)
    codes = [choice.last.code for choice in found.choices[: asked.count]]
    return Ranked(tuple(kept.ids[code] for code in codes), len(kept.shelves), kept.left_out)
