"""Readings that few feet have: queried, never refused (fit-facts F06, F07, F13, A08)."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import fmean
from typing import Literal

from attrs import frozen

from heelball.foot.evidence import observe_all
from heelball.foot.reading import Reading
from heelball.foot.vector import FEET, Foot, Measure, Population
from heelball.package_data import defaults

_RATIOS: tuple[tuple[Measure, Measure], ...] = (
    ("ball", "length"),
    ("breadth", "length"),
    ("girth", "length"),
    ("girth", "breadth"),
)


_LEFT_RIGHT: tuple[Measure, ...] = ("length", "girth")


@frozen
class Rarity:
    """Something read that few feet have.

    ``ratio``: `what` over `other` of one foot is `value`, outside `low` to `high`.
    ``left-right``: `what` differs by `value` mm between the feet, above `high`.
    """

    kind: Literal["ratio", "left-right"]
    what: Measure
    value: float
    low: float
    high: float
    foot: Foot | None = None
    other: Measure | None = None


def read_means(readings: Sequence[Reading], population: Population) -> dict[tuple[Foot, Measure], float]:
    """Return the mean of what was read of each measure, corrected to standing [mm]."""
    read: dict[tuple[Foot, Measure], list[float]] = {}
    for one in observe_all(readings, population):
        read.setdefault((one.foot, one.measure), []).append(one.value)
    return {key: fmean(values) for key, values in read.items()}


def rarities(readings: Sequence[Reading], population: Population) -> tuple[Rarity, ...]:
    """Return what lies outside the gates: ratios of a foot, and left against right."""
    gates = defaults()["gates"]
    means = read_means(readings, population)
    found = []
    for foot in FEET:
        for what, other in _RATIOS:
            if (foot, what) in means and (foot, other) in means:
                ratio = means[foot, what] / means[foot, other]
                low, high = gates[f"{what}_over_{other}"]
                if not low <= ratio <= high:
                    found.append(Rarity("ratio", what, ratio, low, high, foot, other))
    for what in _LEFT_RIGHT:
        if all((foot, what) in means for foot in FEET):
            apart = abs(means["left", what] - means["right", what])
            limit = gates[f"left_right_{what}"]
            if apart > limit:
                found.append(Rarity("left-right", what, apart, 0.0, limit))
    return tuple(found)
