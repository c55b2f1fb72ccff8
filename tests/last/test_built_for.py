"""The foot each label is built for, against hand arithmetic from MODEL 3."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from heelball.errors import UnreadableText
from heelball.last.built_for import basis_of, built_for, letters_of
from heelball.last.offer import parse_sizes
from heelball.last.values import Label
from heelball.package_data import foot_moments
from heelball.scales.catalogue import size_scale
from tests.fittings import last

MEN = dict(zip(foot_moments()["measures"], foot_moments()["populations"]["men"]["mean"], strict=True))
WOMEN = dict(zip(foot_moments()["measures"], foot_moments()["populations"]["women"]["mean"], strict=True))


def figures(what, label: Label, population: str = "men") -> dict[str, float]:
    basis = basis_of(what.label_scale, population)
    length = float(size_scale(what.label_scale).foot_length(label.size))
    built = built_for(np.array(length), np.array(letters_of(label, what, basis)), basis)
    return dict(zip(("ball", "toe", "breadth", "girth", "heel"), built, strict=True))


def test_a_mens_ten_d():
    # US men's 10 is gauge 10: 32 barleycorns of foot = 270.9333 mm.
    found = figures(last(), Label(Fraction(10), "D"))
    assert found["ball"] == pytest.approx(0.741 * 270.93333, abs=1e-3)  # 200.7616
    assert found["toe"] == pytest.approx(287.8333, abs=1e-3)  # + 16.9
    assert found["breadth"] == pytest.approx(101.6, abs=1e-6)  # 69.85 + 31.75
    assert found["girth"] == pytest.approx(MEN["girth"] + 0.75 * (270.93333 - MEN["length"]), abs=1e-3)
    assert found["heel"] == pytest.approx(MEN["heel"] + 0.1875 * (270.93333 - MEN["length"]), abs=1e-3)


def test_a_size_and_a_letter_more():
    ten, eleven = (figures(last(), Label(Fraction(size), "D")) for size in (10, 11))
    wide = figures(last(), Label(Fraction(10), "EE"))
    size = 25.4 / 3
    for place, step, letter in (
        ("ball", 0.741 * size, 0.0),
        ("toe", size, 0.0),
        ("breadth", 3.175, 4.7625),
        ("girth", 0.75 * size, 6.35),
        ("heel", 0.1875 * size, 0.8),
    ):
        assert eleven[place] - ten[place] == pytest.approx(step), place
        assert wide[place] - ten[place] == pytest.approx(2 * letter), place


def test_a_womens_nine_b():
    # US women's 9 is men's 8: 30 barleycorns = 254 mm. Her average letter is B.
    found = figures(last(scale="us-women"), Label(Fraction(9), "B"), "women")
    assert found["ball"] == pytest.approx(0.739 * 254)
    assert found["breadth"] == pytest.approx(69.85 + 8 * 3.175)
    assert found["girth"] == pytest.approx(WOMEN["girth"] + 0.75 * (254 - WOMEN["length"]))
    # The scale's population decides, whoever wears it.
    assert figures(last(scale="us-women"), Label(Fraction(9), "B"), "men") == found


def test_on_a_unisex_scale_the_wearers_mean_foot_is_built_around():
    # EU 42: 280 mm of last less two points: 266.667 mm of foot.
    eu = last(scale="eu", labels=(Label(Fraction(42), None),))
    men, women, unstated = (
        figures(eu, Label(Fraction(42), None), who) for who in ("men", "women", "unstated")
    )
    assert men["toe"] == pytest.approx(280 - 40 / 3 + 16.9)
    assert men["ball"] == pytest.approx(0.741 * 266.6667, abs=1e-3)
    assert women["ball"] == pytest.approx(0.739 * 266.6667, abs=1e-3)
    assert women["girth"] == pytest.approx(WOMEN["girth"] + 0.75 * (266.6667 - WOMEN["length"]), abs=1e-3)
    assert unstated == men


@pytest.mark.parametrize(
    ("scale", "width_scale", "width", "n"),
    [
        ("us-men", "us", "D", 0), ("us-men", "us", "B", -2), ("us-men", "us", "2E", 2),
        ("us-women", "us", "B", 0),
        ("us-women", "us", "D", 2), ("eu", "us", "D", 0), ("us-women", "uk", "E", 6.5 / 6.35),
        ("uk", "uk", "D", 0), ("uk", "uk", "F", 2 * 6.5 / 6.35), ("uk", "uk", "6", 2 * 6.5 / 6.35),
        ("uk", "uk", "4", 0),
    ],
)  # fmt: skip
def test_letters_above_the_average(scale, width_scale, width, n):
    what = last(scale=scale, width_scale=width_scale)
    assert letters_of(Label(Fraction(9), width), what, basis_of(scale, "men")) == pytest.approx(n)


def test_breadth_in_mm_jis_and_gost_girth_as_letters():
    # A mm width: (W - R at L, n = 0) / 4.7625. EU 42: L 266.667, men's size 9.496: R 100.0.
    eu = basis_of("eu", "men")
    line = 69.85 + 3.175 * (266.66667 / (25.4 / 3) - 22)
    mm = last(scale="eu", width_scale="mm")
    assert letters_of(Label(Fraction(42), "105"), mm, eu) == pytest.approx((105 - line) / 4.7625, abs=1e-5)
    # JIS men, E at 250 mm: girth 243; each letter 6 mm more (S20).
    jis = last(scale="jis-men", width_scale="jis")
    basis = basis_of("jis-men", "men")
    beyond = 0.75 * (250 - MEN["length"])
    assert letters_of(Label(Fraction(25), "E"), jis, basis) == pytest.approx(
        (243 - MEN["girth"] - beyond) / 6.35, abs=1e-5
    )
    wider = letters_of(Label(Fraction(25), "EE"), jis, basis) - letters_of(
        Label(Fraction(25), "E"), jis, basis
    )
    assert wider == pytest.approx(6 / 6.35)


def test_a_label_without_a_letter_has_the_references_or_the_average():
    for reference, n in ((None, 0), ("E", 1), ("B", -2)):
        what = last(widths=None, reference_width=reference)
        assert letters_of(Label(Fraction(10), None), what, basis_of("us-men", "men")) == n
    # What it says never moves a label that has one.
    what = last(reference_width="EE")
    assert letters_of(Label(Fraction(10), "D"), what, basis_of("us-men", "men")) == 0


def test_no_child_is_built_for():
    with pytest.raises(ValueError, match="child"):
        basis_of("us-child", "men")


@pytest.mark.parametrize(
    ("text", "sizes"),
    [
        ("6-8 by 1/2, 13, 14", [6, 6.5, 7, 7.5, 8, 13, 14]),
        ("8-12", [8, 9, 10, 11, 12]),
        ("9", [9]),
        ("9 1/2", [9.5]),
    ],
)
def test_an_offer_with_gaps(text, sizes):
    assert [float(size) for size in parse_sizes(text, size_scale("us-men"))] == sizes


def test_whole_sizes_of_a_scale_numbered_in_mm_are_tens():
    assert list(parse_sizes("250-280", size_scale("mondopoint"))) == [250, 260, 270, 280]
    assert list(parse_sizes("250-260 by 5", size_scale("mondopoint"))) == [250, 255, 260]


@pytest.mark.parametrize(
    "text", ["9, 8", "9-8", "9, 9", "9,, 10", "8-10 by 1/3", "8-10 by 0", "ten", "8-9 1/2"]
)
def test_an_offer_that_cannot_be_is_refused(text):
    with pytest.raises(UnreadableText):
        parse_sizes(text, size_scale("us-men"))
