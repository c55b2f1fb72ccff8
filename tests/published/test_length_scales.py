"""Size scales against the tables, rules and worked examples that print them.

Sources are named by their keys in ``docs/references.md``; a row of the file names its own.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from heelball.scales.catalogue import BARLEYCORN, PARIS_POINT, size_scale
from heelball.scales.editions import editions
from tests.published.size_scales import Row, each, printed

pytestmark = pytest.mark.published

#: Which scale of ours a printed one is.
OURS = {
    "uk_adult": "uk",
    "uk_child": "uk-child",
    "eu_adult": "eu",
    "eu_child": "eu-child",
    "us_men": "us-men",
    "us_women": "us-women",
    "us_child": "us-child",
    "us_men_old": "us-men-old",
    "us_women_old": "us-women-old",
    "us_boys_old": "us-boys-old",
    "us_girls_old": "us-girls-old",
    "us_child_old": "us-boys-old",
    "us_men_modern": "us-men",
    "us_women_common": "us-women-common",
    "us_women_fia": "us-women",
    "us_child_modern": "us-child",
}


def last_length(row: Row) -> Fraction:
    return size_scale(OURS[row.scale]).last_length(row.given)


@each(printed("uk_child") + printed("uk_adult"))
def test_last_length_against_uk_scale_s5_s6_and_golding_1902(row: Row) -> None:
    assert row.agrees(last_length(row))


@each(printed("us_men_old") + printed("us_women_old") + printed("us_boys_old") + printed("us_girls_old"))
def test_zero_of_the_old_us_scales_against_gnu_units_definitions(row: Row) -> None:
    assert row.given == 0
    assert row.agrees(last_length(row))


@each(printed("us_child_old"))
def test_last_length_against_gb_t_3293_digest_2006_old_us_child(row: Row) -> None:
    assert row.agrees(last_length(row))


@each(printed("foot_gauge"))
def test_gauge_size_against_the_examples_printed_with_the_formula(row: Row) -> None:
    assert row.agrees(size_scale(f"gauge-{row.population}").size(row.given))


@each(printed("gb_t_3293_old_to_new"))
def test_old_chinese_number_against_gb_t_3293_digests(row: Row) -> None:
    old = size_scale("cn-old")
    assert row.agrees(old.foot_length(old.parse(row.input_value)))
    assert size_scale("cn").parse(row.output_value) == row.printed


@each(printed("korea_mm_to_old_china"))
def test_old_chinese_number_of_korean_mm_against_a_korean_page(row: Row) -> None:
    foot_length = size_scale("kr").foot_length(size_scale("kr").parse(row.input_value))
    assert row.agrees(size_scale("cn-old").size(foot_length))


@each(printed("gost_7_5mm"))
def test_labels_in_steps_of_7_5_mm_against_gost_9155_88(row: Row) -> None:
    scale = size_scale("gost-7.5")
    first = scale.parse({"women": "225", "men": "255"}[row.population])
    assert scale.format(scale.labels()[scale.labels().index(first) + int(row.given)]) == row.output_value
    # Cut off or not, the label is the foot of its step.
    assert scale.foot_length(scale.parse(row.output_value)) == first + row.given * Fraction("7.5")


@each([row for name in ("barleycorn", "paris_point", "mondopoint") for row in printed(name, kind="unit")])
def test_steps_against_gnu_units_and_iso_ts_19407_introduction(row: Row) -> None:
    ours = {
        "barleycorn": BARLEYCORN,
        "paris_point": PARIS_POINT,
        "interval range 1": size_scale("mondopoint").step,
        "interval range 2": size_scale("mondopoint-7.5").step,
    }
    assert row.agrees(ours[row.input_name if row.scale == "mondopoint" else row.scale] * row.given)


@each(printed("gb_t_3293", kind="rule", of="foot length"))
def test_whole_chinese_size_against_gb_t_3293(row: Row) -> None:
    # "Whole size 10 mm, half size 5 mm": our step is the half size.
    assert row.printed == 2 * size_scale("cn").step


@each(printed("uk_child", kind="wrap"))
def test_child_13_is_adult_0_against_s5(row: Row) -> None:
    child, adult = size_scale("uk-child"), size_scale("uk")
    assert child.last_length(row.given) == adult.last_length(row.printed)
    # "Child 13 1/2 is followed by adult 1".
    after = child.labels()[child.labels().index(row.given + Fraction(1, 2)) + 1]
    assert child.last_length(after) == adult.last_length(Fraction(1))


# ---- weaker: second-hand copies, and figures computed from a formula that was seen


@pytest.mark.weak
@each(printed("us_child", kind="wrap", seen="no"))
def test_us_child_wrap_against_iso_19407_table_second_hand(row: Row) -> None:
    child = size_scale("us-child")
    after = child.labels()[child.labels().index(row.given) + 1]
    assert child.format(after) == row.output_value


@pytest.mark.weak
@each([row for name in ("eu_adult", "uk_adult", "us_men", "us_women") for row in printed(name, seen="no")])
def test_straight_line_against_iso_19407_table_2_second_hand(row: Row) -> None:
    assert row.tolerance <= Fraction("0.305")
    assert row.agrees(size_scale(OURS[row.scale]).size(row.given))


@pytest.mark.weak
@each(printed("eu_adult", seen="no"))
def test_eu_mark_against_iso_19407_table_2_second_hand(row: Row) -> None:
    # The European marks are the line rounded to a half size, ties down: all 23 of them.
    eu = size_scale("eu")
    assert eu.nearest(eu.size(row.given)) == row.printed


@pytest.mark.weak
@each([row for name in ("eu_adult", "uk_adult", "us_men", "us_women") for row in printed(name, seen="no")])
def test_marking_table_edition_against_iso_19407_table_2_second_hand(row: Row) -> None:
    (table,) = [
        each for each in editions(size_scale(OURS[row.scale])) if each.words == "in the marking table"
    ]
    assert table.size(row.given) == row.printed
    assert table.foot_length(row.printed) == row.given


@pytest.mark.weak
@each([row for name in ("eu_child", "uk_child", "us_child") for row in printed(name, seen="no")])
def test_child_sizes_against_iso_19407_child_table_second_hand(row: Row) -> None:
    scale = size_scale(OURS[row.scale])
    size = scale.size(row.given)
    assert scale.format(size).rstrip("CY") == scale.format(row.printed).rstrip("CY")
    assert scale.foot_length(size) == row.given


_FITTED: dict[tuple[str, str], tuple[str, Callable[[Fraction], Fraction], Fraction]] = {
    # The fits printed in the notes of these rows, and how far off our scale they may be.
    ("adult", "EU size slope"): ("eu", lambda foot: Fraction("0.15") * foot + 2, Fraction(0)),
    ("adult", "UK size slope"): ("uk", lambda foot: 3 * foot / Fraction("25.4") - 23, Fraction(0)),
    ("child", "EU size slope"): (
        "eu-child",
        lambda foot: Fraction("0.16") * foot + Fraction("0.3"),
        Fraction("0.31"),
    ),
    ("child", "UK size slope"): (
        "uk-child",
        lambda foot: Fraction("0.12778") * foot - Fraction("11.625"),
        Fraction("0.36"),
    ),
}


@pytest.mark.weak
@each(printed("iso_19407_fit", kind="rule", seen="no"))
def test_slope_against_fits_to_iso_19407_second_hand(row: Row) -> None:
    name, fit, off = _FITTED[row.population, row.output_name]
    scale = size_scale(name)
    lengths = [scale.foot_length(size) for size in scale.labels()]
    assert max(abs(scale.size(length) - fit(length)) for length in lengths) <= off
    assert fit(row.given) - fit(Fraction(0)) == row.printed


@pytest.mark.weak
@each(
    [
        row
        for name in (
            "uk_adult", "us_men_modern", "us_women_common", "us_women_fia", "us_child_modern", "us_men_old",
            "us_women_old",
        )
        for row in printed(name, kind="formula", seen="no")
    ]
)  # fmt: skip
def test_last_length_against_printed_formulas(row: Row) -> None:
    assert row.agrees(last_length(row))


@pytest.mark.weak
@each(printed("foot_gauge", kind="formula", seen="no"))
def test_gauge_foot_length_against_printed_formulas(row: Row) -> None:
    assert row.agrees(size_scale(f"gauge-{row.population}").foot_length(row.given))
