"""Posterior intervals against the feet of ANSUR II.

The 2012 Anthropometric Survey of U.S. Army Personnel, NATICK/TR-15/007 (Gordon and others 2014),
public release, developers' half.

Each surveyed foot is read on a simulated gauge with MODEL 2's errors and rounding. The survey has one
foot of each person: the other is drawn given it, left and right differing as MODEL 1 says.
"""

from __future__ import annotations

import csv

import numpy as np
import pytest

from heelball.foot.posterior import feet_posterior
from heelball.foot.vector import MEASURES
from heelball.package_data import foot_moments
from tests.fittings import gauge_readings
from tests.requirements import shared

pytestmark = pytest.mark.published

#: Ninety per cent of a normal lies within this many sds.
NINETY = 1.6448536269514722

#: Left-right sd in the order length, ball, breadth, girth, heel (MODEL 1).
APART = np.array([3.2, 2.5, 2.0, 4.0, 2.0])

#: The gauge's offset, technique and noise for length, ball, breadth (MODEL 2).
OFFSET, TECHNIQUE, NOISE = np.array([1.0, 3.0, 1.0]), np.array([0.7, 1.5, 0.7]), 1.5

DRAWS = 10


def surveyed(sex: str) -> np.ndarray:
    """Return the surveyed right feet of a sex, shape (n, 5) [mm]."""
    columns = ("foot_length", "ball_length", "foot_breadth", "ball_circumference", "heel_breadth")
    with shared("data", "ansur2_feet_build.csv").open(encoding="utf-8") as lines:
        rows = [row for row in csv.DictReader(lines) if row["sex"] == {"men": "M", "women": "F"}[sex]]
    return np.array([[float(row[column]) for column in columns] for row in rows])


def other_feet(right: np.ndarray, sex: str, generator: np.random.Generator) -> np.ndarray:
    """Draw the other foot of each person given this one: Cov(left, right) = S - D/2."""
    survey = foot_moments()["populations"][sex]
    mean, cov = np.array(survey["mean"]), np.array(survey["cov"])
    sd = np.sqrt(np.diag(cov))
    between = cov - np.outer(APART, APART) * cov / np.outer(sd, sd) / 2
    back = between @ np.linalg.inv(cov)
    rest = np.linalg.cholesky(cov - back @ between)
    other: np.ndarray = mean + (right - mean) @ back.T + generator.standard_normal(right.shape) @ rest.T
    return other


def coverage(sex: str, seed: int) -> np.ndarray:
    """Return the share of true measures in their 90 % interval, both feet pooled, shape (5,)."""
    generator = np.random.default_rng(seed)
    right = surveyed(sex)
    inside, count = np.zeros(5), 0
    for _ in range(DRAWS):
        left = other_feet(right, sex, generator)
        for pair in np.stack([left, right], axis=1):
            rows = gauge_readings(
                pair,
                generator.normal(0, OFFSET),
                generator.normal(0, TECHNIQUE),
                generator.normal(0, NOISE, (2, 3)),
                sex,
            )
            known = feet_posterior(rows, (), sex)  # type: ignore[arg-type]
            state = known.components[0].state
            mean, sd = state.mean[:10].reshape(2, 5), np.sqrt(np.diag(state.cov)[:10]).reshape(2, 5)
            inside += (np.abs(pair - mean) <= NINETY * sd).sum(axis=0)
            count += 2
    return inside / count


def shown(sex: str, found: np.ndarray) -> str:
    return f"{sex}: " + ", ".join(f"{m} {100 * c:.1f} %" for m, c in zip(MEASURES, found, strict=True))


@pytest.mark.parametrize("sex", ["men", "women"])
def test_ninety_per_cent_intervals_cover_the_surveyed_feet(sex):
    # All feet, not a tenth: it takes seconds, and a tenth strays by 1 % from sampling alone.
    found = coverage(sex, seed=2014)
    # Shown by pytest -rP: the figure is wanted also where it passes.
    print(shown(sex, found))  # noqa: T201
    assert (found >= 0.88).all(), shown(sex, found)
    assert (found <= 0.92).all(), shown(sex, found)


def test_intervals_are_no_wider_than_the_readings_allow():
    # Coverage alone would pass with the right width by luck of a wide prior: read feet are known far
    # better than the survey's sd (13, 10, 5 mm), MODEL 10: length 1.6, ball 1.5, breadth 1.1 aside c, t.
    generator = np.random.default_rng(3)
    pair = surveyed("men")[[0, 0]]
    rows = gauge_readings(pair, np.zeros(3), np.zeros(3), generator.normal(0, 1.5, (2, 3)), "men")
    known = feet_posterior(rows, (), "men")
    wanted = {
        "length": (1.5, 2.3),
        "ball": (2.0, 4.0),
        "breadth": (1.2, 2.2),
        "girth": (6, 7.5),
        "heel": (3.8, 5),
    }
    for measure, (low, high) in wanted.items():
        found = known.measure("left", measure)  # type: ignore[arg-type]
        assert found is not None
        assert low < found[1] < high, (measure, found)
