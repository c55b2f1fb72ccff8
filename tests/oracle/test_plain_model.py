"""Feet and margins against MODEL 1 to 4 written a second time, as one matrix and as a simulation."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from heelball.foot.posterior import feet_posterior
from heelball.foot.vector import FEET, MEASURES
from heelball.last.values import Advice, Label, MeasuredPair
from tests.fit.judging import label_margins
from tests.fittings import gauge, last, mm, wearer
from tests.oracle import plain_model as plain

pytestmark = pytest.mark.oracle

HALF = plain.SIZE / 2

#: Readings of one man and, beside them, what MODEL 2 makes of each: foot, measure, value, step.
ROWS = (
    gauge("left", "length", "10"),
    gauge("left", "ball", "10 1/2"),
    gauge("left", "breadth", "C 3/4", line="10 1/2"),
    gauge("right", "length", "10 1/2"),
    gauge("right", "length", "10 1/2"),
    gauge("right", "ball", "11"),
)
SEEN = [
    (0, plain.LENGTH, 32 * plain.SIZE, HALF),
    (0, plain.BALL, 0.741 * 32.5 * plain.SIZE, 0.741 * HALF),
    (0, plain.BREADTH, 69.85 + 3.175 * 10.5 - 4.7625 / 4, 4.7625 / 4),
    (1, plain.LENGTH, 32.5 * plain.SIZE, HALF),
    (1, plain.LENGTH, 32.5 * plain.SIZE, HALF),
    (1, plain.BALL, 0.741 * 33 * plain.SIZE, 0.741 * HALF),
]
OTHER = (
    mm("left", "girth", 255, "tape"),
    mm("right", "girth", 257, "tape"),
    mm("right", "length", 276, "scan"),
)

PAIR = MeasuredPair(Fraction(10), "C", inside_length=291.0, flex_line=204.0, ball_girth=249.0)


def read_joint() -> tuple[plain.Joint, dict[str, float]]:
    joint, seen = plain.Joint(), {}
    plain.feet(joint, "men")
    for i, (foot, what, value, step) in enumerate(SEEN):
        plain.gauge_reading(joint, f"y{i}", foot, what, step)
        seen[f"y{i}"] = value
    plain.other_reading(joint, "g0", 0, plain.GIRTH, "tape", 2.5, 1.0)
    plain.other_reading(joint, "g1", 1, plain.GIRTH, "tape", 2.5, 1.0)
    plain.other_reading(joint, "l1", 1, plain.LENGTH, "scan", 1.0, 1.0)
    return joint, seen | {"g0": 255.0, "g1": 257.0, "l1": 276.0}


def margin_joint(label: Label, advice: float | None, basis: str, pair: bool, toe: tuple[float, float]):
    """Return the joint of feet, readings, run and evidence, what was seen, and the margins' names."""
    joint, seen = read_joint()
    plain.run(joint, grades=pair)
    in_frame = advice is not None
    if advice is not None:
        joint.new("rounded", 0.15 if basis == "ball" else 0.25)
        joint.define("advice", 0.0, (1.0, "s"), (1.0, "rounded"))
        seen["advice"] = -advice
    if pair:
        # The pair is a 10 C: 32 sizes of foot, one letter under the average; the only label named.
        built = plain.built_for(32 * plain.SIZE, -1, "men")
        for kind, place, value, sd in (
            ("line", 0, 204.0, 2.0),
            ("stick", 1, 291.0, 1.5),
            ("tape", 3, 249.0, 2.5),
        ):
            plain.true_run(joint, f"pair {kind}", place, 0.0, -1, in_frame=in_frame)
            joint.new(f"measuring {kind}", sd)
            joint.define(f"seen {kind}", built[place], (1, f"pair {kind}"), (1, f"measuring {kind}"))
            seen[f"seen {kind}"] = value
    size, n = float(label.size), {"C": -1, "D": 0, "EE": 2}[label.width or "D"]
    for place in range(5):
        plain.true_run(joint, f"run{place}", place, size - 10, n, in_frame=in_frame)
    names = plain.margins(joint, plain.built_for((22 + size) * plain.SIZE, n, "men"), *toe)
    return joint, seen, names


LASTS = [
    (None, "ball", False, "round", (0.0, 0.0)),
    (-0.5, "ball", False, "pointed", (12.0, 3.0)),
    (0.5, "length", False, "round", (0.0, 0.0)),
    (None, "ball", True, "almond", (5.0, 3.0)),
    (-0.5, "ball", True, "round", (0.0, 0.0)),
]
LABELS = [Label(Fraction(10), "C"), Label(Fraction(23, 2), "EE")]


def test_the_feet_given_readings_of_many_kinds():
    joint, seen = read_joint()
    names = [f"foot{foot}.{i}" for foot in range(2) for i in range(5)] + [
        f"c{plain.BALL}",
        f"c{plain.LENGTH}",
        f"c{plain.BREADTH}",
    ]
    mean, cov = joint.given(names, seen)
    state = feet_posterior((*ROWS, *OTHER), (), "men").components[0].state
    assert state.mean[:13] == pytest.approx(mean, abs=1e-6)
    assert state.cov[:13, :13] == pytest.approx(cov, abs=1e-6)
    assert [*FEET, *MEASURES] == ["left", "right", "length", "ball", "breadth", "girth", "heel"]


def ours(label: Label, advice: float | None, basis: str, pair: bool, toe: str):
    told = () if advice is None else (Advice(basis, Fraction(advice)),)  # type: ignore[arg-type]
    what = last(labels=(label,), advice=told, measured=(PAIR,) if pair else (), toe=toe)
    return label_margins(wearer(*ROWS, *OTHER), what)


@pytest.mark.parametrize("label", LABELS, ids=["10 C", "11 1/2 EE"])
@pytest.mark.parametrize(("advice", "basis", "pair", "toe", "taken"), LASTS)
def test_margins_given_readings_advice_and_a_measured_pair(label, advice, basis, pair, toe, taken):
    joint, seen, names = margin_joint(label, advice, basis, pair, taken)
    mean, cov = joint.given(names, seen)
    found, found_cov = ours(label, advice, basis, pair, toe)
    assert found == pytest.approx(mean, abs=1e-6)
    assert found_cov == pytest.approx(cov, abs=1e-6)


@pytest.mark.parametrize("label", LABELS, ids=["10 C", "11 1/2 EE"])
@pytest.mark.parametrize(("advice", "basis", "pair", "toe", "taken"), LASTS)
def test_margins_against_plain_simulation(label, advice, basis, pair, toe, taken, generator):
    # Whole worlds are drawn, feet, gauge, fitter, boot and all that was read; among normal numbers
    # the mean of a margin given what was seen is its regression on it, its sd what the regression leaves.
    joint, seen, names = margin_joint(label, advice, basis, pair, taken)
    count = 40_000
    worlds = joint.simulate(generator, [*names, *seen], count)
    margin, read = worlds[:, :10], worlds[:, 10:]
    design = np.column_stack([np.ones(count), read - np.array(list(seen.values()))])
    fitted, *_ = np.linalg.lstsq(design, margin, rcond=None)
    left = margin - design @ fitted
    sd = left.std(axis=0)
    # Standard error of the mean at what was seen, from the regression itself.
    error = sd * np.sqrt(np.linalg.inv(design.T @ design)[0, 0])
    found, found_cov = ours(label, advice, basis, pair, toe)
    assert np.abs(found - fitted[0]) == pytest.approx(np.zeros(10), abs=float(4.5 * error.max()))
    assert np.sqrt(np.diag(found_cov)) == pytest.approx(sd, rel=0.02)
