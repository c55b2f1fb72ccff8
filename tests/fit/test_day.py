"""How a day's states move the foot from the ordinary one (MODEL 4)."""

from __future__ import annotations

from math import pi

import pytest

from heelball.fit.day import growth, states_of
from heelball.fit.wearer import DayState, Place
from tests.fit.judging import judged
from tests.fittings import alike, chosen, last, verdict, wearer


@pytest.mark.parametrize(
    ("sock", "swelling", "insole", "ball", "length", "breadth", "girth", "heel"),
    [
        (2, "ordinary", 0, 0, 0, 0, 0, 0),
        (3, "ordinary", 0, 1, 2, 1, pi, 1),
        (1, "rest", 0, -1, -2 - 0.3, -1 - 1.3, -pi - 3, -1),
        (2, "hot", 0, 0, 0.5, 1.2, 3, 0),
        (2, "ordinary", 4, 0, 0, 0, 8, 0),
        (3, "hot", 3, 1, 2.5, 2.2, pi + 9, 1),
    ],
)
def test_a_state_moves_the_foot_by_its_difference(sock, swelling, insole, ball, length, breadth, girth, heel):
    found = growth(DayState("x", 1.0, sock, swelling, insole))
    assert found == pytest.approx([ball, length, breadth, girth, heel])


def test_no_day_is_one_ordinary_state():
    (only,) = states_of(())
    assert (only.share, only.sock, only.swelling, only.insole) == (1.0, 2.0, "ordinary", 0.0)
    said = chosen(wearer(*alike("10", "10", "D")), last(order=0))
    stated = chosen(wearer(*alike("10", "10", "D"), day=(only,)), last(order=0))
    assert said.loss == pytest.approx(stated.loss)


def test_chance_loss_and_margins_are_weighed_by_the_shares():
    rows = alike("10", "10", "D")
    cool, warm = DayState("cool", 1.0, 1.0, "rest", 0.0), DayState("warm", 1.0, 3.0, "hot", 2.0)
    what = last(labels=last().labels[33:34], order=0)  # one label: all three are judged on it
    apart = [chosen(wearer(*rows, day=(one,)), what) for one in (cool, warm)]
    mixed = chosen(
        wearer(*rows, day=(DayState("cool", 0.3, 1.0, "rest", 0.0), DayState("warm", 0.7, 3.0, "hot", 2.0))),
        what,
    )
    assert mixed.loss == pytest.approx(0.3 * apart[0].loss + 0.7 * apart[1].loss)
    assert mixed.chance == pytest.approx(0.3 * apart[0].chance + 0.7 * apart[1].chance, abs=0.005)
    assert [state.share for state in mixed.by_state] == [0.3, 0.7]
    places: tuple[Place, ...] = ("ball", "toe", "breadth", "girth")
    for place in places:
        ends = [verdict(one, "left", place) for one in apart]
        found = verdict(mixed, "left", place)
        assert found.mean == pytest.approx(0.3 * ends[0].mean + 0.7 * ends[1].mean)
        second = 0.3 * (ends[0].sd ** 2 + ends[0].mean ** 2) + 0.7 * (ends[1].sd ** 2 + ends[1].mean ** 2)
        assert found.sd == pytest.approx((second - found.mean**2) ** 0.5)
        for chance in ("too_little", "right", "too_much"):
            wanted = 0.3 * getattr(ends[0], chance) + 0.7 * getattr(ends[1], chance)
            assert getattr(found, chance) == pytest.approx(wanted)
        assert ends[1].mean < ends[0].mean


def test_a_thicker_hotter_day_moves_the_order_up():
    rows = alike("10", "10", "D")
    cool, warm = (
        judged(wearer(*rows, day=(day,)), last(order=0))
        for day in (DayState("c", 1.0, 1.0, "rest", 0.0), DayState("h", 1.0, 4.0, "hot", 0.0))
    )
    size = [one.shelf.lasts[0].labels[int(one.ranking.best[0])].size for one in (cool, warm)]
    assert size[1] > size[0]
