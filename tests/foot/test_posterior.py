"""Both feet and the gauge's offsets given readings (MODEL 1 and 2)."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from heelball.fit.choice import describe_feet
from heelball.foot.evidence import observe
from heelball.foot.marks import mark_of
from heelball.foot.posterior import FeetPosterior, feet_posterior
from heelball.foot.prior import feet_prior
from heelball.foot.reading import GaugeMark, Reading
from heelball.foot.vector import FEET, MEASURES
from heelball.package_data import foot_moments, mean_foot
from tests.fittings import alike, gauge, mm, wearer


def known(readings, population="men", marks=()) -> FeetPosterior:
    return feet_posterior(tuple(readings), tuple(marks), population)


def of(posterior: FeetPosterior, foot="left", measure="length") -> tuple[float, float]:
    found = posterior.measure(foot, measure)
    assert found is not None
    return found


def state_sd(posterior: FeetPosterior, i: int) -> float:
    return float(np.sqrt(posterior.components[0].state.cov[i, i]))


@pytest.mark.parametrize("sex", ["men", "women"])
def test_with_no_reading_the_survey_is_all_that_is_known(sex):
    survey = foot_moments()["populations"][sex]
    for foot in FEET:
        for i, measure in enumerate(MEASURES):
            mean, sd = of(known((), sex), foot, measure)
            assert mean == pytest.approx(survey["mean"][i])
            assert sd == pytest.approx(survey["cov"][i][i] ** 0.5)


def test_left_and_right_differ_by_the_published_sd():
    cov = feet_prior("men").cov
    for i, apart in enumerate([3.2, 2.5, 2.0, 4.0, 2.0]):
        difference = np.zeros(13)
        difference[i], difference[5 + i] = 1, -1
        assert np.sqrt(difference @ cov @ difference) == pytest.approx(apart)


def test_one_length_alone_is_the_textbook_answer():
    # Prior sd sqrt(172.63) about 270.87; a ruler: bias sd 1, noise 1.5, rounding 1/sqrt(12).
    found, sd = of(known([mm("left", "length", 280)]))
    prior, noise = 172.63082302984898, 1.0 + 1.5**2 + 1 / 12
    assert found == pytest.approx(270.8726 + prior / (prior + noise) * (280 - 270.8726), abs=1e-4)
    assert sd == pytest.approx((prior * noise / (prior + noise)) ** 0.5, abs=1e-6)


def test_a_reading_of_one_foot_tells_of_the_other_and_of_other_measures():
    read = known([mm("left", "length", 290)])
    assert of(read, "right")[0] > of(known(()), "right")[0] + 10
    assert of(read, "left", "girth")[0] > of(known(()), "left", "girth")[0] + 5
    # Right differs from left by sd 3.2 at least.
    assert of(read, "right")[1] > of(read, "left")[1]


# The gauge: marks, rounding, offset, technique.


def test_a_ball_mark_denotes_the_gauges_share_of_its_length():
    # Men's 10: 32 barleycorns of foot, 270.93 mm; x 0.741 = 200.76. Women's 10: 31, x 0.739 = 193.98.
    for sex, wanted in (("men", 200.762), ("women", 193.980)):
        said = known([gauge("left", "ball", "10", sex=sex, sd_mm=0.001)], sex)
        assert said.in_gauge_frame("left", "ball") == pytest.approx(wanted, abs=3.3)
        # Technique (1.5) stands between the mark and foot + c; with much prior it is small.
        frame = known([gauge(foot, "ball", "10", sex=sex, sd_mm=0.001) for foot in FEET], sex)
        assert frame.in_gauge_frame("left", "ball") == pytest.approx(wanted, abs=0.3)


@pytest.mark.parametrize(
    ("sex", "letter", "line", "breadth"),
    # R: 69.85 + 3.175 x 10 + 4.7625 n. A women's 11 is a men's 10; her B is his D.
    [
        ("men", "D", "10", 101.6),
        ("men", "E", "10", 106.3625),
        ("women", "B", "11", 101.6),
        ("men", "C 1/2", "10", 99.21875),
    ],
)
def test_a_letter_is_read_at_its_line(sex, letter, line, breadth):
    one = gauge("left", "breadth", letter, sex=sex, line=line)
    assert mark_of(one, (), sex).value == pytest.approx(breadth)


def test_a_letter_without_a_line_is_read_at_the_ball_size_else_the_length():
    letter = gauge("left", "breadth", "D")
    length, ball = gauge("left", "length", "12"), [gauge("left", "ball", "9"), gauge("left", "ball", "10")]
    other = gauge("right", "ball", "14")
    assert mark_of(letter, [letter, length, *ball, other], "men").value == pytest.approx(69.85 + 3.175 * 9.5)
    assert mark_of(letter, [letter, length, other], "men").value == pytest.approx(69.85 + 3.175 * 12)
    with pytest.raises(ValueError, match="line"):
        mark_of(letter, [letter, other], "men")


@pytest.mark.parametrize(
    ("scale", "value", "step"),
    [
        ("gauge-men", "10", 8.4667 / 2),
        ("gauge-men", "10 1/4", 8.4667 / 4),
        ("mm", "270", 1.0),
        ("cm", "27", 1.0),
        ("in", "10 1/2", 25.4 / 16),
        ("mondopoint", "270", 5.0),
        ("mondopoint-7.5", "270", 7.5),
        ("jis-men", "27", 5.0),
        ("eu", "42", 10 / 3),
    ],
)
def test_rounding_follows_the_way_it_is_written(scale, value, step):
    assert mark_of(Reading("left", "length", scale, value), (), "men").step == pytest.approx(step, abs=1e-3)


@pytest.mark.parametrize(("value", "step"), [("D", 4.7625), ("D 1/2", 4.7625 / 4)])
def test_letters_round_to_a_letter_or_its_quarter(value, step):
    assert mark_of(gauge("left", "breadth", value, line="10"), (), "men").step == pytest.approx(step)


def test_the_offset_is_shared_by_both_feet_and_by_all_gauges():
    # Far from anything the survey knows, the gauge is suspected: its offset moves with the readings.
    read = known(
        [gauge(foot, "ball", "14") for foot in FEET] + [gauge(foot, "length", "10") for foot in FEET]
    )
    offset = read.components[0].state.mean[10]
    assert offset > 0.5
    # What the gauge would say again is surer than the foot itself: c is in both.
    assert state_sd(read, 1) > 2
    frame = np.zeros(13)
    frame[1] = frame[10] = 1
    assert read.moments(frame)[1] < state_sd(read, 1)


def test_own_calibration_takes_the_offset_away():
    # The ruler says our formula's 200.76 truly stands at 197.76: c is 3, known to 0.5.
    mark = GaugeMark("gauge-men", "ball", "10", 200.762 - 3)
    before, after = known(()), known((), marks=[mark])
    assert after.components[0].state.mean[10] == pytest.approx(3 * 9 / 9.25, abs=1e-3)
    assert state_sd(after, 10) == pytest.approx((9 * 0.25 / 9.25) ** 0.5)
    assert state_sd(before, 10) == pytest.approx(3)
    rows = alike("10", "10", "D")
    shifted, plain = known(rows, marks=[mark]), known(rows)
    assert of(shifted, measure="ball")[0] < of(plain, measure="ball")[0] - 1.5
    assert of(shifted, measure="ball")[1] < of(plain, measure="ball")[1] - 0.5


@pytest.mark.parametrize(
    ("mark", "index", "ours"),
    [
        (GaugeMark("gauge-men", "length", "10", 270.0), 11, 270.933),
        (GaugeMark("gauge-women", "ball", "11", 200.0), 10, 0.739 * 270.933),
        (GaugeMark("gauge-men", "breadth", "E", 106.0, line="10"), 12, 106.3625),
    ],
)
def test_each_slide_can_be_calibrated(mark, index, ours):
    state = known((), marks=[mark]).components[0].state
    prior = {10: 9.0, 11: 1.0, 12: 1.0}[index]
    assert state.mean[index] == pytest.approx(prior / (prior + 0.25) * (ours - mark.measured_mm), abs=1e-3)


def test_repeats_narrow_only_what_they_do_not_share():
    # n readings by one fitter: variance of their mean is (noise + rounding) / n + technique + c.
    step = (25.4 / 3) / 2
    noise = 1.5**2 + step**2 / 12
    prior = 172.63082302984898
    for n in (1, 4, 100):
        found = of(known([gauge("left", "length", "10", fitter="A")] * n))[1] ** 2
        error = noise / n + 0.7**2 + 1.0**2
        assert found == pytest.approx(prior * error / (prior + error), rel=1e-9)
    # Another fitter's technique is another value: c alone stays shared.
    two = of(known([gauge("left", "length", "10", fitter=name) for name in "AB"]))[1] ** 2
    error = (noise + 0.7**2) / 2 + 1.0**2
    assert two == pytest.approx(prior * error / (prior + error), rel=1e-9)


def test_a_methods_bias_is_shared_by_both_feet_but_not_by_methods():
    prior = 172.63082302984898
    noise = 1.5**2 + 1 / 12
    tape = [mm("left", "length", 270, "tape")] * 50
    error = noise / 50 + 1.0
    assert of(known(tape))[1] ** 2 == pytest.approx(prior * error / (prior + error), rel=1e-9)
    scan = [mm("left", "length", 270, "scan")] * 50
    assert of(known([*tape, *scan]))[1] < of(known([*tape, *tape]))[1] - 0.2
    # Shared by the feet: their difference is known far better than either foot.
    both = known([mm(foot, "length", 270, "tape") for foot in FEET for _ in range(50)])
    row = np.zeros(13)
    row[0], row[5] = 1, -1
    assert both.moments(row)[1] < 0.35
    assert of(both)[1] > 0.9


@pytest.mark.parametrize(
    ("method", "what", "noise"),
    [
        ("gauge", "length", 1.5), ("ruler", "length", 1.5),
        ("tape", "length", 1.5), ("caliper", "length", 1.0),
        ("scan", "length", 1.0), ("sheet", "length", 3.0), ("tape", "girth", 2.5), ("caliper", "heel", 1.0),
    ],
)  # fmt: skip
def test_the_noise_of_each_method(method, what, noise):
    seen = observe(Reading("left", what, "mm", "270", method=method), (), "men")
    assert seen is not None
    assert seen.variance == pytest.approx(noise**2 + 1 / 12)
    assert seen.on_gauge is (method == "gauge")


def test_a_stated_sd_replaces_noise_and_rounding_but_not_bias():
    prior = 172.63082302984898
    found = of(known([mm("left", "length", 270, sd_mm=0.2)]))[1] ** 2
    error = 0.2**2 + 1.0
    assert found == pytest.approx(prior * error / (prior + error), rel=1e-9)
    found = of(known([gauge("left", "length", "10", sd_mm=0.2)]))[1] ** 2
    error = 0.2**2 + 0.7**2 + 1.0
    assert found == pytest.approx(prior * error / (prior + error), rel=1e-9)


# Load.


@pytest.mark.parametrize(
    ("load", "what", "factor"),
    [
        ("seated", "length", 1.015), ("seated", "ball", 1.015), ("seated", "breadth", 1.025),
        ("seated", "heel", 1.025), ("seated", "girth", 1.0125), ("one", "length", 1 / 1.004),
        ("one", "ball", 1 / 1.004), ("one", "breadth", 1 / 1.02), ("one", "girth", 1 / 1.01),
        ("standing", "girth", 1.0),
    ],
)  # fmt: skip
def test_load_is_corrected_to_standing_on_both_feet(load, what, factor):
    seen = observe(mm("left", what, 200, load=load), (), "men")
    assert seen is not None
    assert seen.value == pytest.approx(200 * factor)


def test_the_load_factors_error_is_one_value_for_all_readings_of_it():
    # 100 seated readings of 270: the factor's sd 0.008 x 270 = 2.16 mm and the bias 1 remain.
    prior = 172.63082302984898
    error = (1.5**2 + 1 / 12) / 100 + 1.0 + (0.008 * 270) ** 2
    found = of(known([mm("left", "length", 270, load="seated")] * 100))[1] ** 2
    assert found == pytest.approx(prior * error / (prior + error), rel=1e-9)


def test_an_instep_is_kept_and_judges_nothing():
    rows = alike("10", "10", "D")
    with_instep = known([*rows, mm("left", "instep", 250, "tape")])
    assert of(with_instep) == pytest.approx(of(known(rows)))


def test_the_order_of_readings_changes_nothing():
    rows = [
        *alike("10", "10 1/2", "C 3/4", line="10"),
        mm("left", "girth", 255, "tape"),
        mm("right", "length", 268),
    ]
    one, other = known(rows), known(rows[::-1])
    for foot in FEET:
        for measure in MEASURES:
            assert of(one, foot, measure) == pytest.approx(of(other, foot, measure), abs=1e-9)


# Population unstated.


def test_an_unstated_population_is_weighed_by_the_readings_evidence():
    rows = [mm("left", "length", 258), mm("left", "breadth", 96, "caliper")]
    logs = []
    for sex in ("men", "women"):
        prior = feet_prior(sex)
        cov = prior.cov[np.ix_([0, 2], [0, 2])] + np.diag([1 + 1.5**2 + 1 / 12, 1 + 1.0 + 1 / 12])
        logs.append(multivariate_normal.logpdf([258, 96], prior.mean[[0, 2]], cov))
    weights = np.exp(logs) / np.exp(logs).sum()
    found = known(rows, "unstated")
    assert [c.weight for c in found.components] == pytest.approx(list(weights), abs=1e-9)
    # Mean and sd of the mixture.
    apart = [of(known(rows, sex), "left", "girth") for sex in ("men", "women")]
    mean = sum(w * m for w, (m, _) in zip(weights, apart, strict=True))
    second = sum(w * (s**2 + m**2) for w, (m, s) in zip(weights, apart, strict=True))
    assert of(found, "left", "girth") == pytest.approx((mean, (second - mean**2) ** 0.5))


def test_weights_start_even_and_go_to_whom_the_foot_is_like():
    assert [c.weight for c in known((), "unstated").components] == pytest.approx([0.5, 0.5])
    men, women = (
        known(
            [
                mm("left", "length", round(mean_foot(sex)["length"])),
                mm("left", "girth", round(mean_foot(sex)["girth"]), "tape"),
            ],
            "unstated",
        )
        for sex in ("men", "women")
    )
    assert men.components[0].weight > 0.8
    assert women.components[1].weight > 0.8


def test_for_mm_readings_nothing_of_the_gauge_enters():
    assert state_sd(known([mm("left", "ball", 200)]), 10) == pytest.approx(3)


# A child.


def test_a_reading_on_a_childs_scale_marks_a_child():
    said = known([Reading("left", "length", "gauge-child", "3Y")], "unstated")
    assert said.child
    assert said.measure("left", "length") is not None
    assert said.measure("left", "girth") is None
    assert said.measure("right", "length") is None


# What is told.


def test_the_feet_told_are_those_of_the_readings():
    who = wearer(*alike("10", "10 1/2", "D"))
    told, read = describe_feet(who), known(who.readings)
    for foot in FEET:
        for measure in MEASURES:
            figure = told.feet[foot][measure]
            assert (figure.mean, figure.sd) == pytest.approx(of(read, foot, measure))
    # In the gauge's frame the mark read twice is what the gauge would say again: near 203.9.
    assert told.feet["left"]["ball"].in_gauge_frame == pytest.approx(203.9, abs=0.7)
    assert told.feet["left"]["girth"].in_gauge_frame is None
