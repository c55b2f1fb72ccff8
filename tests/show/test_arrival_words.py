"""What is said of a boot that came, beside what was expected of its label."""

from __future__ import annotations

from fractions import Fraction

import pytest
from attrs import evolve

from heelball.last.values import Label
from heelball.learn.arrived import Measured
from heelball.show.arrival_words import changed_answer_text, difference_text
from tests.fittings import alike, chosen, last, wearer

LITTLE = " than expected, a little outside what is known (±2 mm), as one boot in three is."
LABEL = Label(Fraction(10), "D")


@pytest.mark.parametrize(
    ("found", "said"),
    [
        (201.0, "as expected (±2 mm)."),
        (202.5, "1.5 mm further forward than expected, within what is known (±2 mm)."),
        (198.0, f"3 mm further back{LITTLE}"),
        (206.0, "5 mm further forward than expected, well outside what is known (±2 mm)."),
        (190.0, "11 mm further back than expected, far outside what is known (±2 mm): measure it again."),
    ],
)
def test_a_difference_is_weighed_by_what_was_known(found, said):
    assert difference_text(Measured("flex_line", found, 201.0, 2.0)) == f"Flex line {said}"


def test_each_measure_has_its_own_words():
    inside, girth = Measured("inside_length", 290.0, 287.0, 3.0), Measured("ball_girth", 250.0, 254.0, 5.0)
    assert difference_text(inside).startswith("Inside 3 mm longer than")
    assert difference_text(girth).startswith("Round the ball 4 mm less than")


def test_the_answer_that_holds_and_the_one_that_changes():
    who = wearer(*alike("10", "10 1/2", "D", line="10 1/2"))
    choice = chosen(who, last(order=-0.5))
    assert choice.order == LABEL
    other = evolve(choice, order=Label(Fraction(21, 2), "D"))
    assert "10 D is still what to order from N7" in changed_answer_text(LABEL, choice, choice)
    changed = changed_answer_text(LABEL, choice, other)
    assert "10 1/2 D would now be ordered from N7, not 10 D" in changed
    assert f"10 D would cost {choice.loss:.2f} in loss" in changed
    assert "10 D is what to order from N7" in changed_answer_text(LABEL, other, choice)
    assert "as before" in changed_answer_text(LABEL, other, other)
    none = evolve(choice, order=None, least_wrong=LABEL)
    assert "no label of N7 serves; the least wrong, 10 D," in changed_answer_text(LABEL, choice, none)
