"""Every write stands in the history, and any of them can be undone: the undoing as well."""

from __future__ import annotations

from typing import Any

import pytest
from attrs import asdict, evolve
from sqlalchemy import Table, select

from heelball.errors import RecordsError
from heelball.records.changes import find_change, list_changes_of, list_changes_of_wearer, undo
from heelball.records.found import rows_of
from heelball.records.makers import add_maker, find_maker, remove_maker
from heelball.records.readings import NewReading, add_readings, list_readings
from heelball.records.refused import AlreadyUndone, Conflict, NotFound, StillNeeded
from heelball.records.schema import changes, lasts, makers, pairs, readings, sittings, wearers
from heelball.records.sittings import add_sitting
from heelball.records.store import Records
from heelball.records.values import Author
from heelball.records.wearers import add_wearer, change_wearer, find_wearer, remove_wearer
from heelball.records.writing import insert


@pytest.fixture
def a_last(records: Records, author: Author) -> str:
    """Return the id of a last to order pairs on."""
    row = {
        "code": "N7",
        "label_scale": "uk",
        "width_scale": "uk",
        "stiffness": "stiff",
        "toe": "round",
        "closing": "lace",
        "note": "",
        "retired": False,
    }
    with records.writing() as conn:
        maker = add_maker(conn, "Quernmere", by=author)
        return str(insert(conn, lasts, {**row, "maker_id": maker.id}, by=author, into=dict)["id"])


BALL = NewReading("right", "ball", "gauge-men", "10 1/2")


def last_change(records: Records, table: Table, id: str) -> int:
    with records.reading() as conn:
        return list_changes_of(conn, table.name, id)[0].id


def test_a_write_leaves_what_it_found_and_what_it_left(records: Records, author: Author):
    with records.writing() as conn:
        kept = add_wearer(conn, "W1", note="", by=author)
        later = evolve(author, fitter="RS", at=author.at.replace(hour=20))
        change_wearer(conn, kept.id, 1, {"note": "wide"}, by=later)
        remove_wearer(conn, kept.id, 2, by=later)
    with records.reading() as conn:
        gone, changed, added = list_changes_of(conn, "wearers", kept.id)
        assert list_changes_of_wearer(conn, kept.id) == [gone, changed, added]
        assert list_changes_of_wearer(conn, kept.id, limit=1) == [gone]
        assert find_change(conn, added.id) == added
        assert list_changes_of(conn, "pairs", kept.id) == []
    assert added.before is None
    assert added.after is not None
    assert (added.fitter, added.at, added.after["code"]) == ("QB", "2026-11-25T18:40:05+01:00", "W1")
    assert changed.before == added.after
    assert changed.after is not None
    assert (changed.fitter, changed.after["note"], changed.after["version"]) == ("RS", "wide", 2)
    assert (gone.before, gone.after) == (changed.after, None)
    assert {change.wearer_id for change in (gone, changed, added)} == {kept.id}


def test_changes_are_undone_step_by_step_and_the_undoing_too(records: Records, author: Author):
    with records.writing() as conn:
        kept = add_wearer(conn, "W1", note="a", by=author)
        change_wearer(conn, kept.id, 1, {"note": "b", "name": "Ann"}, by=author)
        change_wearer(conn, kept.id, 2, {"note": "c"}, by=author)
        to_c, to_b, _ = list_changes_of(conn, "wearers", kept.id)
    with records.writing() as conn:
        undone = undo(conn, to_c.id, by=author)
        assert find_wearer(conn, kept.id).note == "b"
        undo(conn, to_b.id, by=author)
        first = find_wearer(conn, kept.id)
        assert (first.note, first.name, first.version) == ("a", "", 5)
        assert first.code == "W1"
        with pytest.raises(Conflict):
            undo(conn, undone.id, by=author)
    again = last_change(records, wearers, kept.id)
    with records.writing() as conn:
        undo(conn, again, by=author)
        undo(conn, undone.id, by=author)
        last = find_wearer(conn, kept.id)
        assert (last.note, last.name, last.version) == ("c", "Ann", 7)
        assert find_change(conn, to_c.id).undone


def test_nothing_is_undone_twice(records: Records, author: Author):
    with records.writing() as conn:
        kept = add_wearer(conn, "W1", note="a", by=author)
        change_wearer(conn, kept.id, 1, {"note": "b"}, by=author)
    change = last_change(records, wearers, kept.id)
    with records.writing() as conn:
        undo(conn, change, by=author)
    with pytest.raises(AlreadyUndone, match="undone already"), records.writing() as conn:
        undo(conn, change, by=author)


def test_what_was_written_over_is_not_undone(records: Records, author: Author):
    with records.writing() as conn:
        kept = add_wearer(conn, "W1", note="a", by=author)
        change_wearer(conn, kept.id, 1, {"note": "b"}, by=author)
    change = last_change(records, wearers, kept.id)
    with records.writing() as conn:
        change_wearer(conn, kept.id, 2, {"note": "c"}, by=author)
    with pytest.raises(Conflict) as told, records.writing() as conn:
        undo(conn, change, by=author)
    assert told.value.theirs["note"] == "c"
    with records.reading() as conn:
        assert find_wearer(conn, kept.id).note == "c"
        assert not find_change(conn, change).undone


def test_a_change_that_is_not_there_is_told(records: Records, author: Author):
    for number in (77, -1, 2**31, 10**30):
        with pytest.raises(NotFound, match="This change is not"), records.writing() as conn:
            undo(conn, number, by=author)


def test_what_was_added_is_removed_and_comes_back(records: Records, author: Author):
    with records.writing() as conn:
        maker = add_maker(conn, "Northmoor", by=author)
    with records.writing() as conn:
        undone = undo(conn, list_changes_of(conn, "makers", maker.id)[0].id, by=author)
        with pytest.raises(NotFound):
            find_maker(conn, maker.id)
    with records.writing() as conn:
        undo(conn, undone.id, by=author)
        back = find_maker(conn, maker.id)
    # One version up, so that whoever saw it before is told.
    assert asdict(back) == {**asdict(maker), "version": 2}


def test_a_reading_that_was_added_is_taken_back_and_stays_to_be_seen(records: Records, author: Author):
    with records.writing() as conn:
        wearer = add_wearer(conn, "W1", by=author)
        sitting = add_sitting(conn, wearer.id, at=author.at, by=author)
        (reading,) = add_readings(conn, sitting.id, [BALL], seen_number=0, by=author)
    change = last_change(records, readings, reading.id)
    with records.writing() as conn:
        undo(conn, change, by=author)
        (kept,) = list_readings(conn, wearer.id)
        assert (kept.stands, kept.withdrawn_at) == (False, "2026-11-25T18:40:05+01:00")
    with records.writing() as conn:
        undo(conn, list_changes_of(conn, "readings", reading.id)[0].id, by=author)
        assert list_readings(conn, wearer.id)[0].stands


def test_what_others_were_written_to_is_not_undone_away(records: Records, author: Author):
    with records.writing() as conn:
        wearer = add_wearer(conn, "W1", by=author)
        add_sitting(conn, wearer.id, at=author.at, by=author)
    change = last_change(records, wearers, wearer.id)
    with pytest.raises(StillNeeded, match="Other things were written to this"), records.writing() as conn:
        undo(conn, change, by=author)
    with records.reading() as conn:
        assert find_wearer(conn, wearer.id) == wearer


def everything(records: Records) -> dict[str, list[dict[str, Any]]]:
    with records.reading() as conn:
        return {
            table.name: sorted(rows_of(conn, select(table)), key=lambda row: str(row["id"]))
            for table in (wearers, sittings, readings, pairs)
        }


def test_a_removed_wearer_comes_back_with_all_that_went_along(records: Records, author: Author, a_last: str):
    with records.writing() as conn:
        wearer = add_wearer(conn, "W1", name="Ann", by=author)
        other = add_wearer(conn, "W2", by=author)
        for owner in (wearer, other):
            sitting = add_sitting(conn, owner.id, at=author.at, by=author)
            (first,) = add_readings(conn, sitting.id, [BALL], seen_number=0, by=author)
            again = NewReading("right", "ball", "gauge-men", "11", kind="correction", of_id=first.id)
            (second,) = add_readings(conn, sitting.id, [again], seen_number=1, by=author)
            once_more = evolve(again, of_id=second.id)
            add_readings(conn, sitting.id, [once_more], seen_number=2, by=author)
            pair: dict[str, Any] = {"wearer_id": owner.id, "last_id": a_last, "size": "10", "note": ""}
            # Whichever way the rows come out of the tables: each pair may name the other.
            one = insert(conn, pairs, {**pair, "state": "exchanged"}, by=author, into=dict)
            two = insert(conn, pairs, {**pair, "state": "kept"}, by=author, into=dict)
            for mine, named in ((one, two), (two, one)):
                conn.execute(
                    pairs.update().where(pairs.c.id == mine["id"]).values(in_exchange_for=named["id"])
                )
    before = everything(records)
    with records.writing() as conn:
        remove_wearer(conn, wearer.id, wearer.version, by=author)
    after = everything(records)
    assert {name: len(rows) for name, rows in after.items()} == {
        "wearers": 1,
        "sittings": 1,
        "readings": 3,
        "pairs": 2,
    }
    with records.writing() as conn:
        undo(conn, list_changes_of(conn, "wearers", wearer.id)[0].id, by=author)
    back = everything(records)
    (mine,) = [row for row in before["wearers"] if row["id"] == wearer.id]
    mine["version"] += 1
    assert back == before


def test_what_belonged_to_something_gone_is_not_brought_back_alone(
    records: Records, author: Author, a_last: str
):
    with records.writing() as conn:
        wearer = add_wearer(conn, "W1", by=author)
        sitting = add_sitting(conn, wearer.id, at=author.at, by=author)
        undone = undo(conn, list_changes_of(conn, "sittings", sitting.id)[0].id, by=author)
        remove_wearer(conn, wearer.id, 1, by=author)
    with (
        pytest.raises(StillNeeded, match="What this belonged to was removed too"),
        records.writing() as conn,
    ):
        undo(conn, undone.id, by=author)


def test_a_name_that_was_taken_meanwhile_is_told(records: Records, author: Author):
    with records.writing() as conn:
        maker = add_maker(conn, "Northmoor", by=author)
        remove_maker(conn, maker.id, 1, by=author)
        add_maker(conn, "Northmoor", by=author)
    change = last_change(records, makers, maker.id)
    with pytest.raises(RecordsError, match="another of that name or code"), records.writing() as conn:
        undo(conn, change, by=author)


def test_history_of_an_older_schema_is_undone_as_far_as_it_goes(records: Records, author: Author):
    """A column that came later keeps its value; one that is gone is passed over."""
    with records.writing() as conn:
        kept = add_wearer(conn, "W1", note="a", by=author)
        change_wearer(conn, kept.id, 1, {"note": "b"}, by=author)
        change = list_changes_of(conn, "wearers", kept.id)[0]
        assert change.before is not None
        assert change.after is not None
        older = [{**row, "gone": 1} for row in (change.before, change.after)]
        for row in older:
            del row["population"]
        conn.execute(
            changes.update().where(changes.c.id == change.id).values(before=older[0], after=older[1])
        )
        undo(conn, change.id, by=author)
        assert find_wearer(conn, kept.id).note == "a"
