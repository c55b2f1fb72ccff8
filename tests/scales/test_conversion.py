"""From scale to scale through foot length: a value with a low and a high, and what they rest on."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from heelball.errors import UnreadableText
from heelball.scales.catalogue import size_scale, size_scales
from heelball.scales.conversion import Conversion, convert, from_foot_length, to_foot_length
from heelball.scales.editions import editions
from heelball.scales.size_scale import SizeScale

scales = st.sampled_from(list(size_scales().values()))
foot_lengths = st.fractions(min_value=80, max_value=370, max_denominator=100)


@st.composite
def labels(draw: st.DrawFn) -> tuple[SizeScale, Fraction]:
    scale = draw(scales)
    return scale, draw(st.sampled_from(scale.labels()))


def on(size: str, source: str, target: str) -> Conversion:
    return convert(size_scale(source).parse(size), size_scale(source), size_scale(target))


def said(conversion: Conversion) -> dict[str, list[str]]:
    """Return the remarks by what they are about."""
    by_kind: dict[str, list[str]] = {}
    for remark in conversion.remarks:
        by_kind.setdefault(remark.kind, []).append(remark.sentence)
    return by_kind


@given(labels(), scales)
def test_a_value_lies_between_its_low_and_its_high(
    label: tuple[SizeScale, Fraction], target: SizeScale
) -> None:
    source, size = label
    try:
        found = convert(size, source, target)
    except UnreadableText:
        assert not target.lowest <= target.nearest(target.size(source.foot_length(size))) <= target.highest
        return
    assert found.low <= found.value <= found.high
    assert target.lowest <= target.nearest(found.value) <= target.highest


@given(labels(), scales)
def test_a_conversion_goes_through_foot_length(label: tuple[SizeScale, Fraction], target: SizeScale) -> None:
    source, size = label
    try:
        found = convert(size, source, target)
    except UnreadableText:
        assume(False)
    assert found.foot_length == source.foot_length(size) == to_foot_length(size, source).foot_length
    assert found.value == target.size(found.foot_length)
    assert target.foot_length(found.value) == found.foot_length
    if source.name != target.name:
        straight = from_foot_length(found.foot_length, target)
        assert (straight.value, found.low <= straight.low, straight.high <= found.high) == (
            found.value,
            True,
            True,
        )


@given(labels(), scales)
def test_low_and_high_cover_every_pair_of_editions(
    label: tuple[SizeScale, Fraction], target: SizeScale
) -> None:
    source, size = label
    assume(source.name != target.name)
    try:
        found = convert(size, source, target)
    except UnreadableText:
        assume(False)
    reached = {found.value} | {
        number
        for read_by in editions(source)
        if (length := read_by.foot_length(size)) is not None
        for edition in editions(target)
        if (number := edition.size(length)) is not None
    }
    assert (found.low, found.high) == (min(reached), max(reached))


@given(labels())
def test_a_scale_converts_to_itself_without_doubt(label: tuple[SizeScale, Fraction]) -> None:
    scale, size = label
    assert convert(size, scale, scale) == Conversion(scale.foot_length(size), size, size, size)


shares = st.fractions(min_value=0, max_value=1, max_denominator=500)


def length_on(scale: SizeScale, share: Fraction) -> Fraction:
    """Return a foot length that far along a scale's own range, so that no example is thrown away."""
    first, last = scale.foot_length(scale.lowest), scale.foot_length(scale.highest)
    return first + share * (last - first)


@given(scales, shares, shares)
def test_a_longer_foot_never_converts_to_less(scale: SizeScale, one: Fraction, other: Fraction) -> None:
    lengths = sorted((length_on(scale, one), length_on(scale, other)))
    shorter, longer = (from_foot_length(length, scale) for length in lengths)
    assert shorter.value <= longer.value


@given(scales, shares)
def test_foot_length_and_back(scale: SizeScale, share: Fraction) -> None:
    length = length_on(scale, share)
    found = from_foot_length(length, scale)
    assert scale.foot_length(found.value) == length
    back = to_foot_length(found.value, scale)
    assert back.value == back.foot_length == length
    assert back.low <= length <= back.high


def test_the_first_edition_is_the_scale_s_own_line() -> None:
    for scale in size_scales().values():
        first = editions(scale)[0]
        assert [first.foot_length(size) for size in scale.labels()] == [
            scale.foot_length(size) for size in scale.labels()
        ]
        assert all(edition.source for edition in editions(scale))


def test_a_table_is_silent_beyond_its_rows() -> None:
    *_, table = editions(size_scale("eu"))
    assert table.size(Fraction(270)) == Fraction(85, 2)
    assert table.size(Fraction(209)) is None
    assert table.size(Fraction(321)) is None
    assert table.foot_length(Fraction(33)) is None
    assert table.foot_length(Fraction(101, 2)) is None


class TestEditions:
    def test_eu_from_the_foot_by_every_edition(self) -> None:
        found = on("270", "mondopoint", "eu")
        # 0.15 L + 2 (S3 S42); read as the foot itself 0.15 L (S1); with 2 cm 0.15 L + 3.
        assert (found.value, found.low, found.high) == (Fraction("42.5"), Fraction("40.5"), Fraction("43.5"))
        (sentence,) = said(found)["editions"]
        assert sentence == (
            "This foot on eu: 42.5 with two points of toe room (S3 S42); 42.75 with 15 mm of toe room "
            "(common practice, no source); 43.5 with 2 cm of toe room (common practice, no source); "
            "40.5 read as the foot's own length (S1); 42.5 in the marking table (S3, second-hand)."
        )

    def test_eu_as_a_foot_by_every_edition(self) -> None:
        found = to_foot_length(Fraction(42), size_scale("eu"))
        assert [found.low, found.high] == [260, 280]
        assert "280 mm read as the foot's own length (S1)" in said(found)["editions"][0]

    def test_uk_by_two_thirds_and_by_half_an_inch(self) -> None:
        found = from_foot_length(Fraction(254), size_scale("uk"))
        assert [found.value, found.low] == [7, Fraction("6.5")]
        assert found.high == 7

    def test_editions_of_the_source_spread_the_foot(self) -> None:
        found = on("42", "eu", "mondopoint")
        assert [found.low, found.high] == [260, 280]
        assert found.value == found.foot_length == Fraction(800, 3)

    def test_uk_to_us_men_is_one_and_the_older_zero_is_said(self) -> None:
        found = on("9", "uk", "us-men")
        assert found.value == 10
        assert said(found)["old-zero"] == ["From the older American zero (us-men-old) the same foot is 9.25."]
        back = on("10", "us-men", "uk")
        assert back.value == 9
        assert said(back)["old-zero"] == [
            "Read from the older American zero (us-men-old) the same number is uk 9.75."
        ]
        assert "old-zero" not in said(on("10", "us-men", "eu"))

    def test_women_standard_and_common(self) -> None:
        assert said(on("7", "gauge-men", "us-women"))["women"] == [
            "us-women is men + 1; on us-women-common (men + 1 1/2) the same foot is 8.5."
        ]
        (read_as,) = said(on("8", "us-women", "gauge-men"))["women"]
        assert read_as.endswith(
            "read as us-women-common (men + 1 1/2) the same number is a foot of 241.3 mm."
        )
        assert said(on("8", "us-women", "us-women-common"))["women"] == [
            "us-women (men + 1) and us-women-common (men + 1 1/2) are two scales; a label seldom says which."
        ]
        assert "women" not in said(on("8", "gauge-women", "gauge-men"))

    def test_a_child_table_departs_from_the_constant_offset(self) -> None:
        # 150 mm: UK 7 1/2 in the table, 3 L - 10 = 7.72 with the adults' 2/3 in (trap 5).
        inches = Fraction(150) / Fraction("25.4")
        uk = from_foot_length(Fraction(150), size_scale("uk-child"))
        assert [uk.low, uk.value, uk.high] == [Fraction("7.5"), Fraction("7.5"), 3 * inches - 10]
        us = from_foot_length(Fraction(150), size_scale("us-child"))
        assert [us.low, us.value, us.high] == [8, 8, 3 * inches - Fraction(29, 3)]
        # EU 24 1/2 in the table, 0.15 L + 2 by the adults' line, 0.15 L where it is the foot.
        eu = from_foot_length(Fraction(150), size_scale("eu-child"))
        assert [eu.low, eu.value, eu.high] == [Fraction("22.5"), Fraction("24.5"), Fraction("24.5")]

    def test_two_zeros_of_the_old_boys_scale(self) -> None:
        # A last of 5 in: (5 - 3 11/12) x 3 = 3 1/4 (S10 S23), (5 - 3 7/8) x 3 = 3 3/8 (S24).
        found = from_foot_length(Fraction("25.4") * (5 - Fraction(2, 3)), size_scale("us-boys-old"))
        assert [found.value, found.low, found.high] == [Fraction("3.25"), Fraction("3.25"), Fraction("3.375")]

    def test_old_scales_say_that_only_lasts_are_published(self) -> None:
        (sentence,) = said(on("9", "us-men-old", "us-men"))["last-only"]
        assert sentence == (
            "Of us-men-old only the last lengths are published (S10); "
            "the foot is taken 2/3 in shorter, as on the modern scales."
        )

    def test_the_restart_is_said_once_for_both(self) -> None:
        assert said(on("2Y", "gauge-child", "uk-child"))["restart"] == [
            "On gauge-child and uk-child 13 1/2 is followed by 1; C and Y tell apart what stands twice."
        ]

    def test_scales_that_agree_need_no_remark(self) -> None:
        assert on("10 1/2", "gauge-men", "mondopoint").remarks == ()


class TestOffTheRange:
    def test_a_foot_off_the_target_is_refused(self) -> None:
        with pytest.raises(UnreadableText) as refused:
            on("2C", "gauge-child", "eu")
        assert str(refused.value) == "a foot of 98.8 mm is off eu; wanted a foot of 180 to 360 mm"

    @pytest.mark.parametrize("name", ["uk-child", "us-child", "eu-child"])
    def test_half_a_step_beyond_the_end_is_still_the_last_label(self, name: str) -> None:
        scale = size_scale(name)
        found = from_foot_length(Fraction(119), scale)
        assert scale.nearest(found.value) == scale.lowest
        assert found.low <= found.value <= found.high

    def test_editions_beyond_the_end_are_said(self) -> None:
        assert said(on("56", "eu", "cn-old"))["ends"] == [
            "Some editions put this foot beyond cn-old (26 to 62)."
        ]
