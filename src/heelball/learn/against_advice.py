"""Lasts whose try-ons disagree with what was held of them before: their maker's word, or a measured pair."""

from __future__ import annotations

from typing import Final

import numpy as np
from attrs import frozen

from heelball.fit.wearer import PLACES, Place
from heelball.last.run import OFFSET_PLACES
from heelball.learn.runs import LastRun, Runs
from heelball.package_data import defaults

_OFFSETS: Final = len(OFFSET_PLACES)


@frozen
class Disagreement:
    """One place of one last.

    Parameters
    ----------
    last, place
        Where.
    before, learned
        How it was held to run, and how it runs by try-ons too [mm].
    sds
        How many sds of their difference lie between them.
    """

    last: str
    place: Place
    before: float
    learned: float
    sds: float


def disagreements(runs: Runs) -> tuple[Disagreement, ...]:
    """Return the places of lasts that moved as far as a contradiction of advice does, the furthest first.

    Notes
    -----
    What is learned holds what was held before, so the variance of their difference is the one's
    variance less the other's.
    """
    limit = float(defaults()["run"]["contradiction_sd"])
    found = [one for run in runs.lasts if run.pairs for one in _of(run) if one.sds > limit]
    return tuple(sorted(found, key=lambda one: (-one.sds, one.last, one.place)))


def _of(run: LastRun) -> list[Disagreement]:
    before, after = run.alone, run.belief
    moved = after.mean - before.mean
    freed = np.sqrt(np.maximum(np.diagonal(before.cov) - np.diagonal(after.cov), 1e-9))
    return [
        Disagreement(
            run.last, place, float(before.mean[i]), float(after.mean[i]), float(abs(moved[i]) / freed[i])
        )
        for i, place in enumerate(PLACES, start=_OFFSETS)
    ]
