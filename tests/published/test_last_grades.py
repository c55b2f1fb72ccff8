"""How lasts grow from size to size and from letter to letter, against a handbook, a patent and an article."""

from __future__ import annotations

from fractions import Fraction

import pytest

from heelball.package_data import defaults
from heelball.scales.catalogue import BARLEYCORN, PARIS_POINT, size_scale
from heelball.scales.last_width import GIRTH_PER_LENGTH, GIRTH_PER_LETTER
from heelball.scales.size_scale import RESTART
from tests.published.size_scales import Row, each, printed

pytestmark = pytest.mark.published

INCH = Fraction("25.4")

#: Growth a size [mm] as we grade lasts. Golding's instep grows like his joint, and his tread, the
#: width of the last's bottom at the ball, by a third of the girth (S19 says so too).
OURS = {
    "joint girth of last": GIRTH_PER_LENGTH * BARLEYCORN,
    "instep girth of last": GIRTH_PER_LENGTH * BARLEYCORN,
    "tread width of last": GIRTH_PER_LENGTH * BARLEYCORN / 3,
    "seat width of last": Fraction(str(defaults()["boot"]["heel_per_length"])) * BARLEYCORN,
}

#: From which child's size on Golding's columns keep the adult grade.
ADULT_FROM = {
    "joint girth of last": 10,
    "instep girth of last": 11,
    "tread width of last": 5,
    "seat width of last": 1,
}

#: Below that: the size a run of even steps starts from, and the step [in], by column. The instep's
#: leaps at 7 and 11 are as printed ("irregular gradations").
SMALL_CHILD = {
    "joint girth of last": {1: Fraction(3, 16)},
    "instep girth of last": {1: Fraction(3, 16), 7: Fraction(3, 16)},
    "tread width of last": {1: Fraction(1, 16)},
}

GOLDING_1902 = printed("golding_last_male3")
RETAILER = printed("retailer_uk_men", seen="no")


def count(row: Row) -> int:
    """Return the size in the continued count: adult 1 follows child 13 as 14."""
    return int(row.given + (RESTART if row.population == "men" else 0))


def anchor(column: str, size: int) -> Fraction:
    """Return what Golding's table prints for one size of a column [mm]."""
    (printed,) = [row.printed for row in GOLDING_1902 if (row.output_name, count(row)) == (column, size)]
    return printed


ADULT_PART = [row for row in GOLDING_1902 if count(row) >= ADULT_FROM[row.output_name]]
CHILD_PART = [row for row in GOLDING_1902 if count(row) < ADULT_FROM[row.output_name]]


@each(ADULT_PART)
def test_last_grade_against_golding_1902_male_scale_3_fitting(row: Row) -> None:
    # From one row, child 13, every other follows by our grade.
    assert row.agrees(anchor(row.output_name, 13) + OURS[row.output_name] * (count(row) - 13))


@each(CHILD_PART)
def test_small_child_lasts_grow_less_than_ours_against_golding_1902(row: Row) -> None:
    runs = SMALL_CHILD[row.output_name]
    start = max(size for size in runs if size <= count(row))
    assert row.agrees(anchor(row.output_name, start) + runs[start] * INCH * (count(row) - start))
    assert runs[start] * INCH < OURS[row.output_name]


def test_all_of_golding_1902_has_a_check() -> None:
    assert (len(ADULT_PART), len(CHILD_PART)) == (50, 23)


@each(printed("grade_english_child", kind="rule"))
def test_small_child_girth_step_against_golding_1902(row: Row) -> None:
    assert row.agrees(SMALL_CHILD["joint girth of last"][1] * INCH)


@each(printed("grade_english_arith", kind="rule"))
def test_grade_against_us_patent_1948547_and_golding_1902(row: Row) -> None:
    ours = {
        ("size step", "last length"): size_scale("uk").last_length(Fraction(9))
        - size_scale("uk").last_length(Fraction(8)),
        ("size step", "ball girth of last"): GIRTH_PER_LENGTH * BARLEYCORN,
        ("width step", "ball girth of last"): GIRTH_PER_LETTER,
        ("size step", "ball width of last bottom"): OURS["tread width of last"],
        ("size step", "seat width of last bottom"): OURS["seat width of last"],
        ("size step", "instep girth of last"): OURS["instep girth of last"],
    }
    assert row.agrees(ours[row.input_name, row.output_name])


@each(printed("grade_continental_arith", kind="rule"))
def test_grade_against_trade_article_s17(row: Row) -> None:
    ours = {"last length": PARIS_POINT, "joint girth of last": GIRTH_PER_LENGTH * PARIS_POINT}
    assert row.agrees(ours[row.output_name])


# ---- weaker: extrapolated, or second-hand


@pytest.mark.weak
@each(printed("golding_last_male3", kind="formula", seen="no"))
def test_last_grade_against_golding_1902_extrapolated(row: Row) -> None:
    assert row.agrees(anchor(row.output_name, 13) + OURS[row.output_name] * (count(row) - 13))


@pytest.mark.weak
@each(RETAILER)
def test_grade_against_a_retailer_s_standard_2014_second_hand(row: Row) -> None:
    # A fuller fitting than ours, and a length between foot and last: the grade is compared, from UK 8.
    (eight,) = [at.printed for at in RETAILER if at.output_name == row.output_name and at.given == 8]
    uk = size_scale("uk")
    grown = uk.last_length(row.given) - uk.last_length(Fraction(8))
    assert row.agrees(eight + grown * (GIRTH_PER_LENGTH if row.output_name == "joint girth" else 1))
    if row.output_name == "effective length":
        assert uk.foot_length(row.given) < row.printed < uk.foot_length(row.given) + 2 * BARLEYCORN
