"""A pair's life: which step follows which, which day may lie before which."""

from __future__ import annotations

from datetime import date as Date

import pytest
from attrs import evolve

from heelball.errors import InputError
from heelball.records.pair_life import check_life, on_arrival, on_closing, send_back_by
from heelball.records.values import KeptPair

TODAY = Date(2026, 3, 20)
ORDERED = KeptPair(
    id="p1",
    version=1,
    wearer_id="w1",
    last_id="l1",
    size="10",
    width="D",
    state="ordered",
    ordered_on="2026-03-01",
    due_on="2026-03-10",
    arrived_on=None,
    send_back_by=None,
    closed_on=None,
    in_exchange_for=None,
    answer=None,
    note="",
)
HERE = evolve(ORDERED, state="arrived", arrived_on="2026-03-12", send_back_by="2026-03-26")


def test_arriving_takes_the_last_day_to_send_back_from_the_terms():
    changes = on_arrival(ORDERED, Date(2026, 3, 12), today=TODAY, exchange_days=14)
    assert changes == {"state": "arrived", "arrived_on": "2026-03-12", "send_back_by": "2026-03-26"}


@pytest.mark.parametrize("days", [0, None])
def test_no_exchanges_and_unknown_terms_name_no_last_day(days):
    assert send_back_by(Date(2026, 3, 12), days) is None


@pytest.mark.parametrize("ending", ["kept", "exchanged", "returned"])
def test_a_pair_that_is_here_can_end_in_three_ways(ending):
    changes = on_closing(HERE, ending, Date(2026, 3, 15), today=TODAY)
    assert changes == {"state": ending, "closed_on": "2026-03-15"}


@pytest.mark.parametrize("state", ["arrived", "kept", "exchanged", "returned", "owned"])
def test_only_an_ordered_pair_arrives(state):
    with pytest.raises(InputError) as refused:
        on_arrival(evolve(HERE, state=state), TODAY, today=TODAY, exchange_days=14)
    (problem,) = refused.value.problems
    assert problem.place == "state"
    assert "cannot arrive" in problem.found
    assert problem.wanted == "a pair that is on order"


@pytest.mark.parametrize("state", ["ordered", "kept", "exchanged", "returned", "owned"])
def test_only_a_pair_that_is_here_is_kept(state):
    with pytest.raises(InputError, match="cannot be kept; wanted a pair that is here"):
        on_closing(evolve(HERE, state=state), "kept", TODAY, today=TODAY)


@pytest.mark.parametrize(
    ("changes", "place"),
    [
        ({"arrived_on": "2026-02-28"}, "arrived_on"),
        ({"due_on": "2026-02-28"}, "due_on"),
        ({"send_back_by": "2026-03-11"}, "send_back_by"),
        ({"state": "kept", "closed_on": "2026-03-11"}, "closed_on"),
        ({"arrived_on": "2026-03-21", "send_back_by": None}, "arrived_on"),
        ({"ordered_on": "1900-01-01"}, "ordered_on"),
        ({"send_back_by": "2099-01-01"}, "send_back_by"),
        ({"arrived_on": None}, "arrived_on"),
        ({"due_on": "20260310"}, "due_on"),
        ({"due_on": "soon"}, "due_on"),
        ({"closed_on": "2026-03-15"}, "closed_on"),
    ],
)
def test_a_day_that_cannot_be_is_named(changes, place):
    with pytest.raises(InputError) as refused:
        check_life(evolve(HERE, **changes), TODAY)
    assert [problem.place for problem in refused.value.problems] == [place]


def test_a_pair_may_come_early_and_go_back_late():
    early = evolve(HERE, due_on="2026-03-30", send_back_by="2026-03-13")
    check_life(evolve(early, state="returned", closed_on="2026-03-19"), TODAY)


def test_an_owned_pair_has_no_days():
    with pytest.raises(InputError, match="arrived_on"):
        check_life(
            evolve(ORDERED, state="owned", ordered_on=None, due_on=None, arrived_on="2026-03-12"), TODAY
        )
