"""Breadth on the gauge and girth on the last: two quantities behind the same letters."""

from __future__ import annotations

from fractions import Fraction
from typing import Any, Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heelball.errors import UnreadableText
from heelball.scales import gauge_breadth
from heelball.scales.catalogue import size_scale
from heelball.scales.last_width import (
    GIRTH_PER_LENGTH,
    GIRTH_PER_LETTER,
    WidthScale,
    gost_girth,
    jis_girth,
    width_letters,
)

lengths = st.fractions(min_value=180, max_value=360, max_denominator=100)
positions = st.fractions(min_value=-7, max_value=7, max_denominator=100)


def letters(width: str, scale: WidthScale, foot_length: int | Fraction = 270, **mean: Any) -> Fraction:
    """Return n of a stamped width, built around a round mean foot."""
    around: dict[str, Any] = {
        "mean_girth": Fraction(250),
        "mean_length": Fraction(270),
        "average_letter": 0,
    } | mean
    population: Literal["men", "women"] = around.pop("population", "men")
    return width_letters(width, scale, Fraction(foot_length), population, **around)


class TestRuleR:
    def test_the_worked_line(self) -> None:
        # MODEL 2: W = 69.85 + 3.175 s + 4.7625 n, s the men's size of that length.
        for size, n in ((8, 0), (10, -1), (12, 2)):
            length = size_scale("gauge-men").foot_length(Fraction(size))
            expected = Fraction("69.85") + Fraction("3.175") * size + Fraction("4.7625") * n
            assert gauge_breadth.breadth(length, Fraction(n)) == expected

    def test_mens_d_and_womens_b_are_one_breadth(self) -> None:
        assert gauge_breadth.AVERAGE_LETTER == {"men": 0, "women": -2, "child": 0, None: 0}

    @given(lengths, positions)
    def test_letters_and_breadth_are_inverse(self, length: Fraction, n: Fraction) -> None:
        assert gauge_breadth.letters(length, gauge_breadth.breadth(length, n)) == n

    @given(lengths)
    def test_the_floats_for_arrays_say_the_same(self, length: Fraction) -> None:
        by_floats = gauge_breadth.AT_LENGTH_ZERO + gauge_breadth.SLOPE * float(length)
        assert by_floats == pytest.approx(float(gauge_breadth.breadth(length, Fraction(0))), abs=1e-9)

    @given(lengths)
    def test_the_same_breadth_is_a_letter_narrower_a_size_and_a_half_up(self, length: Fraction) -> None:
        longer = length + Fraction(3, 2) * Fraction(254, 30)
        assert gauge_breadth.breadth(longer, Fraction(-1)) == gauge_breadth.breadth(length, Fraction(0))


class TestStampedWidths:
    def test_american_letters_count_from_the_average(self) -> None:
        assert letters("EE", "us") == 2
        assert letters("B", "us", average_letter=-2) == 0
        assert letters("2E", "us", average_letter=-2) == 4

    def test_uk_fittings_are_a_little_wider_apart(self) -> None:
        assert letters("D", "uk") == letters("4", "uk") == 0
        assert letters("E", "uk") == letters("5", "uk") == Fraction("6.5") / Fraction("6.35")
        assert letters("h", "uk") == letters("8", "uk")
        assert letters("A", "uk") == letters("1", "uk") < 0

    @pytest.mark.parametrize("width", ["I", "0", "9", "EE", "", "-1", "nan"])
    def test_other_uk_fittings_are_refused(self, width: str) -> None:
        with pytest.raises(UnreadableText) as refused:
            letters(width, "uk")
        assert str(refused.value) == f"{width!r}; wanted a UK fitting, A to H or 1 to 8"

    def test_a_breadth_in_mm_goes_by_rule_r(self) -> None:
        length = size_scale("gauge-men").foot_length(Fraction(10))
        assert letters("101.6", "mm", length) == 0
        assert letters("106.3625", "mm", length) == 1

    @pytest.mark.parametrize(("width", "scale"), [("E", "jis"), ("3", "gost")])
    def test_a_girth_is_compared_with_the_mean_last_of_that_length(
        self, width: str, scale: WidthScale
    ) -> None:
        girth = (jis_girth if scale == "jis" else gost_girth)(width, Fraction(280), "men")
        on_line = Fraction(250) + GIRTH_PER_LENGTH * (280 - 270)
        assert letters(width, scale, 280) == (girth - on_line) / GIRTH_PER_LETTER

    @given(lengths, st.sampled_from(["men", "women"]))
    def test_wider_letters_are_more_girth(
        self, length: Fraction, population: Literal["men", "women"]
    ) -> None:
        jis = [jis_girth(letter, length, population) for letter in ("A", "C", "E", "EEEE", "F", "G")]
        gost = [gost_girth(number, length, population) for number in ("2", "2.5", "7", "10")]
        assert jis == sorted(set(jis))
        assert gost == sorted(set(gost))

    def test_jis_letters_counted_and_refused(self) -> None:
        assert jis_girth("3e", Fraction(250), "men") == jis_girth("EEE", Fraction(250), "men")
        with pytest.raises(UnreadableText) as refused:
            jis_girth("H", Fraction(250), "men")
        assert str(refused.value) == "'H'; wanted a JIS width, one of A B C D E EE EEE EEEE F G"

    def test_other_widths_are_refused(self) -> None:
        for width, scale in (("F", "us"), ("wide", "gost"), ("wide", "mm"), ("C 3/4", "us")):
            with pytest.raises(UnreadableText):
                letters(width, scale)  # type: ignore[arg-type]
