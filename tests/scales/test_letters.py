"""Width letters and the quarters between them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heelball.errors import UnreadableText
from heelball.scales.letters import LETTERS, format_letter, letter_at, letter_index, parse_letter


def test_the_letters_stand_one_step_apart_around_d() -> None:
    assert [letter_index(letter) for letter in LETTERS] == list(range(-7, 7))
    assert [letter_at(index) for index in range(-7, 7)] == list(LETTERS)
    assert letter_at(-8) is None
    assert letter_at(7) is None


@pytest.mark.parametrize(
    ("written", "letter"),
    [("2E", "EE"), ("3e", "EEE"), ("4A", "AAAA"), (" d ", "D"), ("6E", "EEEEEE"), ("ee", "EE")],
)
def test_counted_letters(written: str, letter: str) -> None:
    assert letter_index(written) == letter_index(letter)


@pytest.mark.parametrize("text", ["F", "DD", "7E", "1E", "AAAAAA", "6A", "", "2B", "E E", "5"])
def test_what_is_no_letter_is_refused(text: str) -> None:
    with pytest.raises(UnreadableText) as refused:
        letter_index(text)
    assert str(refused.value) == f"{text!r}; wanted a width letter, one of {' '.join(LETTERS)}"


@pytest.mark.parametrize("text", ["C 3/4", "C¾", "c ¾", "C3/4", "C.75", " C  3/4 "])
def test_three_quarters_from_c_toward_d(text: str) -> None:
    assert parse_letter(text) == (Fraction(-1, 4), Fraction(1, 4))


def test_a_letter_alone_is_read_to_one_letter() -> None:
    assert parse_letter("EE") == (Fraction(2), Fraction(1))
    assert parse_letter("2E 1/2") == (Fraction(5, 2), Fraction(1, 4))


@pytest.mark.parametrize("text", ["C 5/4", "C 1/8", "C 1", "C 4/4", "C 3/4 1/4", "C -1/4", "C D"])
def test_a_quarter_of_more_than_one_is_refused(text: str) -> None:
    with pytest.raises(UnreadableText) as refused:
        parse_letter(text)
    assert str(refused.value) == f"{text!r}; wanted C alone or with 1/4, 1/2 or 3/4"


@pytest.mark.parametrize("text", ["", "3/4", "F", "10", "¾C"])
def test_a_quarter_without_a_letter_is_refused(text: str) -> None:
    with pytest.raises(UnreadableText) as refused:
        parse_letter(text)
    assert str(refused.value) == f"{text!r}; wanted a width letter such as D, or with quarters C 3/4"


@given(st.integers(-28, 27))
def test_every_quarter_reads_back(fourths: int) -> None:
    position = Fraction(fourths, 4)
    step = Fraction(1) if position.denominator == 1 else Fraction(1, 4)
    assert parse_letter(format_letter(position)) == (position, step)


def test_positions_between_quarters_and_beyond_the_ends() -> None:
    assert format_letter(-0.26) == "C 3/4"
    assert format_letter(Fraction(-1, 4), quarters=False) == "D"
    assert format_letter(-8) == "under AAAAA"
    assert format_letter(7) == "over EEEEEE"
