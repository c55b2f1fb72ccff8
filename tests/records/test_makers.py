"""Makers are kept by name, and stay as long as a last names them."""

from __future__ import annotations

import pytest
from attrs import evolve

from heelball.errors import InputError
from heelball.records.changes import list_changes_of, undo
from heelball.records.lasts import add_last
from heelball.records.letters import add_letter, list_letters
from heelball.records.makers import (
    add_maker,
    change_maker,
    find_by_name,
    find_maker,
    list_makers,
    remove_maker,
)
from heelball.records.refused import Conflict, NotFound, StillNeeded
from heelball.records.store import Records
from heelball.records.values import Author


def test_a_maker_is_kept_as_given(records: Records, author: Author):
    with records.writing() as conn:
        kept = add_maker(conn, " Northmoor ", address="Mill Row 2\nSedge", note="slow", by=author)
    with records.reading() as conn:
        assert find_maker(conn, kept.id) == find_by_name(conn, "Northmoor") == kept
        assert find_by_name(conn, "northmoor") is None
    assert (kept.name, kept.address, kept.note) == ("Northmoor", "Mill Row 2\nSedge", "slow")


def test_makers_stand_by_name_whatever_the_database_thinks_of_case(records: Records, author: Author):
    with records.writing() as conn:
        for name in ("tarrowdene", "Ørskov", "Brackenskell", "Quernmere"):
            add_maker(conn, name, by=author)
    with records.reading() as conn:
        names = [maker.name for maker in list_makers(conn)]
    assert names == ["Brackenskell", "Ørskov", "Quernmere", "tarrowdene"]


@pytest.mark.parametrize("name", ["Northmoor", " Northmoor", "", "  "])
def test_a_name_is_a_maker_of_its_own(records: Records, author: Author, name: str):
    with records.writing() as conn:
        add_maker(conn, "Northmoor", by=author)
        other = add_maker(conn, "Quernmere", by=author)
    with records.writing() as conn, pytest.raises(InputError) as refused:
        add_maker(conn, name, by=author)
    assert refused.value.problems[0].place == "name"
    with records.writing() as conn, pytest.raises(InputError):
        change_maker(conn, other.id, other.version, {"name": name}, by=author)


def test_the_second_to_change_a_maker_is_told(records: Records, author: Author):
    with records.writing() as conn:
        kept = add_maker(conn, "Northmoor", by=author)
        first = change_maker(conn, kept.id, kept.version, {"note": "slow"}, by=author)
    with records.writing() as conn, pytest.raises(Conflict) as refused:
        change_maker(conn, kept.id, kept.version, {"note": "quick"}, by=author)
    assert refused.value.theirs == first == evolve(kept, note="slow", version=2)
    assert refused.value.changes == {"note": "quick"}


def test_a_maker_with_a_last_stays(records: Records, author: Author):
    with records.writing() as conn:
        kept = add_maker(conn, "Northmoor", by=author)
        add_last(conn, kept.id, "N7", label_scale="us-men", sizes="8-12", by=author)
    with pytest.raises(StillNeeded), records.writing() as conn:
        remove_maker(conn, kept.id, kept.version, by=author)
    with records.reading() as conn:
        assert find_maker(conn, kept.id) == kept


def test_a_removed_maker_comes_back_with_its_letters(records: Records, author: Author):
    with records.writing() as conn:
        kept = add_maker(conn, "Northmoor", by=author)
        letter = add_letter(conn, kept.id, about=["N7"], text="How does it run?", by=author)
        remove_maker(conn, kept.id, kept.version, by=author)
    with records.writing() as conn:
        with pytest.raises(NotFound):
            find_maker(conn, kept.id)
        assert list_letters(conn) == []
        undo(conn, list_changes_of(conn, "makers", kept.id)[0].id, by=author)
    with records.reading() as conn:
        assert find_maker(conn, kept.id).name == "Northmoor"
        assert list_letters(conn, maker_id=kept.id) == [letter]
