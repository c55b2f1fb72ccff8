"""The offer as it is written: sizes and ranges, rising, on the label scale's own numbers."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heelball.errors import UnreadableText
from heelball.last.offer import parse_sizes
from heelball.scales.catalogue import size_scale, size_scales
from heelball.units import format_fraction

#: A whole size in each scale's own numbers: 10 mm where it numbers mm (ISO 9407), else 1.
IN_MILLIMETRES = ("mondopoint", "mondopoint-7.5", "cn", "kr", "gost", "gost-7.5")


def refusal(text: str, scale: str) -> str:
    with pytest.raises(UnreadableText) as refused:
        parse_sizes(text, size_scale(scale))
    return str(refused.value)


@pytest.mark.parametrize(
    ("text", "scale", "sizes"),
    [
        ("9", "us-men", "9"),
        ("8-10", "us-men", "8 9 10"),
        ("8 1/2-10 1/2", "us-men", "8.5 9.5 10.5"),
        ("8½ – 9½ by ½", "us-men", "8.5 9 9.5"),
        ("6-8 by 1/2, 13, 14", "us-men", "6 6.5 7 7.5 8 13 14"),
        ("6-10 by 2,11.5", "uk", "6 8 10 11.5"),
        ("39-41", "eu", "39 40 41"),
        ("240-260", "mondopoint", "240 250 260"),
        ("240-250 by 5", "mondopoint", "240 245 250"),
        ("240-270 by 7.5", "mondopoint-7.5", "240 247.5 255 262.5 270"),
        ("247-262 by 7.5", "gost-7.5", "247.5 255 262.5"),
        ("24-26", "jis-men", "24 25 26"),
        ("24-25 by 0.5", "jis-men", "24 24.5 25"),
        ("40-43", "cn-old", "40 41 42 43"),
        ("12-2", "uk-child", "12 13 14 15"),
    ],
)
def test_a_written_offer(text: str, scale: str, sizes: str) -> None:
    assert parse_sizes(text, size_scale(scale)) == tuple(map(Fraction, sizes.split()))


@pytest.mark.parametrize(
    ("text", "scale", "said"),
    [
        ("10-8", "us-men", "the offer goes backwards in '10-8'; wanted the smaller size first"),
        ("9, 8", "us-men", "the offer goes backwards at '8'; wanted sizes rising above 9"),
        ("9, 9", "us-men", "the offer goes backwards at '9'; wanted sizes rising above 9"),
        ("8-10, 10-12", "us-men", "the offer goes backwards at '10-12'; wanted sizes rising above 10"),
        ("8,, 9", "us-men", "an empty part between commas; wanted sizes such as 6-12 by 1/2, 13"),
        ("8-9 by 1/4", "us-men", "steps by 1/4; wanted steps by 1/2 or a multiple of it"),
        ("8-9 by 0", "us-men", "steps by 0; wanted steps by 1/2 or a multiple of it"),
        ("8-9 1/2", "us-men", "'8-9 1/2'; wanted a range that its steps of 1 fill exactly"),
        ("240-250 by 7.5", "mondopoint", "steps by 7.5; wanted steps by 5 or a multiple of it"),
        (
            "240-300",
            "mondopoint-7.5",
            "'240-300' without its step; wanted its step, such as 240-300 by 7 1/2",
        ),
        ("8-", "us-men", "'8-'; wanted a size on us-men, such as 10"),
        ("-8", "us-men", "'-8'; wanted a size on us-men, such as 10"),
        ("8-x", "us-men", "'x'; wanted a size on us-men, such as 10"),
        ("8-9 by x", "us-men", "'x'; wanted a number such as 10, 10 1/2 or 10.5"),
        ("40 1/2", "cn-old", "cn-old has no 40 1/2; wanted a whole size"),
    ],
)
def test_an_offer_that_cannot_be(text: str, scale: str, said: str) -> None:
    assert refusal(text, scale) == said


@given(st.sampled_from(sorted(size_scales())), st.data())
def test_a_range_is_its_sizes_one_by_one(name: str, data: st.DataObject) -> None:
    scale = size_scale(name)
    labels = scale.labels()
    first = data.draw(st.integers(0, len(labels) - 1))
    stride = data.draw(st.integers(1, 4))
    count = data.draw(st.integers(1, (len(labels) - 1 - first) // stride + 1))
    meant = [labels[first + i * stride] for i in range(count)]
    step = format_fraction(stride * scale.step)
    whole = Fraction(10 if name in IN_MILLIMETRES else 1)
    by = data.draw(st.sampled_from(["", f" by {step}"])) if stride * scale.step == whole else f" by {step}"
    text = f"{scale.format(meant[0])}-{scale.format(meant[-1])}{by}"
    assert parse_sizes(text, scale) == tuple(meant)
    assert parse_sizes(", ".join(map(scale.format, meant)), scale) == tuple(meant)
