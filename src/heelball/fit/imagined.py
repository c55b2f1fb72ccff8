"""Readings that could be taken next, as the model would see them (MODEL 6)."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date as Date
from typing import Final

import numpy as np
from attrs import frozen

from heelball.fit.margins import MEASURE_AT
from heelball.foot.evidence import Observation, Shared, noise_sd, observe, state_index
from heelball.foot.marks import ball_ratio, home_gauge
from heelball.foot.posterior import Component
from heelball.foot.prior import STATE_SIZE
from heelball.foot.reading import Method, Reading
from heelball.foot.vector import FEET, MEASURES, Foot, Measure
from heelball.gaussian.normal import Array, Gaussian
from heelball.scales.gauge_breadth import BREADTH_PER_LETTER

#: What a measure is read with where the wearer has no reading of it yet.
_FIRST_METHOD: Final[dict[Measure, Method]] = {
    "length": "gauge",
    "ball": "gauge",
    "breadth": "gauge",
    "girth": "tape",
    "heel": "caliper",
}


@frozen
class Candidate:
    """One reading that could be taken: of which foot and measure, and as what observation."""

    foot: Foot
    what: Measure
    observation: Observation


def candidates(readings: Sequence[Reading], population: str) -> tuple[Candidate, ...]:
    """Return the ten readings that could be taken next, standing.

    Each is like the wearer's latest of that measure (method, scale, fitter, step); where there
    is none: gauge to half a size and whole letters, tape for girth, caliper for the heel.
    """
    found = []
    for foot in FEET:
        for what in MEASURES:
            like = _latest([reading for reading in readings if reading.what == what])
            if like is None:
                observation = _first(foot, what, readings, population)
            else:
                seen = observe(like, readings, population)
                assert seen is not None
                shared = tuple(pair for pair in seen.shared if pair[0][0] not in ("load", "error"))
                # A new sheet errs as widely as the old one, but not in the same direction.
                anew = sum(weight**2 for key, weight in seen.shared if key[0] == "error")
                variance = seen.variance + anew
                observation = Observation(foot, what, seen.value, variance, seen.on_gauge, shared)
            found.append(Candidate(foot, what, observation))
    return tuple(found)


def _latest(readings: Sequence[Reading]) -> Reading | None:
    dated = sorted(enumerate(readings), key=lambda item: (item[1].date or Date.min, item[0]))
    return dated[-1][1] if dated else None


def _first(foot: Foot, what: Measure, readings: Sequence[Reading], population: str) -> Observation:
    method = _FIRST_METHOD[what]
    shared: Shared = ("bias", method, what)
    step = 1.0
    if method == "gauge":
        latest = _latest([reading for reading in readings if reading.method == "gauge"])
        shared = ("technique", (latest.fitter or "") if latest else "", what)
        gauge = home_gauge(population)
        half = float(gauge.foot_length(gauge.step) - gauge.foot_length(0 * gauge.step))
        step = {
            "length": half,
            "ball": half * float(ball_ratio(gauge, population)),
            "breadth": float(BREADTH_PER_LETTER),
        }[what]
    variance = noise_sd(method, what) ** 2 + step**2 / 12
    return Observation(foot, what, 0.0, variance, method == "gauge", ((shared, 1.0),))


def judged_rows(component: Component, size: int) -> Array:
    """Return what reads feet and offsets off a component's state, the taste added where it holds one.

    A margin less taste is a boot less this; shape (13, size).
    """
    rows = np.eye(STATE_SIZE, size)
    for foot in FEET:
        for place, measure in MEASURE_AT.items():
            column = component.columns.get(("taste", "", place))
            if column is not None:
                rows[state_index(foot, measure), column] = 1.0
    return rows


def with_candidates(component: Component, imagined: Sequence[Candidate]) -> tuple[Gaussian, Array]:
    """Return feet and offsets (13 numbers) with the imagined readings, free of noise, behind them.

    Where the component holds the wearer's taste, feet have it added.

    Returns
    -------
    tuple
        The Gaussian of 13 + K numbers, and the noise variances of the K readings, shape (K,).
    """
    wider = component.with_shared([key for one in imagined for key, _ in one.observation.shared])
    size = len(wider.state.mean)
    rows = [one.observation.row(wider.columns, size) for one in imagined]
    design = np.vstack([judged_rows(wider, size), *rows])
    return wider.state.image(design), np.array([one.observation.variance for one in imagined])
