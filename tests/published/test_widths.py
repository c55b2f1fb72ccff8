"""Width letters, breadths and girths against the charts, standards and survey that print them."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Literal

import pytest

from heelball.package_data import foot_moments
from heelball.scales import gauge_breadth
from heelball.scales.catalogue import size_scale
from heelball.scales.last_width import GIRTH_PER_LENGTH, GIRTH_PER_UK_FITTING, gost_girth, jis_girth
from heelball.scales.letters import letter_index
from tests.published.size_scales import Row, each, printed

pytestmark = pytest.mark.published

CHART = printed("us_width_chart")
JIS = printed("jis_s_5037")
FELT_BOOTS = printed("gost_felt_boot")
ANSUR = printed("ansur_ii", kind="survey")

#: The chart's women's sizes are "common" ones, men + 1 1/2: MODEL 2 and the survey below.
CHART_SCALE = {"men": "us-men", "women": "us-women-common"}


def number_in(text: str) -> Fraction:
    """Return the one number in the name of a row's input, such as 'foot length 240 mm width'."""
    (number,) = re.findall(r"\d+(?:\.\d+)?", text)
    return Fraction(number)


def population(row: Row) -> Literal["men", "women"]:
    return "men" if row.population == "men" else "women"


@each(CHART)
def test_gauge_breadth_against_us_width_chart_s9(row: Row) -> None:
    # Men's rows are rounded coarsely, to 1/8 in for C and E: their tolerance says so.
    foot_length = size_scale(CHART_SCALE[row.population]).foot_length(number_in(row.input_name))
    letters = letter_index(row.input_value) - gauge_breadth.AVERAGE_LETTER[population(row)]
    assert row.agrees(gauge_breadth.breadth(foot_length, Fraction(letters)))


def test_mens_d_against_us_width_chart_s9_is_within_a_sixteenth() -> None:
    rows = [row for row in CHART if (row.population, row.input_value) == ("men", "D")]
    assert len(rows) == 16
    for row in rows:
        foot_length = size_scale("us-men").foot_length(number_in(row.input_name))
        assert abs(gauge_breadth.breadth(foot_length, Fraction(0)) - row.printed) <= Fraction("25.4") / 16


@each(printed("us_width_letters", kind="rule"))
def test_breadth_steps_against_celko_2010_and_us_width_chart_s9(row: Row) -> None:
    ours = {"letter step": gauge_breadth.BREADTH_PER_LETTER, "size step": gauge_breadth.BREADTH_PER_SIZE}
    assert row.agrees(ours[row.input_name])


@each(printed("uk_fitting", kind="rule"))
def test_uk_fitting_against_rossi_2000(row: Row) -> None:
    assert row.agrees(GIRTH_PER_UK_FITTING)


@each([row for row in JIS if row.input_unit == "letter"])
def test_girth_against_jis_s_5037_printed_rows(row: Row) -> None:
    assert row.agrees(jis_girth(row.input_value, number_in(row.input_name), population(row)))


@each([row for row in JIS if row.input_unit != "letter"])
def test_equal_girths_against_jis_s_5037_drawing(row: Row) -> None:
    # "25.0 EE and 26.0 E have the same girth" (S27).
    assert (row.input_name, row.input_value) == ("same girth as 250 mm EE", "260 E")
    assert row.printed == jis_girth("EE", Fraction(250), "men") == jis_girth("E", Fraction(260), "men")


@each(FELT_BOOTS)
def test_girth_per_length_against_gost_12_4_050_78_felt_boots(row: Row) -> None:
    # Outer girths of felt boots: 6 mm per 10 mm of foot, the same grade as the fullness rule's.
    first = FELT_BOOTS[0]
    grown = gost_girth("5", row.given, "men") - gost_girth("5", first.given, "men")
    assert first.printed + grown == row.printed


@each(printed("foot_allometry", kind="rule"))
def test_foot_and_last_grade_against_standards_and_patent(row: Row) -> None:
    jis = jis_girth("E", Fraction(251), "men") - jis_girth("E", Fraction(250), "men")
    gost = gost_girth("5", Fraction(251), "women") - gost_girth("5", Fraction(250), "women")
    ours = {"foot ball girth": (jis, gost), "last ball girth": (GIRTH_PER_LENGTH,)}
    assert all(row.agrees(grade) for grade in ours[row.output_name])


def surveyed(row: Row, measure: str) -> tuple[float, float]:
    """Return our shipped mean of a measure, and its standard error about the whole survey's."""
    moments = foot_moments()
    shipped = moments["populations"][row.population]
    place = moments["measures"].index(measure)
    # The half's mean scatters about the whole's by sd sqrt(1/n - 1/N); N from Gordon and others 2014.
    whole = {"men": 4082, "women": 1986}[row.population]
    error = (shipped["cov"][place][place] * (1 / shipped["n"] - 1 / whole)) ** 0.5
    return shipped["mean"][place], error


@each(ANSUR)
def test_mean_foot_against_gordon_2014_ansur_ii_whole_file(row: Row) -> None:
    measure = {
        "mean ball-of-foot length": "ball",
        "mean foot breadth": "breadth",
        "mean ball circumference": "girth",
        "mean heel breadth": "heel",
    }[row.output_name]
    for ours, whole_file in ((measure, row.printed), ("length", row.given)):
        mean, error = surveyed(row, ours)
        assert abs(mean - float(whole_file)) <= 3 * error + 0.05


@each([row for row in ANSUR if row.output_name == "mean foot breadth"])
def test_average_letter_against_gordon_2014_ansur_ii(row: Row) -> None:
    # Men's D and women's B are the average letters: the mean breadth is within an eighth of a letter.
    assert abs(gauge_breadth.letters(row.given, row.printed)) < Fraction(1, 8)


# ---- weaker: computed from rules that were seen


@pytest.mark.weak
@each(printed("jis_s_5037", kind="formula", seen="no"))
def test_girth_against_jis_s_5037_rule(row: Row) -> None:
    assert row.agrees(jis_girth(row.input_value, number_in(row.input_name), population(row)))


@pytest.mark.weak
@each(printed("gost_fullness", kind="formula", seen="no"))
def test_girth_against_gost_fullness_rule_s34(row: Row) -> None:
    assert row.agrees(gost_girth(row.input_value, number_in(row.input_name), population(row)))
