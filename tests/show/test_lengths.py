"""Lengths shown in mm or inches, in columns and in sentences."""

from __future__ import annotations

import pytest

from heelball.show.lengths import figure_text, in_units, length_text


def test_figures_of_a_column_have_as_many_decimals():
    assert [figure_text(length, "mm") for length in (271.04, 100.0)] == ["271.0", "100.0"]
    assert [figure_text(length, "in") for length in (254.0, 1.27)] == ["10.00", "0.05"]


def test_a_length_is_as_short_as_it_goes():
    assert [length_text(length, "mm") for length in (4.0, 12.5)] == ["4 mm", "12.5 mm"]
    assert length_text(4.0, "in") == "0.16 in"


@pytest.mark.parametrize(
    ("said", "in_inches"),
    [
        (
            "the boot bends 4 mm behind the joint (±3.3 mm)",
            "the boot bends 0.16 in behind the joint (±0.13 in)",
        ),
        ("9.1 mm apart in length, over 8.5 mm, which", "0.36 in apart in length, over 0.33 in, which"),
        ("order 10 1/2 D", "order 10 1/2 D"),
        ("10 mmm, mm, 4mm", "10 mmm, mm, 4mm"),
    ],
)
def test_every_length_of_a_sentence_is_turned(said: str, in_inches: str):
    assert in_units(said, "in") == in_inches
    assert in_units(said, "mm") == said


def test_a_name_is_shown_as_told_and_never_read_as_a_length():
    names = {"Tarrowdene 5 mm": "Tarrowdene…", "5 mm": "5 mm"}
    said = "Tarrowdene 5 mm says of the 5 mm: it bends 5.5 mm behind."
    assert in_units(said, "in", names) == "Tarrowdene… says of the 5 mm: it bends 0.22 in behind."
