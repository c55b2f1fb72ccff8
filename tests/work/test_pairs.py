"""A pair from order to kept: each step one write, taken in turn, told to the second fitter, undone."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from attrs import evolve

from heelball.errors import InputError
from heelball.records.changes import list_changes_of
from heelball.records.pairs import find_pair, list_pairs
from heelball.records.refused import Conflict, NotFound
from heelball.records.store import Records, open_records
from heelball.records.try_ons import add_try_on
from heelball.records.values import Author, KeptPair
from heelball.records.wearers import add_wearer
from heelball.work.due import due, pairs_of
from heelball.work.pair_history import history, taken_out, undo_step
from heelball.work.pairs import arrive, close, exchange, mend, order_pair, own_pair, take_back
from tests.shop import Shop, open_shop

NOW = datetime(2026, 3, 14, 10, 20, tzinfo=UTC)
TODAY = NOW.date()
BY = Author("QB", NOW)


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records(tmp_path, now=NOW)
    yield opened
    opened.close()


@pytest.fixture
def shop(records: Records) -> Shop:
    return open_shop(records, BY)


def _order(records: Records, shop: Shop, **more) -> KeptPair:
    return order_pair(records, shop.wearer_id, shop.last_id, "10", "D", {"chance": 0.4}, BY, **more)


def _here(records: Records, shop: Shop) -> KeptPair:
    pair = _order(records, shop)
    return arrive(records, pair.id, 1, TODAY, BY)


def _now(records: Records, pair: KeptPair) -> KeptPair:
    with records.reading() as conn:
        return find_pair(conn, pair.id)


def _last_step(records: Records, pair: KeptPair) -> int:
    with records.reading() as conn:
        return list_changes_of(conn, "pairs", pair.id)[0].id


def test_an_order_is_written_as_stamped(records, shop):
    pair = order_pair(records, shop.wearer_id, shop.last_id, "10½", "D", None, BY, due_on=TODAY)
    assert (pair.size, pair.width, pair.state, pair.due_on) == ("10 1/2", "D", "ordered", "2026-03-14")


def test_the_name_of_an_order_stands_for_one_wearers_pair(records, shop):
    kept = _order(records, shop, name="abcdefghjkmnpqrs")
    assert kept.id == "abcdefghjkmnpqrs"
    assert _order(records, shop, name=kept.id, note="again") == kept
    with records.writing() as conn:
        other = add_wearer(conn, "W99", by=BY)
    for wearer_id, size in ((other.id, "10"), (shop.wearer_id, "10 1/2")):
        with pytest.raises(InputError, match="stands for another pair"):
            order_pair(records, wearer_id, shop.last_id, size, "D", None, BY, name=kept.id)
    with records.reading() as conn:
        assert list_pairs(conn) == [kept]


@pytest.mark.parametrize(
    ("size", "width", "found"),
    [
        ("13", "D", "13 D; wanted a label that N7 is offered in"),
        ("10", "C", "10 C; wanted a label that N7 is offered in"),
        ("10", None, "10; wanted a label that N7 is offered in"),
        ("10", "Q", "Q"),
        ("ten", "D", "ten"),
        ("", "D", "no size"),
    ],
)
def test_only_what_is_offered_can_be_ordered(records, shop, size, width, found):
    with pytest.raises(InputError) as refused:
        order_pair(records, shop.wearer_id, shop.last_id, size, width, None, BY)
    (problem,) = refused.value.problems
    assert problem.place == "label"
    assert found in str(problem)
    with records.reading() as conn:
        assert list_pairs(conn) == []


def test_an_old_pair_may_have_a_label_no_longer_offered(records, shop):
    owned = own_pair(records, shop.wearer_id, shop.last_id, "13", "C", BY, note="ten winters")
    assert (owned.size, owned.width, owned.state, owned.note) == ("13", "C", "owned", "ten winters")
    with pytest.raises(InputError, match="label"):
        own_pair(records, shop.wearer_id, shop.last_id, "13", "Q", BY)


@pytest.mark.parametrize(("days", "by"), [(14, "2026-03-28"), (0, None), (None, None)])
def test_a_pair_that_comes_can_go_back_by_the_makers_terms(records, days, by):
    pair = _here(records, open_shop(records, BY, exchange_days=days))
    assert (pair.state, pair.arrived_on, pair.send_back_by) == ("arrived", "2026-03-14", by)


@pytest.mark.parametrize("ending", ["kept", "returned"])
def test_a_pair_is_kept_or_goes_back(records, shop, ending):
    pair = _here(records, shop)
    closed = close(records, pair.id, 2, ending, TODAY, BY)
    assert (closed.state, closed.closed_on, closed.version) == (ending, "2026-03-14", 3)


def test_an_exchange_is_one_write_of_two_pairs(records, shop):
    pair = _here(records, shop)
    back, new = exchange(records, pair.id, 2, TODAY, "10 1/2", "D", BY)
    assert (back.state, new.state, new.in_exchange_for) == ("exchanged", "ordered", pair.id)
    assert (new.size, new.width, new.wearer_id) == ("10 1/2", "D", shop.wearer_id)


def test_an_exchange_for_what_is_not_offered_leaves_both_as_they_were(records, shop):
    pair = _here(records, shop)
    with pytest.raises(InputError, match="label"):
        exchange(records, pair.id, 2, TODAY, "10", "C", BY)
    assert _now(records, pair) == pair
    with records.reading() as conn:
        assert len(list_pairs(conn)) == 1


def test_a_step_sent_twice_is_one_step(records, shop):
    pair = _order(records, shop)
    assert arrive(records, pair.id, 1, TODAY, BY) == arrive(records, pair.id, 1, TODAY, BY)
    first = exchange(records, pair.id, 2, TODAY, "10 1/2", "D", BY)
    assert exchange(records, pair.id, 2, TODAY, "10½", "D", BY) == first
    with records.reading() as conn:
        assert len(list_pairs(conn)) == 2


def test_another_label_asked_for_an_exchanged_pair_is_not_answered_with_the_first(records, shop):
    pair = _here(records, shop)
    back, new = exchange(records, pair.id, 2, TODAY, "10 1/2", "D", BY)
    with pytest.raises(Conflict) as told:
        exchange(records, pair.id, 2, TODAY, "11", "D", BY)
    assert told.value.theirs == new
    assert told.value.changes == {"size": "11", "width": "D"}
    with records.reading() as conn:
        assert {one.id for one in list_pairs(conn)} == {back.id, new.id}


def test_the_second_fitter_is_told_before_anything_else(records, shop):
    pair = _here(records, shop)
    close(records, pair.id, 2, "kept", TODAY, BY)
    with pytest.raises(Conflict) as told:
        close(records, pair.id, 2, "returned", TODAY, BY)
    assert told.value.theirs.state == "kept"


def test_a_pair_that_came_is_not_taken_back(records, shop):
    pair = _here(records, shop)
    with pytest.raises(InputError, match="has arrived"):
        take_back(records, pair.id, 2, BY)


def test_an_order_taken_back_can_be_brought_back(records, shop):
    pair = _order(records, shop)
    take_back(records, pair.id, 1, BY)
    with records.reading() as conn:
        assert list_pairs(conn) == []
    (gone,) = taken_out(records)
    assert (gone.pair_id, gone.label, gone.last_code) == (pair.id, "10 D", "N7")
    undo_step(records, pair.id, gone.change_id, BY)
    assert _now(records, pair) == evolve(pair, version=2)
    assert taken_out(records) == ()


def test_every_step_is_undone_and_said(records, shop):
    pair = _here(records, shop)
    kept = close(records, pair.id, 2, "kept", TODAY, BY)
    with records.reading() as conn:
        steps = history(conn, kept)
    assert [(step.text, step.can_undo) for step in steps] == [
        ("kept, 2026-03-14", True),
        ("came, 2026-03-14", False),
        ("written down: on order 2026-03-14", False),
    ]
    assert steps[0].fitter == "QB"
    undo_step(records, pair.id, steps[0].id, BY)
    assert _now(records, pair) == evolve(pair, version=4)
    undo_step(records, pair.id, steps[1].id, BY)
    ordered = _now(records, pair)
    assert (ordered.state, ordered.arrived_on, ordered.send_back_by) == ("ordered", None, None)
    with records.reading() as conn:
        assert [step.text for step in history(conn, ordered)][:2] == [
            "put back to: on order",
            "put back to: here",
        ]


def test_a_step_written_over_is_undone_last(records, shop):
    pair = _here(records, shop)
    arrived = _last_step(records, pair)
    mend(records, pair.id, 2, {"send_back_by": "2026-04-01"}, BY)
    with pytest.raises(InputError, match="written over"):
        undo_step(records, pair.id, arrived, BY)


def test_the_undo_of_another_pairs_step_is_not_taken(records, shop):
    pair, other = _here(records, shop), _order(records, shop)
    with pytest.raises(NotFound):
        undo_step(records, other.id, _last_step(records, pair), BY)


def test_undoing_an_exchange_takes_its_order_out_and_undoing_that_brings_it_back(records, shop):
    pair = _here(records, shop)
    _, new = exchange(records, pair.id, 2, TODAY, "10 1/2", "D", BY)
    undo_step(records, pair.id, _last_step(records, pair), BY)
    with records.reading() as conn:
        assert [(one.id, one.state) for one in list_pairs(conn)] == [(pair.id, "arrived")]
    assert taken_out(records) == ()
    with pytest.raises(InputError, match="exchange it was ordered for was undone"):
        undo_step(records, new.id, _last_step(records, new), BY)
    undo_step(records, pair.id, _last_step(records, pair), BY)
    with records.reading() as conn:
        states = {one.id: (one.state, one.in_exchange_for) for one in list_pairs(conn)}
    assert states == {pair.id: ("exchanged", None), new.id: ("ordered", pair.id)}


def test_an_exchange_whose_new_pair_came_is_not_undone(records, shop):
    pair = _here(records, shop)
    _, new = exchange(records, pair.id, 2, TODAY, "10 1/2", "D", BY)
    arrive(records, new.id, 1, TODAY, BY)
    with pytest.raises(InputError, match="ordered in exchange is here"):
        undo_step(records, pair.id, _last_step(records, pair), BY)
    assert _now(records, pair).state == "exchanged"


def test_pairs_by_what_is_due(records, shop):
    later = _order(records, shop, due_on=TODAY + timedelta(days=9))
    undated = _order(records, shop)
    soon = _order(records, shop, due_on=TODAY + timedelta(days=1))
    fresh, tried = _here(records, shop), _here(records, shop)
    with records.writing() as conn:
        add_try_on(conn, tried.id, on="2026-03-14", verdicts={}, note="loose", by=BY)
    done = close(records, _here(records, shop).id, 2, "kept", TODAY, BY)
    own = own_pair(records, shop.wearer_id, shop.last_id, "9", "D", BY)

    found = due(records, TODAY + timedelta(days=4))
    assert [one.listed.pair.id for one in found.to_arrive] == [soon.id, later.id, undated.id]
    assert [one.late for one in found.to_arrive] == [True, False, False]
    assert found.to_arrive[0].what.startswith("3 days late: it was expected 2026-03-15")
    assert found.to_arrive[1].what.startswith("expected 2026-03-23, in 5 days")
    assert "nobody said" in found.to_arrive[2].what
    assert [one.listed.pair.id for one in found.to_try_on] == [fresh.id]
    assert found.to_try_on[0].what == "try it on; it can go back until 2026-03-28, in 10 days"
    assert [one.listed.pair.id for one in found.to_settle] == [tried.id]
    assert found.to_settle[0].what.startswith("keep it or send it back by 2026-03-28")
    assert [one.listed.pair.id for one in found.rest] == [done.id, own.id]
    assert found.others == 2

    past = due(records, TODAY + timedelta(days=15))
    assert past.to_settle[0].late
    assert past.to_settle[0].what.startswith("could be sent back until 2026-03-28, 1 day ago")
    assert past.to_try_on[0].what.startswith("not tried on; could be sent back until")
    assert len(pairs_of(records, shop.wearer_id, TODAY)) == 7
