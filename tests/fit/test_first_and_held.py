"""Short cuts to the lasts that stand first and through a changing day give the answers of the whole way."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from attrs import evolve

from heelball.errors import InputError
from heelball.fit.answers import Answer
from heelball.fit.choice import answer
from heelball.fit.holding import Holding
from heelball.fit.shelf import Shelves
from heelball.fit.wearer import DayState, Wearer
from heelball.last.values import Advice, Last
from tests.fittings import alike, last, offer, random_wearers, wearer

DAYS = (
    (),
    (DayState("hot", 1.0, 3.0, "hot", 2.0),),
    (DayState("cool", 0.5, 1.0, "rest", 0.0), DayState("warm", 0.5, 3.0, "hot", 0.0)),
)


def some_lasts(count: int) -> list[Last]:
    """Return lasts with full offers and with offers too small or too narrow to serve."""
    generator = np.random.default_rng(5)
    lasts = []
    for i in range(count):
        low = int(generator.integers(10, 22))
        sizes = [Fraction(half, 2) for half in range(low, low + int(generator.integers(1, 8)))]
        widths = "B D EE" if i % 3 else "B"
        order = Fraction(int(generator.integers(-3, 4)), 2)
        lasts.append(
            evolve(last(labels=offer(sizes, widths)), code=f"L{i:03d}", advice=(Advice("ball", order),))
        )
    return lasts


def told(found: Answer) -> list[tuple]:
    return [
        (choice.last.code, choice.order, choice.least_wrong, round(choice.loss, 9), round(choice.chance, 9))
        for choice in found.choices
    ]


@pytest.mark.parametrize("listed", [1, 7, 40])
def test_the_first_lasts_are_those_of_the_whole_ranking(listed, monkeypatch):
    monkeypatch.setattr(Shelves, "CHUNK", 16)  # several shelves, so that they have to be merged
    lasts = some_lasts(60)
    for one in random_wearers(np.random.default_rng(8), 4):
        whole = answer(one, lasts, detailed=0)
        first = answer(one, lasts, detailed=0, listed=listed)
        assert told(first) == told(whole)[:listed]


def test_where_too_few_serve_the_others_follow_by_loss():
    one = wearer(*alike("10", "10", "D"))
    lasts = some_lasts(60)
    whole = answer(one, lasts, detailed=0)
    serving = sum(choice.order is not None for choice in whole.choices)
    assert 0 < serving < 40
    assert told(answer(one, lasts, detailed=0, listed=40)) == told(whole)[:40]


def test_more_wanted_than_there_are_is_all_of_them():
    one, lasts = wearer(*alike("10", "10", "D")), some_lasts(5)
    assert told(answer(one, lasts, listed=20)) == told(answer(one, lasts))


@pytest.mark.parametrize("day", DAYS)
def test_a_held_wearer_is_answered_as_a_new_one(day):
    lasts = some_lasts(20)
    for one in random_wearers(np.random.default_rng(9), 2):
        held, new = Holding(one, lasts).answer(day), answer(evolve(one, day=day), lasts, detailed=1)
        assert told(held) == told(new)
        assert held.feet == new.feet
        assert held.choices == new.choices


def test_one_day_after_another_leaves_nothing_behind():
    # C 1/2 is taken up to D only where the day's growth takes it there.
    one, lasts = wearer(*alike("10", "10", "C 1/2")), [last(labels=offer([10], "C D"))]
    held = Holding(one, lasts)
    first = [held.answer(day) for day in DAYS]
    again = [held.answer(day) for day in reversed(DAYS)][::-1]
    assert [found.choices for found in first] == [found.choices for found in again]
    assert [found.choices for found in first] == [answer(evolve(one, day=day), lasts).choices for day in DAYS]
    ruled = [found.choices[0].trade_rule.order for found in first]
    assert [label and label.width for label in ruled] == ["C", "D", "D"]


def test_the_last_looked_at_is_the_one_told_in_full():
    one, lasts = wearer(*alike("10", "10", "D")), some_lasts(20)
    held = Holding(one, lasts).answer((), look_at="L007")
    (full,) = (choice for choice in held.choices if choice.detailed)
    assert full.last.code == "L007"
    assert full in answer(one, lasts, detailed=20).choices


def test_nothing_held_and_children_are_answered_without_a_choice():
    one = wearer(*alike("10", "10", "D"))
    assert Holding(one, []).answer(()).choices == ()
    child = Wearer("K", "unstated", tuple(evolve(r, scale="gauge-child") for r in one.readings[:1]))
    found = Holding(child, some_lasts(3)).answer(())
    assert (found.child, found.choices) == (True, ())


def test_lasts_numbered_for_children_are_not_held():
    childs = last(labels=offer([11], "D"), scale="us-child")
    with pytest.raises(InputError, match="children"):
        Holding(wearer(*alike("10", "10", "D")), [childs])
