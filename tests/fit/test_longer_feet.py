"""A longer foot never gets a shorter order, all else equal."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heelball.last.values import Advice
from tests.fittings import chosen, halves, last, mm, offer, ruled, wearer

#: How much loss may be given away where the two best labels are as good as equal.
NEAR = 0.005

lasts = st.builds(
    last,
    order=st.sampled_from([None, -1, -0.5, 0, 0.5]),
    scale=st.sampled_from(["us-men", "us-women", "uk"]),
    stiffness=st.sampled_from(["stiff", "medium", "soft"]),
    toe=st.sampled_from(["round", "almond", "pointed"]),
    labels=st.sampled_from(
        [offer(halves(4, 18), "D"), offer(halves(4, 18), None), offer([5, 8, 9, 12, 13, 16], "D")]
    ),
)
populations = st.sampled_from(["men", "women", "unstated"])


def feet(length: float, ball: float, population: str):
    # In mm, to the tenth, breadth in the middle of the D and growing with the foot as its letter does.
    breadth = 69.85 + 3.175 * (length / (25.4 / 3) - 22)
    rows = [
        mm(foot, what, round(value, 1))
        for foot in ("left", "right")
        for what, value in (("length", length), ("ball", ball), ("breadth", breadth))
    ]
    return wearer(*rows, population=population)  # type: ignore[arg-type]


@given(
    what=lasts,
    population=populations,
    length=st.floats(235, 300),
    share=st.floats(0.72, 0.76),
    more=st.floats(0.5, 25),
)
@settings(max_examples=40)
def test_a_longer_foot_never_gets_a_shorter_order(what, population, length, share, more):
    short, long = (chosen(feet(at, share * at, population), what) for at in (length, length + more))
    if short.label.size > long.label.size:
        # Only where the shorter foot's own loss hardly tells the two labels apart.
        other = next(ranked.loss for ranked in short.labels if ranked.label == long.label)
        assert other - short.loss <= NEAR, (short.label, long.label)


@given(
    what=lasts,
    population=populations,
    length=st.floats(235, 300),
    share=st.floats(0.7, 0.78),
    more=st.floats(0.5, 25),
)
@settings(max_examples=60)
def test_nor_by_the_trade_rule(what, population, length, share, more):
    short, long = (ruled(feet(at, share * at, population), what).order for at in (length, length + more))
    if long is not None:
        assert short is not None
        assert short.size <= long.size
    # Beyond the offer's end only the longer foot may find nothing.
    assert not (short is None and long is not None)


@given(
    order=st.sampled_from([Fraction(-1), Fraction(-1, 2), Fraction(0), Fraction(1, 2)]),
    length=st.floats(240, 295),
)
@settings(max_examples=30)
def test_a_last_that_runs_longer_never_takes_a_longer_label(order, length):
    who = feet(length, 0.741 * length, "men")
    plain = chosen(who, last(widths="D", order=0)).label
    told = chosen(who, last(widths="D", advice=(Advice("ball", order),))).label
    if order <= 0:
        assert told.size <= plain.size
    else:
        assert told.size >= plain.size


@pytest.mark.parametrize("what", ["length", "ball"])
def test_loss_of_a_short_label_rises_with_the_foot(what):
    losses = []
    for more in range(0, 24, 2):
        length, ball = 271 + (more if what == "length" else 0), 201 + (more if what == "ball" else 0)
        said = chosen(feet(length, ball, "men"), last(labels=offer([9], "D"), order=0))
        losses.append(said.loss)
    assert losses == sorted(losses)
