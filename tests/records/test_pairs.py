"""Pairs are kept with their days, and no step is taken out of turn."""

from __future__ import annotations

import pytest
from attrs import evolve

from heelball.errors import InputError
from heelball.records.changes import list_changes_of, undo
from heelball.records.lasts import add_last
from heelball.records.makers import add_maker
from heelball.records.pairs import (
    add_pair,
    change_pair,
    count_pairs,
    find_exchanged_for,
    find_pair,
    list_pairs,
    list_with_names,
    remove_pair,
)
from heelball.records.refused import Conflict, NotFound
from heelball.records.store import Records
from heelball.records.try_ons import add_try_on, list_try_ons
from heelball.records.values import Author
from heelball.records.wearers import add_wearer


@pytest.fixture
def wearer_id(records: Records, author: Author) -> str:
    with records.writing() as conn:
        return add_wearer(conn, "W12", name="Tove", by=author).id


@pytest.fixture
def last_id(records: Records, author: Author) -> str:
    with records.writing() as conn:
        maker = add_maker(conn, "Northmoor", by=author)
        return add_last(conn, maker.id, "N7", label_scale="us-men", sizes="6-12 by 1/2", by=author).id


def _ordered(records: Records, wearer_id: str, last_id: str, author: Author, **more):
    with records.writing() as conn:
        return add_pair(conn, wearer_id, last_id, size="10", width="D", by=author, **more)


def test_a_pair_is_kept_as_given(records: Records, author: Author, wearer_id: str, last_id: str):
    due = author.at.date().replace(year=author.at.year + 1).isoformat()
    said = {"chance": 0.44, "order": {"size": "10", "width": "D"}}
    added = _ordered(records, wearer_id, last_id, author, due_on=due, answer=said, note="left is larger")
    with records.reading() as conn:
        kept = find_pair(conn, added.id)
    assert kept == added
    assert (kept.state, kept.ordered_on, kept.due_on) == ("ordered", author.at.date().isoformat(), due)
    assert (kept.answer, kept.note, kept.version) == (said, "left is larger", 1)


def test_an_owned_pair_has_no_day(records: Records, author: Author, wearer_id: str, last_id: str):
    owned = _ordered(records, wearer_id, last_id, author, state="owned")
    assert (owned.state, owned.ordered_on) == ("owned", None)


def test_a_pair_of_nobody_is_refused(records: Records, author: Author, wearer_id: str, last_id: str):
    with pytest.raises(NotFound, match="wearer"):
        _ordered(records, "nobody", last_id, author)
    with pytest.raises(NotFound, match="last"):
        _ordered(records, wearer_id, "none", author)


def test_days_that_cannot_be_are_not_written(records: Records, author: Author, wearer_id: str, last_id: str):
    pair = _ordered(records, wearer_id, last_id, author)
    with pytest.raises(InputError, match="due_on"), records.writing() as conn:
        change_pair(conn, pair.id, 1, {"due_on": "2001-01-01"}, by=author)
    with pytest.raises(InputError, match="size"), records.writing() as conn:
        change_pair(conn, pair.id, 1, {"size": "11"}, by=author)
    with records.reading() as conn:
        assert find_pair(conn, pair.id) == pair


def test_the_second_of_two_is_told(records: Records, author: Author, wearer_id: str, last_id: str):
    pair = _ordered(records, wearer_id, last_id, author)
    today = author.at.date().isoformat()
    arrived = {"state": "arrived", "arrived_on": today}
    with records.writing() as conn:
        change_pair(conn, pair.id, 1, arrived, by=author)
    with pytest.raises(Conflict) as told, records.writing() as conn:
        change_pair(conn, pair.id, 1, {"due_on": today}, by=author)
    assert told.value.theirs == evolve(pair, version=2, **arrived)


def test_undo_puts_a_step_back(records: Records, author: Author, wearer_id: str, last_id: str):
    pair = _ordered(records, wearer_id, last_id, author)
    with records.writing() as conn:
        today = author.at.date().isoformat()
        change_pair(conn, pair.id, 1, {"state": "arrived", "arrived_on": today}, by=author)
    with records.writing() as conn:
        undo(conn, list_changes_of(conn, "pairs", pair.id)[0].id, by=author)
    with records.reading() as conn:
        assert find_pair(conn, pair.id) == evolve(pair, version=3)


def test_a_removed_pair_comes_back_with_its_try_ons(
    records: Records, author: Author, wearer_id: str, last_id: str
):
    pair = _ordered(records, wearer_id, last_id, author, state="owned")
    with records.writing() as conn:
        tried = add_try_on(conn, pair.id, on="2026-01-02", verdicts={"left": {"ball": "little"}}, by=author)
    with records.writing() as conn:
        remove_pair(conn, pair.id, 1, by=author)
    with records.reading() as conn:
        assert list_pairs(conn, wearer_id) == []
        assert list_try_ons(conn) == []
    with records.writing() as conn:
        undo(conn, list_changes_of(conn, "pairs", pair.id)[0].id, by=author)
    with records.reading() as conn:
        assert [one.id for one in list_pairs(conn, wearer_id)] == [pair.id]
        assert list_try_ons(conn, pair_id=pair.id) == [tried]


def test_lists_and_counts(records: Records, author: Author, wearer_id: str, last_id: str):
    old = _ordered(records, wearer_id, last_id, author, ordered_on="2025-01-05")
    new = _ordered(records, wearer_id, last_id, author, ordered_on="2025-06-05", in_exchange_for=old.id)
    own = _ordered(records, wearer_id, last_id, author, state="owned")
    with records.writing() as conn:
        other = add_wearer(conn, "W13", by=author)
        add_try_on(conn, own.id, on="2026-01-02", verdicts={}, note="loose", by=author)
    _ordered(records, other.id, last_id, author)
    with records.reading() as conn:
        assert [pair.id for pair in list_pairs(conn, wearer_id)] == [new.id, old.id, own.id]
        assert find_exchanged_for(conn, old.id) == new
        assert find_exchanged_for(conn, new.id) is None
        assert count_pairs(conn, ["ordered"]) == 3
        assert count_pairs(conn) == 4
        listed = list_with_names(conn, wearer_id=wearer_id)
        assert [(one.pair.id, one.tried) for one in listed] == [(new.id, 0), (old.id, 0), (own.id, 1)]
        assert {(one.wearer_code, one.wearer_name, one.last_code, one.maker) for one in listed} == {
            ("W12", "Tove", "N7", "Northmoor")
        }
        assert len(list_with_names(conn, states=["ordered"], limit=2)) == 2
