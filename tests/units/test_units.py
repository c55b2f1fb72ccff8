"""The door for numbers and lengths: what is read, what is refused, and with which sentence."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heelball.errors import UnreadableText
from heelball.units import MILLIMETRES, format_fraction, format_mm, parse_length, parse_number, quoted

TEN_AND_A_HALF = Fraction(21, 2)


@pytest.mark.parametrize(
    "text",
    [
        "10 1/2",
        "10½",
        "10 ½",
        "10.5",
        "10,5",
        "10-1/2",
        "  10 1/2 ",
        "10\u00a01/2",
        "10\u202f½",
        "10 1\u20442",
        "10.50",
    ],
)
def test_the_ways_to_write_ten_and_a_half(text: str) -> None:
    assert parse_number(text) == TEN_AND_A_HALF


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("¼", Fraction(1, 4)),
        ("10¾", Fraction(43, 4)),
        ("10 5/8", Fraction(85, 8)),
        ("⅜", Fraction(3, 8)),
        (".5", Fraction(1, 2)),
        ("0", Fraction(0)),
        ("0,125", Fraction(1, 8)),
        ("271", Fraction(271)),
    ],
)
def test_numbers(text: str, value: Fraction) -> None:
    assert parse_number(text) == value


@pytest.mark.parametrize(
    "text",
    [
        "", " ", "ten", "-3", "+3", "nan", "inf", "1e3", "10 kg", "10 1/2 1/2", "½½", "10½5", "½5", "10 5/4",
        "4/4", "1/0", "10.5.1", "10/", "/2", "10 .5", "1_000", "0x10", "\u0661\u0660", "10\x00", "1 2",
    ],
)  # fmt: skip
def test_what_is_no_number_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(UnreadableText) as refused:
        parse_number(text)
    assert refused.value.lines() == [f"{text!r}; wanted a number such as 10, 10 1/2 or 10.5"]


def test_a_comma_that_may_mean_thousands_is_not_guessed() -> None:
    for read in (parse_number, lambda text: parse_length(text, "mm")):
        with pytest.raises(UnreadableText) as refused:
            read("1,234")
        assert str(refused.value) == "'1,234' could be thousands or decimals; wanted 1.234 or 1234"


def test_a_long_text_is_cut_in_its_sentence() -> None:
    with pytest.raises(UnreadableText) as refused:
        parse_number("x" * 100_000)
    assert len(str(refused.value)) < 120
    assert quoted("10 kg") == "'10 kg'"


@pytest.mark.parametrize(
    ("text", "unit", "length"),
    [
        ("271", "mm", Fraction(271)),
        ("271 mm", "mm", Fraction(271)),
        ("27,1cm", "cm", Fraction(271)),
        ("10 5/8", "in", Fraction(2159, 8)),
        ("10⅝ in", "in", Fraction(2159, 8)),
    ],
)
def test_lengths(text: str, unit: str, length: Fraction) -> None:
    assert parse_length(text, unit) == length


@pytest.mark.parametrize(
    ("text", "unit", "wanted"),
    [
        ("27.1 cm", "mm", "mm, such as 271"),
        ("10 kg", "cm", "cm, such as 27.1"),
        ("", "in", "inches, such as 10 5/8"),
        ("mm", "mm", "mm, such as 271"),
    ],
)
def test_another_unit_is_refused(text: str, unit: str, wanted: str) -> None:
    with pytest.raises(UnreadableText) as refused:
        parse_length(text, unit)
    assert str(refused.value) == f"{text!r}; wanted a length in {wanted}"


def test_an_inch_is_25_4_mm_exactly() -> None:
    assert parse_length("1", "in") == Fraction("25.4")
    assert parse_length("1", "cm") == 10


@given(st.fractions(min_value=0, max_value=999_999, max_denominator=999))
def test_a_written_fraction_reads_back(value: Fraction) -> None:
    assert parse_number(format_fraction(value)) == value


@given(st.integers(0, 999_999), st.sampled_from("¼½¾⅛⅜⅝⅞"))
def test_a_fraction_sign_is_its_fraction_in_ascii(whole: int, sign: str) -> None:
    eighths = dict(zip("⅛¼⅜½⅝¾⅞", range(1, 8), strict=True))[sign]
    assert parse_number(f"{whole}{sign}") == whole + Fraction(eighths, 8)


@given(st.text(max_size=12) | st.text("0123456789 ½¼/.,-", max_size=12))
def test_any_text_is_a_number_of_zero_or_more_or_is_refused(text: str) -> None:
    try:
        number = parse_number(text)
    except UnreadableText:
        return
    assert number >= 0


@given(st.fractions(min_value=0, max_value=999, max_denominator=64), st.sampled_from(sorted(MILLIMETRES)))
def test_a_length_is_its_number_times_its_unit(value: Fraction, unit: str) -> None:
    assert parse_length(f"{format_fraction(value)} {unit}", unit) == value * MILLIMETRES[unit]


def test_formats() -> None:
    assert [format_fraction(Fraction(n, 4)) for n in (-5, -1, 0, 1, 4, 6)] == [
        "-1 1/4",
        "-1/4",
        "0",
        "1/4",
        "1",
        "1 1/2",
    ]
    assert [format_mm(value) for value in (4.04, 12.5, -0.04, 271.0, -3.26)] == [
        "4",
        "12.5",
        "0",
        "271",
        "-3.3",
    ]


def test_a_number_written_by_software_is_read_whole() -> None:
    assert float(parse_number("101.33333333333333")) == 101.33333333333333
