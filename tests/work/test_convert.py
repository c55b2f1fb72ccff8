"""The use case behind the command: text in, the contracted record or a bench note out."""

from __future__ import annotations

import json
from contextlib import suppress
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heelball.errors import InputError
from heelball.scales.catalogue import size_scale, size_scales
from heelball.units import MILLIMETRES, parse_length
from heelball.work.convert import convert_lines, convert_text

names = st.sampled_from([*size_scales(), *MILLIMETRES])


@st.composite
def inputs(draw: st.DrawFn) -> tuple[str, str]:
    """Return a value as a person might type it, and the scale or unit it is on."""
    name = draw(names)
    if name in MILLIMETRES:
        return f"{draw(st.integers(80, 360)) / float(MILLIMETRES[name]):.3f}", name
    scale = size_scale(name)
    return scale.format(draw(st.sampled_from(scale.labels()))), name


def refusal(value: str, source: str, target: str) -> list[str]:
    with pytest.raises(InputError) as refused:
        convert_text(value, source, target)
    assert refused.value.exit_code == 2
    return refused.value.lines()


def figure(text: str, name: str) -> Fraction:
    return parse_length(text, name) if name in MILLIMETRES else size_scale(name).parse(text)


def test_the_record_of_the_issue_s_example() -> None:
    record = convert_text("10 1/2", "gauge-men", "eu")
    remarks = record.pop("remarks")
    assert record == {
        "schema": "heelball/convert/1",
        "from": "gauge-men",
        "input": "10 1/2",
        "value": "43 1/2",
        "to": "eu",
        "low": "41 1/2",
        "high": "44 1/2",
        # 275.167 mm = (10 1/2 + 22) / 3 in; 0.15 L + 2, + 0 and + 3.
        "exact": {"value": 43.28, "low": 41.28, "high": 44.28},
        "foot_mm": 275.17,
    }
    assert all(remark.endswith(".") for remark in remarks)


@given(inputs(), names)
def test_every_record_is_ordered_finite_and_fits_a_terminal(typed: tuple[str, str], target: str) -> None:
    value, source = typed
    record: dict[str, Any] = {}
    with suppress(InputError):
        record = convert_text(value, source, target)
    if not record:
        assert [line.split(":")[0] for line in refusal(value, source, target)] == ["value"]
        return
    assert json.loads(json.dumps(record, allow_nan=False)) == record
    low, middle, high = (figure(record[key], target) for key in ("low", "value", "high"))
    assert low <= middle <= high
    assert record["exact"]["low"] <= record["exact"]["value"] <= record["exact"]["high"]
    assert all(record[key].isascii() for key in ("low", "value", "high"))
    lines = convert_lines(record)
    assert max(map(len, lines)) <= 80
    assert record["value"] in lines[0]


@pytest.mark.parametrize("text", ["10¼", "10.25", "10 1/4"])
def test_a_gauge_reading_in_quarters(text: str) -> None:
    record = convert_text(text, "gauge-men", "mondopoint")
    assert record["foot_mm"] == 273.05
    assert record["value"] == "275"
    assert record["input"] == text


@pytest.mark.parametrize(
    ("value", "source", "target", "found"),
    [
        ("27.1", "cm", "mm", "271"),
        ("271 mm", "mm", "cm", "27.1"),
        ("10 5/8", "in", "mm", "269.9"),
        ("254", "mm", "in", "10"),
        ("271", "mm", "in", "10 11/16"),
        ("254", "mm", "us-men", "8"),
        ("8", "us-men", "in", "10"),
        ("262", "gost-7.5", "mm", "262.5"),
    ],
)
def test_lengths_in_and_out(value: str, source: str, target: str, found: str) -> None:
    assert convert_text(value, source, target)["value"] == found


def test_a_low_beyond_the_scale_is_its_last_label_and_is_said() -> None:
    record = convert_text("56", "eu", "cn-old")
    assert record["high"] == "62"
    assert record["exact"]["high"] > 62
    assert "Some editions put this foot beyond cn-old (26 to 62)." in record["remarks"]


def test_the_exact_numbers_of_a_child_go_on_counting() -> None:
    record = convert_text("205", "mm", "uk-child")
    assert record["value"] == "1 1/2"
    assert record["exact"]["value"] == 14.5
    assert convert_lines(record)[0] == "205 mm is uk-child 1 1/2 (falls at 1.5)."


def test_the_bench_note() -> None:
    assert convert_lines(convert_text("9", "uk", "us-men")) == [
        "uk 9 is us-men 10 (falls at 10).",
        "From us-men 10 to us-men 10 1/2 by other editions of the scales.",
        "Foot length 270.9 mm.",
        "- uk 9 as a foot: 270.9 mm with 2/3 in of toe room (S3 S42); 275.2 mm with 1/2",
        "  in of toe room (common practice, no source); 270 mm in the marking table (S3,",
        "  second-hand).",
        "- This foot on us-men: 10 with 2/3 in of toe room (S7 S8); 10.09 in the marking",
        "  table (S3, second-hand).",
        "- From the older American zero (us-men-old) the same foot is 9.25.",
    ]
    assert convert_lines(convert_text("10 5/8 in", "in", "cm")) == [
        "10 5/8 in is 26.99 cm.",
        "Foot length 269.9 mm.",
    ]


@pytest.mark.parametrize(
    ("value", "source", "target", "line"),
    [
        ("10 3/8", "gauge-men", "eu", "value: gauge-men has no 10 3/8; wanted a whole, half or quarter size"),
        ("40 1/2", "cn-old", "eu", "value: cn-old has no 40 1/2; wanted a whole size"),
        ("", "eu", "uk", "value: ''; wanted a size on eu, such as 42 1/2"),
        ("10 kg", "cm", "uk", "value: '10 kg'; wanted a length in cm, such as 27.1"),
        ("nan", "mm", "uk", "value: 'nan'; wanted a length in mm, such as 271"),
        ("-10", "mm", "uk", "value: '-10'; wanted a length in mm, such as 271"),
        ("27.1", "mm", "uk", "value: a foot of 27.1 mm is off uk; wanted a foot of 199 to 355.6 mm"),
        ("2C", "gauge-child", "eu", "value: a foot of 98.8 mm is off eu; wanted a foot of 180 to 360 mm"),
        (
            "0",
            "mm",
            "cm",
            "value: a foot of 0 mm; wanted a foot of 74.1 to 361.9 mm, the range of all scales",
        ),
        ("9", "uk", "EU", "--to: no size scale 'EU'; wanted one of eu, eu-child, or mm, cm or in"),
        ("9", "u.k.", "eu", "--from: no size scale 'u.k.'; wanted one of uk, or mm, cm or in"),
    ],
)
def test_one_sentence_with_its_place_for_each_problem(
    value: str, source: str, target: str, line: str
) -> None:
    assert refusal(value, source, target) == [line]


def test_both_unknown_scales_are_named_at_once() -> None:
    assert [line.split(";")[0] for line in refusal("9", "gauge-mens", "e")] == [
        "--from: no size scale 'gauge-mens'",
        "--to: no size scale 'e'",
    ]
