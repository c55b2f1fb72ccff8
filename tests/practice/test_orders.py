"""What any fitter would expect of both answers. Common practice, no source."""

from __future__ import annotations

from fractions import Fraction

import pytest

from heelball.fit.choice import answer
from heelball.fit.wearer import Signs
from heelball.last.values import Label
from tests.fittings import alike, chosen, last, wearer, written

pytestmark = pytest.mark.practice

SIZES = [Fraction(s, 2) for s in range(14, 27)]


@pytest.mark.parametrize("letter", ["C", "D", "E"])
@pytest.mark.parametrize("size", SIZES, ids=written)
def test_one_size_and_letter_throughout_is_ordered_that_label_by_both(size, letter):
    """Common practice, no source."""
    choice = chosen(wearer(*alike(written(size), written(size), letter)), last(order=0))
    assert choice.order == Label(size, letter)
    assert choice.trade_rule.order == Label(size, letter)


@pytest.mark.parametrize("order", [-1, -0.5, 0.5, 1])
@pytest.mark.parametrize("size", ["8", "10", "12"])
def test_another_offset_moves_the_label_by_it(size, order):
    """Common practice, no source."""
    choice = chosen(wearer(*alike(size, size, "D")), last(order=order))
    moved = Label(Fraction(size) + Fraction(order), "D")
    assert choice.trade_rule.order == moved
    assert choice.order == moved


@pytest.mark.parametrize("what", [last(order=0), last(), last(order=-0.5), last(order=0, high=13)])
def test_length_twelve_with_ball_fourteen_is_never_a_twelve(what):
    """Common practice, no source."""
    choice = chosen(wearer(*alike("12", "14", "D")), what)
    assert choice.label.size > 12
    assert choice.trade_rule.order is None or choice.trade_rule.order.size > 12


def test_overall_much_longer_than_ball_refers():
    """Common practice, no source."""
    refer = answer(wearer(*alike("12", "10", "D", line="12")), [last(order=0)])
    assert "length-over-ball" in [reason.kind for reason in refer.referral]
    near = answer(wearer(*alike("11", "10", "D")), [last(order=0)])
    assert near.referral == ()


@pytest.mark.parametrize(
    ("sex", "population"), [("women", "women"), ("women", "men"), ("women", "unstated"), ("men", "women")]
)
def test_one_and_a_half_sizes_on_the_gauge_is_not_yet_over_the_limit(sex, population):
    """Common practice, no source: the limit is in sizes of the gauge that was read, above 1 1/2."""
    who = wearer(*alike("10", "8 1/2", "B", sex=sex), population=population)
    assert "length-over-ball" not in [reason.kind for reason in answer(who, []).referral]


def test_feet_far_apart_are_measured_again_before_an_order():
    """Common practice, no source: above 8.5 mm of length (fit-facts)."""
    left = [r for r in alike("9", "9", "D") if r.foot == "left"]
    for size, refers in (("10", False), ("10 1/2", True)):
        right = [r for r in alike(size, size, "D") if r.foot == "right"]
        said = answer(wearer(*left, *right), [last(order=0)])
        assert ("feet-apart" in [reason.kind for reason in said.referral]) is refers


def test_an_urgent_sign_opens_the_answer():
    """Common practice, no source."""
    said = answer(wearer(*alike("9", "9", "D"), signs=Signs(urgent=True)), [last(order=0)])
    assert said.urgent
    assert said.referral[0].kind == "urgent"


def test_diabetes_alone_asks_and_with_another_sign_refers():
    """Common practice, no source."""
    alone = answer(wearer(*alike("9", "9", "D"), signs=Signs(diabetes=True)), [])
    assert alone.referral == ()
    assert "ask-about-signs" in [reason.kind for reason in alone.remarks]
    both = answer(wearer(*alike("9", "9", "D"), signs=Signs(diabetes=True, numbness=True)), [])
    assert "diabetes-with-signs" in [reason.kind for reason in both.referral]
    assert "ask-about-signs" not in [reason.kind for reason in both.remarks]
