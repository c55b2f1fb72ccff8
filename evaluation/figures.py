"""Means of what was simulated, with their standard errors over people."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
from attrs import frozen

from evaluation.questions import Ordered

#: Ends of the bins in which stated chances are held against what came true.
_BINS = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)


@frozen
class Figure:
    """A mean, its standard error, and how many people it is over; mean and error NaN over nobody."""

    mean: float
    error: float
    people: int

    def __str__(self) -> str:
        return f"{self.mean:.3f} ± {self.error:.3f}"


def figure(values: Iterable[float | None]) -> Figure:
    """Return the mean over people; those of whom there is nothing to say are left out."""
    known = np.array([value for value in values if value is not None], dtype=float)
    if len(known) < 2:
        return Figure(float("nan"), float("nan"), len(known))
    return Figure(float(known.mean()), float(known.std(ddof=1) / np.sqrt(len(known))), len(known))


@frozen
class Bin:
    """Orders whose stated chance lay between two ends: what was said, and what came true.

    `gap` is came true less said, with its standard error over people: one person's several orders
    share feet and taste, so they count as one draw.
    """

    low: float
    high: float
    orders: int
    said: float
    came_true: float
    gap: Figure


def bins(people: Sequence[Sequence[Ordered]]) -> tuple[Bin, ...]:
    """Return how often the stated chances came true, bin by bin, the last row over all.

    Parameters
    ----------
    people
        The orders of each person; those of which no outcome was drawn are left out.
    """
    ends = [*pairwise(_BINS), (_BINS[0], _BINS[-1])]
    return tuple(found for low, high in ends if (found := _bin(people, low, high)) is not None)


def _bin(people: Sequence[Sequence[Ordered]], low: float, high: float) -> Bin | None:
    said, true, gaps = [], [], []
    for orders in people:
        inside = [
            (one.chance, one.came_true)
            for one in orders
            if one.came_true is not None and (low <= one.chance < high or one.chance == high == 1.0)
        ]
        said += [chance for chance, _ in inside]
        true += [came for _, came in inside]
        if inside:
            gaps.append(sum(came - chance for chance, came in inside))
    if not said:
        return None
    error = float(np.sqrt(np.square(gaps).sum()) / len(said))
    gap = Figure(float(np.mean(true) - np.mean(said)), error, len(gaps))
    return Bin(low, high, len(said), float(np.mean(said)), float(np.mean(true)), gap)
