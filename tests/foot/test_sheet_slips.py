"""Readings of sheets beside the gauge's: weighed by their own covariance, and asked about sheet by sheet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, cast

import numpy as np
import pytest
from attrs import evolve

from heelball.foot import slips
from heelball.foot.evidence import log_evidences, state_index
from heelball.foot.posterior import feet_posterior
from heelball.foot.prior import OFFSETS, STATE_SIZE, feet_prior
from heelball.foot.reading import Reading
from heelball.foot.slips import likely_slips
from heelball.foot.vector import FEET, MEASURES, Measure
from heelball.package_data import defaults
from heelball.work.sheet_file import TOGETHER, sheet_readings
from tests.fittings import BARLEYCORN, ZERO_AT, gauge, gauge_readings, mm

#: A pencil on a wall with both bars measured, as `sheet read` says it [mm²].
COVARIANCE = np.array([[0.90, 0.30, 0.75], [0.30, 4.40, 0.05], [0.75, 0.05, 2.60]])


def of_sheet(foot: str, values: Sequence[float], name: str, *, load: str = "standing", cov=COVARIANCE):
    """Return the readings that the line of one sheet gives."""
    figures = dict(zip(TOGETHER, values, strict=True))
    record: dict[str, Any] = {
        "foot": foot,
        "load": load,
        "foot_mm": {
            what: {"mean_mm": value, "sd_mm": float(cov[i, i] ** 0.5)}
            for i, (what, value) in enumerate(figures.items())
        },
        "covariance": cov.tolist(),
    }
    problems: list[Any] = []
    readings = sheet_readings(record, name, problems)
    assert problems == []
    return tuple(readings)


#: A man whose left foot is 8 mm shorter, narrower too, by the gauge.
APART = (
    gauge("left", "length", "9"), gauge("left", "ball", "9"), gauge("left", "breadth", "C", line="9"),
    gauge("right", "length", "10"), gauge("right", "ball", "10"), gauge("right", "breadth", "E", line="10"),
)  # fmt: skip
SHORTER, LONGER = (262.5, 194.5, 98.0), (271.0, 200.8, 106.5)


def test_two_sheets_beside_the_gauge_are_one_normal_state():
    """The posterior and the evidence are those of the model written out in full."""
    cov = COVARIANCE * 3.0
    readings = (
        gauge("left", "length", "9 1/2", fitter="one"),
        gauge("right", "length", "10", fitter="one"),
        gauge("right", "length", "10", fitter="two"),
        *of_sheet("left", (266.0, 197.0, 101.0), "first"),
        *of_sheet("right", (274.0, 203.0, 104.0), "second", cov=cov),
        mm("right", "ball", 202.0),
    )
    numbers = defaults()
    value = np.array([ZERO_AT["men"] + size * BARLEYCORN for size in (9.5, 10.0, 10.0)])
    value = np.concatenate([value, [266.0, 197.0, 101.0, 274.0, 203.0, 104.0, 202.0]])
    design = np.zeros((10, STATE_SIZE))
    for i, one in enumerate(readings):
        design[i, state_index(one.foot, cast("Measure", one.what))] = 1
    design[:3, 2 * len(MEASURES) + OFFSETS.index("length")] = 1
    noise = np.zeros((10, 10))
    # The gauge: its own noise and half a size's rounding; the first fitter's technique in two of them.
    noise[:3, :3] = np.eye(3) * (numbers["method"]["noise_sd"]["gauge"] ** 2 + BARLEYCORN**2 / 4 / 12)
    technique = numbers["gauge"]["technique_sd"]["length"] ** 2
    noise[:2, :2] += technique
    noise[2, 2] += technique
    # Sheets: each its own covariance, and the method's bias of a measure in both.
    noise[3:6, 3:6], noise[6:9, 6:9] = COVARIANCE, cov
    bias = numbers["method"]["bias_sd"] ** 2
    noise[3:9, 3:9] += bias * np.kron(np.ones((2, 2)), np.eye(3))
    noise[9, 9] = numbers["method"]["noise_sd"]["ruler"] ** 2 + 1 / 12 + bias

    prior = feet_prior("men")
    spread = design @ prior.cov @ design.T + noise
    gain = np.linalg.solve(spread, design @ prior.cov).T
    apart = value - design @ prior.mean
    state = feet_posterior(readings, (), "men").components[0].state
    np.testing.assert_allclose(state.mean[:STATE_SIZE], prior.mean + gain @ apart, atol=1e-7)
    np.testing.assert_allclose(
        state.cov[:STATE_SIZE, :STATE_SIZE], prior.cov - gain @ design @ prior.cov, atol=1e-7
    )
    density = -0.5 * (
        apart @ np.linalg.solve(spread, apart) + np.linalg.slogdet(spread)[1] + 10 * np.log(2 * np.pi)
    )
    assert log_evidences([readings], "men")[0] == pytest.approx(density, abs=1e-7)


def test_left_and_right_sheets_exchanged_are_asked_about_as_whole_sheets():
    sheets = (*of_sheet("left", LONGER, "first"), *of_sheet("right", SHORTER, "second"))
    found = [one for one in likely_slips((*APART, *sheets), "men") if one.kind == "left-for-right"]
    whole = next(one for one in found if len(one.readings) == 6)
    assert whole.readings == tuple(range(6, 12))
    assert whole == max(found, key=lambda one: one.odds)
    assert whole.odds > 20
    # What each drawing errs by goes with it.
    assert whole.meant == tuple(evolve(one, foot="right" if one.foot == "left" else "left") for one in sheets)


def test_sheets_of_two_sittings_are_not_exchanged():
    sheets = [
        *(evolve(one, sitting="spring") for one in of_sheet("left", LONGER, "first")),
        *(evolve(one, sitting="autumn") for one in of_sheet("right", SHORTER, "second")),
    ]
    found = [one for one in likely_slips((*APART, *sheets), "men") if one.kind == "left-for-right"]
    assert all(one.readings[-1] < 6 for one in found)


def test_a_seated_sheet_is_asked_about_whole_with_the_odds_of_its_full_covariance():
    """Three sheets of one foot, one told to be standing and drawn seated: 1.5 % shorter, 4 % narrower."""
    sure = COVARIANCE / 9
    standing = [(272.0, 201.0, 106.0), (271.8, 201.3, 105.8), (272.2, 200.7, 106.2)]
    factor = [defaults()["load"]["seated"][what][0] for what in ("length", "length", "breadth")]
    sat = tuple(float(v / f) for v, f in zip(standing[0], factor, strict=True))
    readings = tuple(
        one
        for i, values in enumerate([*standing, sat])
        for one in of_sheet("left", values, f"sheet {i}", cov=sure)
    )
    (found,) = [one for one in likely_slips(readings, "men") if one.kind == "seated"]
    assert found.readings == (9, 10, 11)
    assert {one.load for one in found.meant} == {"seated"}

    meant = (*readings[:9], *(evolve(one, load="seated") for one in readings[9:]))
    before, after = (log_density_of(case, sure) for case in (readings, meant))
    assert found.odds == pytest.approx(defaults()["slips"]["odds"] * np.exp(after - before), rel=1e-6)


def log_density_of(readings: Sequence[Reading], cov: np.ndarray) -> float:
    """Return the evidence of sheets of one left foot, written out: prior, sheets, bias, seated factors."""
    prior, numbers = feet_prior("men"), defaults()
    count = len(readings)
    design = np.zeros((count, STATE_SIZE))
    value, loose = np.zeros(count), np.zeros((count, 3))
    for i, one in enumerate(readings):
        design[i, state_index(one.foot, cast("Measure", one.what))] = 1
        value[i] = float(one.value)
        if one.load == "seated":
            factor, sd = numbers["load"]["seated"]["breadth" if one.what == "breadth" else "length"]
            loose[i, TOGETHER.index(one.what)] = sd * value[i]
            value[i] *= factor
    noise = np.kron(np.eye(count // 3), cov)
    noise += numbers["method"]["bias_sd"] ** 2 * np.kron(np.ones((count // 3, count // 3)), np.eye(3))
    noise += loose @ loose.T
    spread = design @ prior.cov @ design.T + noise
    apart = value - design @ prior.mean
    return float(-0.5 * (apart @ np.linalg.solve(spread, apart) + np.linalg.slogdet(spread)[1]))


def test_no_slip_of_the_pen_is_asked_about_within_a_sheet():
    """A machine read it: no digits are exchanged in it, nor is its length its heel-to-ball."""
    readings = (*of_sheet("left", (217.0, 271.0, 101.0), "first"), mm("left", "length", 271.0))
    found = likely_slips(readings, "men")
    assert found
    assert all(
        one.kind == "seated" and {0, 1, 2} <= {*one.readings} for one in found if min(one.readings) < 3
    )
    typed = [evolve(one, shared_errors=(), sd_mm=None) for one in readings]
    assert {(0,), (0, 1)} <= {one.readings for one in likely_slips(typed, "men")}


def drawn_wearers(generator: np.random.Generator, count: int, *, beside_gauge: bool):
    """Yield sound readings of both feet's sheets, of men drawn from the prior."""
    prior = feet_prior("men")
    root = np.linalg.cholesky(prior.cov + 1e-9 * np.eye(len(prior.mean)))
    hand = np.linalg.cholesky(COVARIANCE)
    for _ in range(count):
        state = prior.mean + root @ generator.standard_normal(len(prior.mean))
        feet = state[: 2 * len(MEASURES)].reshape(2, -1)
        bias = generator.standard_normal(3)
        rows = [
            one
            for i, foot in enumerate(FEET)
            for one in of_sheet(
                foot, np.round(feet[i, :3] + bias + hand @ generator.standard_normal(3), 1).tolist(), foot
            )
        ]
        if beside_gauge:
            offsets = np.array(
                [state[2 * len(MEASURES) + OFFSETS.index(what)] for what in ("length", "ball", "breadth")]
            )
            noise = defaults()["method"]["noise_sd"]["gauge"] * generator.standard_normal((2, 3))
            technique = generator.normal(0, (0.7, 1.5, 0.7))
            rows = [*gauge_readings(feet, offsets, technique, noise, "men"), *rows]
        yield tuple(rows)


@pytest.mark.parametrize("beside_gauge", [False, True])
def test_sound_sheets_raise_few_false_alarms(generator, beside_gauge):
    alarms = sum(
        bool(likely_slips(rows, "men")) for rows in drawn_wearers(generator, 150, beside_gauge=beside_gauge)
    )
    assert alarms <= 3, f"of 150 wearers {alarms} had a slip named"


def test_sheets_exchanged_are_mostly_found_beside_the_gauge_where_the_feet_differ(generator):
    found = tried = 0
    for rows in drawn_wearers(generator, 300, beside_gauge=True):
        if abs(float(rows[6].value) - float(rows[9].value)) < 6.5:
            continue
        wrong = (
            *rows[:6],
            *(evolve(one, foot="right" if one.foot == "left" else "left") for one in rows[6:]),
        )
        tried += 1
        found += any(one.kind == "left-for-right" for one in likely_slips(wrong, "men"))
    assert tried >= 10
    assert found >= 0.8 * tried, f"found {found} of {tried}"


def test_a_sheet_adds_few_hypotheses_to_weigh():
    """Each costs a covariance of all readings: two sheets are one exchange and three seated."""
    sheets = (*of_sheet("left", SHORTER, "first"), *of_sheet("right", LONGER, "second"))
    assert sum(1 for _ in slips._hypotheses(sheets)) == 4
