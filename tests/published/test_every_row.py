"""No printed figure is left unlooked at, and none that disagrees on purpose is used."""

from __future__ import annotations

from collections import Counter

import pytest

# Imported so that every check has named its rows.
from tests.published import test_last_grades, test_length_scales, test_widths
from tests.published.size_scales import ROWS, looked_at, printed

pytestmark = pytest.mark.published

CHECKS = (test_last_grades, test_length_scales, test_widths)

#: How many rows each source's table has: a shortened file is noticed.
PRINTED_AND_SEEN = {
    "foot_gauge": 3,
    "gb_t_3293_old_to_new": 2,
    "golding_last_male3": 73,
    "gost_7_5mm": 13,
    "gost_felt_boot": 10,
    "jis_s_5037": 20,
    "korea_mm_to_old_china": 2,
    "uk_adult": 6,
    "uk_child": 7,
    "us_boys_old": 1,
    "us_child_old": 2,
    "us_girls_old": 1,
    "us_men_old": 1,
    "us_width_chart": 90,
    "us_women_old": 1,
}

#: What is printed of things that Heelball does not compute, and why each is left aside.
NOT_OURS = {
    ("rule", "cn_last"): "how long a last is made for a foot: a label is read by its scale",
    ("rule", "golding_allowance"): "from an unloaded foot on the size-stick; ours stands",
    (
        "rule",
        "golding_position",
    ): "where the joint lies along a last, from a poor scan; MODEL 1 takes it from feet",
    ("rule", "gb_t_3293"): "Chinese width types, which no label scale of ours has",
    ("rule", "ball_position"): "remembered, and another definition of the joint's place",
    ("survey", "heel_to_ball_paper"): "another definition of heel to ball, 20 mm shorter",
}


def test_every_printed_row_has_a_check() -> None:
    seen = [row for row in ROWS if row.kind == "table" and row.source_seen == "yes"]
    assert Counter(row.scale for row in seen) == PRINTED_AND_SEEN
    assert [row for row in seen if row.line not in looked_at()] == []


def test_every_second_hand_row_has_a_check() -> None:
    weaker = [row for row in ROWS if row.kind in ("table", "formula") and row.source_seen == "no"]
    assert Counter(row.kind for row in weaker) == {"table": 174, "formula": 227}
    assert [row for row in weaker if row.line not in looked_at()] == []


def test_what_is_left_aside_is_named() -> None:
    left = {
        (row.kind, row.scale)
        for row in ROWS
        if row.kind not in ("table", "formula", "conflict") and row.line not in looked_at()
    }
    assert left == set(NOT_OURS)


def test_no_row_that_disagrees_on_purpose_is_used() -> None:
    conflicting = {row.line for row in ROWS if row.kind == "conflict"}
    assert len(conflicting) == 6
    assert not conflicting & looked_at()
    with pytest.raises(AssertionError):
        printed("us_men_last", kind="conflict")


def test_every_row_is_of_a_known_kind() -> None:
    assert Counter(row.kind for row in ROWS).keys() == {
        "table", "formula", "rule", "unit", "wrap", "survey", "conflict",
    }  # fmt: skip
    assert len(ROWS) == 690
