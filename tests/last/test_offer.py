"""The offer as a fitter writes it: sizes, ranges and gaps, always rising."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heelball.errors import UnreadableText
from heelball.last.offer import parse_sizes
from heelball.scales.catalogue import size_scale, size_scales

LABEL_SCALES = [name for name, scale in size_scales().items() if not scale.is_gauge]


def stamped(text: str, scale: str) -> list[str]:
    """Return the labels of an offer as they are stamped."""
    return [size_scale(scale).format(size) for size in parse_sizes(text, size_scale(scale))]


@pytest.mark.parametrize(
    ("text", "scale", "sizes"),
    [
        ("8-12", "us-men", "8 9 10 11 12"),
        ("6-8 by 1/2, 10, 11", "us-men", "6|6 1/2|7|7 1/2|8|10|11"),
        ("6-8 by 0.5", "us-men", "6|6 1/2|7|7 1/2|8"),
        ("6½ - 8½", "us-women", "6 1/2|7 1/2|8 1/2"),
        ("6\N{EN DASH}8", "uk", "6 7 8"),
        ("9", "us-men", "9"),
        ("6-10 by 2", "us-men", "6 8 10"),
        ("12-1", "us-child", "12 13 1"),
        ("38-41", "eu", "38 39 40 41"),
        ("24-26 by 1/2", "jis-men", "24 24.5 25 25.5 26"),
        ("24-26", "jis-men", "24 25 26"),
        # ISO 9407: 10 mm is a whole size, 5 mm a half.
        ("250-280", "mondopoint", "250 260 270 280"),
        ("250-265 by 5", "mondopoint", "250 255 260 265"),
        ("250-270", "gost", "250 260 270"),
        # GOST 9155: steps of 7.5 mm are stamped with the half cut off.
        ("240-262 by 7.5", "gost-7.5", "240 247 255 262"),
    ],
)
def test_what_a_fitter_writes(text: str, scale: str, sizes: str) -> None:
    assert stamped(text, scale) == sizes.split("|" if "|" in sizes else " ")


@given(st.sampled_from(LABEL_SCALES), st.data())
def test_any_rising_labels_are_read_back_as_they_stand(name: str, data: st.DataObject) -> None:
    scale = size_scale(name)
    chosen = sorted(data.draw(st.sets(st.sampled_from(scale.labels()), min_size=1, max_size=12)))
    assert parse_sizes(", ".join(map(scale.format, chosen)), scale) == tuple(chosen)


@given(st.sampled_from(LABEL_SCALES), st.data())
def test_a_range_by_the_scale_s_own_step_is_every_label_between_its_ends(
    name: str, data: st.DataObject
) -> None:
    scale = size_scale(name)
    labels = scale.labels()
    first = data.draw(st.integers(0, len(labels) - 1))
    last = data.draw(st.integers(first, len(labels) - 1))
    text = f"{scale.format(labels[first])}-{scale.format(labels[last])} by {float(scale.step):g}"
    assert parse_sizes(text, scale) == labels[first : last + 1]


@pytest.mark.parametrize(
    ("text", "scale", "found", "wanted"),
    [
        ("12-8", "us-men", "backwards in '12-8'", "smaller size first"),
        ("8, 7", "us-men", "backwards at '7'", "above 8"),
        ("8-10, 9 1/2", "us-men", "backwards at '9 1/2'", "above 10"),
        ("8, 8", "us-men", "backwards at '8'", "above 8"),
        ("8-12 by 1/3", "us-men", "steps by 1/3", "1/2"),
        ("8-12 by 0", "us-men", "steps by 0", "1/2"),
        ("40-44 by 1/2", "cn-old", "steps by 1/2", "1 or"),
        ("8-12 by 3", "us-men", "8-12 by 3", "fill exactly"),
        ("255-300", "mondopoint", "255-300", "steps of 10 fill exactly"),
        ("240-270", "mondopoint-7.5", "without its step", "240-270 by 7 1/2"),
        ("8 1/4", "us-men", "no 8 1/4", "whole or half"),
        ("8,,9", "us-men", "empty part", "6-12"),
        ("8-99", "us-men", "99 is off us-men", "to 20"),
        ("1-1000000 by 1/2", "us-men", "1000000", "us-men"),
        ("8-12 by inf", "us-men", "inf", "number"),
        ("8-nan", "us-men", "nan", "us-men"),
        ("-8", "us-men", "-8", "us-men"),
        ("2-5", "us-child", "backwards in '2-5'", "smaller size first"),
        ("", "us-men", "empty", "6-12"),
    ],
)
def test_what_is_no_offer_is_refused_by_its_part(text: str, scale: str, found: str, wanted: str) -> None:
    with pytest.raises(UnreadableText) as refused:
        parse_sizes(text, size_scale(scale))
    assert found in refused.value.found
    assert wanted in refused.value.wanted


@given(
    st.text(st.sampled_from("0123456789 -,./½by\N{EN DASH}CYx"), max_size=30), st.sampled_from(LABEL_SCALES)
)
def test_any_text_is_an_offer_that_rises_or_is_refused(text: str, name: str) -> None:
    scale = size_scale(name)
    try:
        sizes = parse_sizes(text, scale)
    except UnreadableText:
        return
    assert sizes
    assert all(a < b for a, b in pairwise(sizes))
    assert set(sizes) <= set(scale.labels())
    assert all(isinstance(size, Fraction) for size in sizes)
