"""Every label of every scale: read, written, put in mm and back; and what is refused."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heelball.errors import UnreadableText
from heelball.scales.catalogue import size_scale, size_scales
from heelball.scales.size_scale import SizeScale

NAMES = [
    "gauge-men", "gauge-women", "gauge-child", "us-men", "us-women", "us-women-common", "us-child",
    "us-men-old", "us-women-old", "us-boys-old", "us-girls-old", "uk", "uk-child", "eu", "eu-child",
    "mondopoint", "mondopoint-7.5", "jis-men", "jis-women", "jis-child", "cn", "cn-old", "kr", "gost",
    "gost-7.5",
]  # fmt: skip
RESTARTING = ["gauge-child", "us-child", "us-boys-old", "us-girls-old", "uk-child"]

every_scale = pytest.mark.parametrize("scale", size_scales().values(), ids=size_scales())
scales = st.sampled_from(list(size_scales().values()))
foot_lengths = st.fractions(min_value=60, max_value=400, max_denominator=1000)


@st.composite
def quarters(draw: st.DrawFn) -> tuple[SizeScale, Fraction]:
    """Return a scale that is read between its labels, and a mark to the nearest quarter size."""
    scale = draw(scales.filter(lambda scale: scale.numbering == "sizes" and scale.step == Fraction(1, 2)))
    fourths = draw(st.integers(int(scale.lowest * 4), int(scale.highest * 4)))
    return scale, Fraction(fourths, 4)


def refusal(scale: str, text: str, *, quarters: bool = False) -> str:
    with pytest.raises(UnreadableText) as refused:
        size_scale(scale).parse(text, quarters=quarters)
    return str(refused.value)


def test_the_scales_are_the_contracted_ones() -> None:
    assert list(size_scales()) == NAMES
    assert [name for name, scale in size_scales().items() if scale.restarts] == RESTARTING
    unisex = [name for name, scale in size_scales().items() if scale.population is None]
    assert unisex == ["uk", "eu", "mondopoint", "mondopoint-7.5", "cn", "cn-old", "kr", "gost", "gost-7.5"]


@every_scale
def test_every_label_reads_back_as_written(scale: SizeScale) -> None:
    labels = scale.labels()
    assert labels[0] == scale.lowest
    assert labels[-1] == scale.highest
    written = [scale.format(size) for size in labels]
    assert [scale.parse(text) for text in written] == list(labels)
    assert len(set(written)) == len(written)
    assert all(text.isascii() for text in written)


@every_scale
def test_every_label_is_its_own_nearest(scale: SizeScale) -> None:
    assert all(scale.nearest(size) == size for size in scale.labels())


@every_scale
def test_a_longer_foot_never_has_a_smaller_number(scale: SizeScale) -> None:
    lengths = [scale.foot_length(size) for size in scale.labels()]
    assert all(shorter < longer for shorter, longer in pairwise(lengths))
    assert all(isinstance(length, Fraction) for length in lengths)


@given(scales, foot_lengths, foot_lengths)
def test_length_and_size_are_inverse_and_rise_together(
    scale: SizeScale, one: Fraction, other: Fraction
) -> None:
    assert scale.foot_length(scale.size(one)) == one
    assert (scale.size(one) < scale.size(other)) == (one < other)


@given(scales, foot_lengths)
def test_the_nearest_label_is_within_half_a_step(scale: SizeScale, length: Fraction) -> None:
    size = scale.size(length)
    nearest = scale.nearest(size)
    assert abs(nearest - size) <= scale.step / 2
    assert (nearest / scale.step).denominator == 1


def test_a_size_half_way_goes_down_to_the_label() -> None:
    # As in the marking table: 235 mm falls at 37 1/4 and is marked 37 (S3).
    assert size_scale("eu").nearest(size_scale("eu").size(235)) == 37
    assert size_scale("us-men").nearest(Fraction(41, 4)) == 10


@given(quarters())
def test_a_reading_in_quarters_reads_back(read: tuple[SizeScale, Fraction]) -> None:
    scale, size = read
    assert scale.parse(scale.format(size), quarters=True) == size


@pytest.mark.parametrize("text", ["10 1/2", "10½", "10.5", "10,5", " 10 ½ "])
def test_half_sizes_as_the_trade_writes_them(text: str) -> None:
    assert size_scale("gauge-men").parse(text) == Fraction(21, 2)


@pytest.mark.parametrize("text", ["25.5", "25,5", "25 1/2"])
def test_japanese_centimetres(text: str) -> None:
    assert size_scale("jis-men").parse(text) == Fraction(51, 2)
    assert size_scale("jis-men").format(Fraction(51, 2)) == "25.5"
    assert size_scale("jis-men").format(Fraction(26)) == "26"


def test_a_last_is_two_barleycorns_longer_than_the_foot() -> None:
    for name in ("us-men", "us-women", "us-women-common", "uk", "us-men-old", "us-women-old"):
        scale = size_scale(name)
        assert {scale.last_length(size) - scale.foot_length(size) for size in scale.labels()} == {
            Fraction(254, 15)
        }
    eu = size_scale("eu")
    assert {eu.last_length(size) - eu.foot_length(size) for size in eu.labels()} == {Fraction(40, 3)}


def test_a_scale_of_feet_has_no_last() -> None:
    with pytest.raises(UnreadableText) as refused:
        size_scale("mondopoint").last_length(Fraction(270))
    assert str(refused.value) == "mondopoint numbers feet; wanted a scale that numbers lasts"


def test_women_are_men_and_one_or_one_and_a_half() -> None:
    foot = Fraction(250)
    men = size_scale("us-men").size(foot)
    assert size_scale("us-women").size(foot) == men + 1
    assert size_scale("us-women-common").size(foot) == men + Fraction(3, 2)
    assert size_scale("gauge-women").size(foot) == size_scale("gauge-men").size(foot) + 1
    assert size_scale("uk").size(foot) == men - 1


class TestRestart:
    @pytest.mark.parametrize("name", RESTARTING)
    def test_the_label_after_13_and_a_half_is_1(self, name: str) -> None:
        scale = size_scale(name)
        labels = scale.labels()
        after = labels[labels.index(Fraction(27, 2)) + 1]
        assert after == 14
        assert scale.format(after) in ("1", "1Y")
        assert scale.foot_length(after) > scale.foot_length(Fraction(27, 2))

    def test_a_number_that_stands_twice_needs_its_letter(self) -> None:
        gauge = size_scale("gauge-child")
        assert gauge.parse("2C") == 2
        assert gauge.parse("2y") == 15
        assert gauge.parse("2½Y") == Fraction(31, 2)
        assert refusal("gauge-child", "2") == (
            "2 stands twice on gauge-child; wanted 2C for the smaller or 2Y for the one after 13 1/2"
        )
        assert refusal("uk-child", "3½").startswith("3½ stands twice on uk-child; wanted 3½C")

    def test_a_number_that_stands_once_does_not(self) -> None:
        assert size_scale("gauge-child").parse("10") == 10
        assert size_scale("gauge-child").parse("10C") == 10
        assert size_scale("uk-child").parse("2") == 15
        assert size_scale("us-child").parse("3 1/2") == Fraction(33, 2)

    @pytest.mark.parametrize("text", ["14", "14C", "10Y", "7Y", "1/2Y", "0Y"])
    def test_the_continued_count_is_no_label(self, text: str) -> None:
        assert refusal("gauge-child", text) == f"{text} is off gauge-child; wanted 0 to 13 1/2, then 1 to 6"

    def test_the_range_of_a_child_scale(self) -> None:
        assert refusal("uk-child", "3C") == "3C is off uk-child; wanted 3 1/2 to 13 1/2, then 1 to 4"

    def test_quarters_around_the_restart(self) -> None:
        gauge = size_scale("gauge-child")
        around = [Fraction(fourths, 4) for fourths in (53, 54, 55, 56, 57)]
        assert [gauge.format(size) for size in around] == ["13 1/4", "13 1/2", "13 3/4", "1Y", "1 1/4Y"]

    def test_only_a_restarting_scale_reads_the_letters(self) -> None:
        assert refusal("us-men", "10C") == "'10C'; wanted a size on us-men, such as 10"
        assert refusal("eu-child", "30Y") == "'30Y'; wanted a size on eu-child, such as 27 1/2"


class TestCutHalves:
    """Steps of 7.5 mm are printed with the half cut off (GOST 9155-88)."""

    @pytest.mark.parametrize("name", ["mondopoint-7.5", "gost-7.5"])
    def test_both_spellings(self, name: str) -> None:
        scale = size_scale(name)
        assert scale.parse("262") == scale.parse("262.5") == Fraction(525, 2)
        assert scale.format(Fraction(525, 2)) == "262"
        assert scale.parse("270") == 270

    def test_other_millimetres_are_refused(self) -> None:
        assert refusal("gost-7.5", "263") == "gost-7.5 has no 263; wanted a multiple of 7.5 mm"
        assert refusal("gost-7.5", "275") == "gost-7.5 has no 275; wanted a multiple of 7.5 mm"
        assert refusal("gost", "262.5") == "gost has no 262.5; wanted a multiple of 5 mm"


@pytest.mark.parametrize(
    ("scale", "text", "sentence"),
    [
        ("us-men", "10.3", "us-men has no 10.3; wanted a whole or half size"),
        ("us-men", "10 1/4", "us-men has no 10 1/4; wanted a whole or half size"),
        ("cn-old", "40 1/2", "cn-old has no 40 1/2; wanted a whole size"),
        ("jis-women", "24.25", "jis-women has no 24.25; wanted a whole or half size"),
        ("us-men", "21", "21 is off us-men; wanted 1/2 to 20"),
        ("eu", "28½", "28½ is off eu; wanted 29 to 56"),
        ("mondopoint", "27", "mondopoint has no 27; wanted a multiple of 5 mm"),
        ("mondopoint", "400", "400 is off mondopoint; wanted 90 to 360"),
        ("us-men", "10 kg", "'10 kg'; wanted a size on us-men, such as 10"),
        ("us-men", "", "''; wanted a size on us-men, such as 10"),
        ("us-men", "-1", "'-1'; wanted a size on us-men, such as 10"),
        ("us-men", "nan", "'nan'; wanted a size on us-men, such as 10"),
        ("jis-men", "inf", "'inf'; wanted a size on jis-men, such as 27"),
        ("us-men", "10\x00", "'10\\x00'; wanted a size on us-men, such as 10"),
        ("us-men", "10 5/4", "'10 5/4'; wanted a size on us-men, such as 10"),
    ],
)
def test_refusals(scale: str, text: str, sentence: str) -> None:
    assert refusal(scale, text) == sentence


def test_refusals_of_readings_in_quarters() -> None:
    assert refusal("gauge-men", "10 1/8", quarters=True) == (
        "gauge-men has no 10 1/8; wanted a whole, half or quarter size"
    )
    # A scale of whole sizes, or one numbered in lengths, is not read between its marks.
    assert refusal("cn-old", "40 1/2", quarters=True) == "cn-old has no 40 1/2; wanted a whole size"
    assert refusal("jis-men", "25.25", quarters=True) == "jis-men has no 25.25; wanted a whole or half size"


@given(scales, st.text("0123456789 ½¼/.,-CY", max_size=8), st.booleans())
def test_any_text_is_a_mark_in_range_or_is_refused(scale: SizeScale, text: str, quarters: bool) -> None:
    try:
        size = scale.parse(text, quarters=quarters)
    except UnreadableText:
        return
    assert scale.lowest <= size <= scale.highest
    assert (4 * size if quarters and scale.numbering == "sizes" else size / scale.step).denominator == 1


@pytest.mark.parametrize(
    ("name", "offered"),
    [
        ("gauge-man", "one of gauge-men, gauge-women, gauge-child"),
        ("EU", "one of eu, eu-child"),
        ("us-wommen", "one of us-women, us-men"),
        ("jis", "one of jis-men, jis-women, jis-child"),
        ("shoe", f"one of {', '.join(NAMES)}"),
        ("", f"one of {', '.join(NAMES)}"),
    ],
)
def test_an_unknown_scale_is_told_the_nearest(name: str, offered: str) -> None:
    with pytest.raises(UnreadableText) as refused:
        size_scale(name)
    assert refused.value.found == f"no size scale {name!r}"
    assert refused.value.wanted.startswith(offered)


def test_decimals_between_labels() -> None:
    assert size_scale("eu").format_decimal(Fraction(3463, 80)) == "43.29"
    assert size_scale("gauge-child").format_decimal(Fraction("14.88")) == "1.88Y"
    assert size_scale("gauge-child").format_decimal(Fraction("1.88")) == "1.88C"


def test_no_adult_takes_a_zero() -> None:
    with pytest.raises(UnreadableText, match="0 is off gauge-men; wanted 1/2 to 20"):
        size_scale("gauge-men").parse("0")
    assert size_scale("gauge-child").parse("0") == 0
