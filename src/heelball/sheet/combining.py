"""Several photographs of one drawing: what they say together, where they agree."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Final

import numpy as np
from attrs import evolve, frozen

from heelball.package_data import defaults
from heelball.sheet.hand import FootDrawn
from heelball.sheet.values import FOOT

_WORDS: Final = dict(zip(FOOT, ("length", "heel to ball", "heel to outer ball", "breadth"), strict=True))


@frozen
class Combined:
    """What several photographs say: one foot, or None with a sentence for each contradiction."""

    foot: FootDrawn | None
    remarks: tuple[str, ...] = ()

    @property
    def agree(self) -> bool:
        """Whether the photographs are of one drawing, for all they say."""
        return self.foot is not None


def combined(readings: Sequence[FootDrawn]) -> Combined:
    """Return what photographs of one drawing say together.

    The hand drew once and the sheet was printed once: what is unsure in those is shared by all and
    stays; only what each photograph adds is averaged.

    Parameters
    ----------
    readings
        At least one, of the same drawing and told alike.
    """
    if len(readings) == 1:
        return Combined(readings[0])
    alike = _on_one_scale(readings)
    remarks = _contradictions(alike)
    if remarks:
        return Combined(None, remarks)
    # A photograph's own errors hardly go together, so that each measure is averaged by itself.
    precision = np.array([1 / np.diag(one.own_cov) for one in alike])
    weights = precision / precision.sum(axis=0)
    mean = (weights * [one.mean for one in alike]).sum(axis=0)
    own = sum((np.outer(w, w) * one.own_cov for w, one in zip(weights, alike, strict=True)), np.zeros((4, 4)))
    shared = np.mean([one.cov - one.own_cov for one in alike], axis=0)
    return Combined(FootDrawn(mean, shared + own, own, alike[0].factors))


def _on_one_scale(readings: Sequence[FootDrawn]) -> list[FootDrawn]:
    """Return the readings with the mean of their scales: where paper edges spoke, each has its own."""
    factors = np.mean([one.factors for one in readings], axis=0)
    return [evolve(one, mean=one.mean * factors / one.factors, factors=factors) for one in readings]


def _contradictions(readings: Sequence[FootDrawn]) -> tuple[str, ...]:
    allowed = defaults()["sheet"]["contradiction_sd"]
    remarks = []
    for i, what in enumerate(FOOT):
        apart = [
            (abs(one.mean[i] - other.mean[i]), one.mean[i], other.mean[i])
            for one, other in combinations(readings, 2)
            if abs(one.mean[i] - other.mean[i]) > allowed * np.sqrt(one.own_cov[i, i] + other.own_cov[i, i])
        ]
        if apart:
            _, first, second = max(apart)
            remarks.append(
                f"The photographs do not agree: {_WORDS[what]} is {first:.1f} mm in one and "
                f"{second:.1f} mm in another."
            )
    return tuple(remarks)
