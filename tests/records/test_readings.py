"""Readings are new, repeats or corrections; what no longer counts stays to be seen."""

from __future__ import annotations

import itertools
from datetime import datetime
from typing import Any

import pytest
from attrs import evolve
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from heelball.errors import InputError, RecordsError
from heelball.records.changes import list_changes_of_wearer, undo
from heelball.records.readings import (
    NewReading,
    add_readings,
    find_reading,
    last_number,
    list_readings,
    restore_reading,
    withdraw_reading,
)
from heelball.records.refused import Conflict, NotFound
from heelball.records.sittings import add_sitting
from heelball.records.store import Records
from heelball.records.values import Author, KeptReading, Sitting
from heelball.records.wearers import add_wearer

BALL = NewReading("right", "ball", "gauge-men", "10 1/2")


@pytest.fixture
def sitting(records: Records, author: Author) -> Sitting:
    with records.writing() as conn:
        wearer = add_wearer(conn, "W1", by=author)
        return add_sitting(conn, wearer.id, at=author.at, load="one", by=author)


def take(records: Records, sitting: Sitting, *taken: NewReading, by: Author, seen: int | None = None):
    with records.writing() as conn:
        number = last_number(conn, sitting.wearer_id) if seen is None else seen
        return add_readings(conn, sitting.id, taken, seen_number=number, by=by)


def corrected(reading: KeptReading, value: str, kind: Any = "correction") -> NewReading:
    return NewReading(reading.foot, reading.what, reading.scale, value, kind=kind, of_id=reading.id)


def standing(records: Records, sitting: Sitting) -> list[str]:
    with records.reading() as conn:
        return [reading.value for reading in list_readings(conn, sitting.wearer_id) if reading.stands]


def test_readings_are_kept_as_taken(records: Records, sitting: Sitting, author: Author):
    letter = NewReading("left", "breadth", "gauge-men", "C 3/4", "10", "seated", "caliper", 1.25)
    added = take(records, sitting, BALL, letter, by=author)
    with records.reading() as conn:
        assert list_readings(conn, sitting.wearer_id) == added
        assert find_reading(conn, added[1].id) == added[1]
        assert last_number(conn, sitting.wearer_id) == 2
        assert last_number(conn, "nobody") == 0
    first, second = added
    # What is not said of the load is as in the rest of the sitting.
    assert (first.number, first.load, first.method, first.sd_mm, first.kind) == (
        1,
        "one",
        "gauge",
        None,
        "new",
    )
    assert (second.number, second.foot, second.what, second.value) == (2, "left", "breadth", "C 3/4")
    assert (second.line, second.load, second.method, second.sd_mm) == ("10", "seated", "caliper", 1.25)
    assert first.stands
    assert second.stands


def test_no_readings_are_no_readings(records: Records, sitting: Sitting, author: Author):
    take(records, sitting, BALL, by=author)
    assert take(records, sitting, by=author) == []


def test_a_repeat_stands_beside_what_it_repeats(records: Records, sitting: Sitting, author: Author):
    (first,) = take(records, sitting, BALL, by=author)
    (again,) = take(records, sitting, corrected(first, "10 3/4", "repeat"), by=author)
    assert (again.kind, again.of_id) == ("repeat", first.id)
    assert standing(records, sitting) == ["10 1/2", "10 3/4"]


def test_a_correction_strikes_the_old_one_through(records: Records, sitting: Sitting, author: Author):
    (first,) = take(records, sitting, BALL, by=author)
    (second,) = take(records, sitting, corrected(first, "11"), by=author)
    (third,) = take(records, sitting, corrected(second, "11 1/2"), by=author)
    with records.reading() as conn:
        kept = list_readings(conn, sitting.wearer_id)
    assert [reading.value for reading in kept] == ["10 1/2", "11", "11 1/2"]
    assert [reading.corrected_by for reading in kept] == [second.id, third.id, None]
    assert standing(records, sitting) == ["11 1/2"]


def test_what_was_corrected_counts_again_when_the_correction_is_taken_back(
    records: Records, sitting: Sitting, author: Author
):
    (first,) = take(records, sitting, BALL, by=author)
    (second,) = take(records, sitting, corrected(first, "11"), by=author)
    with records.writing() as conn:
        gone = withdraw_reading(conn, second.id, second.version, by=author)
        later = evolve(author, at=author.at.replace(hour=20))
        assert withdraw_reading(conn, second.id, gone.version, by=later) == gone
    assert (gone.withdrawn_at, gone.stands) == ("2026-11-25T18:40:05+01:00", False)
    assert standing(records, sitting) == ["10 1/2"]
    with records.writing() as conn:
        assert restore_reading(conn, second.id, gone.version, by=author).stands
    assert standing(records, sitting) == ["11"]


def test_a_reading_that_is_struck_through_is_not_taken_back(
    records: Records, sitting: Sitting, author: Author
):
    (first,) = take(records, sitting, BALL, by=author)
    take(records, sitting, corrected(first, "11"), by=author)
    with (
        pytest.raises(RecordsError, match="A correction has struck this reading through"),
        records.writing() as conn,
    ):
        withdraw_reading(conn, first.id, first.version, by=author)


def test_two_in_one_go_may_not_correct_one_reading(records: Records, sitting: Sitting, author: Author):
    (first,) = take(records, sitting, BALL, by=author)
    with pytest.raises(
        InputError, match="right ball: a correction of a reading that a correction has struck"
    ):
        take(records, sitting, corrected(first, "11"), corrected(first, "12"), by=author)
    assert standing(records, sitting) == ["10 1/2"]


@pytest.mark.parametrize("kind", ["repeat", "correction"])
def test_only_a_standing_reading_of_the_same_measure_is_named(
    records: Records, sitting: Sitting, author: Author, kind: Any
):
    with records.writing() as conn:
        other = add_wearer(conn, "W2", by=author)
        elsewhere = add_sitting(conn, other.id, at=author.at, by=author)
    (strange,) = take(records, elsewhere, BALL, by=author)
    left, length, gone = take(
        records,
        sitting,
        NewReading("left", "ball", "gauge-men", "10"),
        NewReading("right", "length", "gauge-men", "10"),
        BALL,
        by=author,
    )
    with records.writing() as conn:
        withdraw_reading(conn, gone.id, 1, by=author)
    for named, found in (
        (left.id, f"a {kind} of the left foot's ball"),
        (length.id, f"a {kind} of the right foot's length"),
        (gone.id, f"a {kind} of a reading that was taken back"),
        (strange.id, f"a {kind} of no reading of this wearer"),
        ("nothing", f"a {kind} of no reading of this wearer"),
        (None, f"a {kind} of no reading of this wearer"),
    ):
        wrong = NewReading("right", "ball", "gauge-men", "11", kind=kind, of_id=named)
        with pytest.raises(InputError) as told:
            take(records, sitting, wrong, by=author)
        assert told.value.problems[0].place == "right ball"
        assert told.value.problems[0].found == found
        assert told.value.problems[0].wanted == "a standing reading of the right foot's ball"


def test_a_new_reading_names_none(records: Records, sitting: Sitting, author: Author):
    (first,) = take(records, sitting, BALL, by=author)
    with pytest.raises(InputError, match="right ball: a new reading that names another"):
        take(records, sitting, corrected(first, "11", "new"), by=author)


def test_the_second_fitter_sees_what_the_first_wrote(records: Records, sitting: Sitting, author: Author):
    (first,) = take(records, sitting, BALL, by=author)
    mine = corrected(first, "12")
    (theirs,) = take(records, sitting, corrected(first, "11"), by=author, seen=1)
    with pytest.raises(Conflict) as told:
        take(records, sitting, mine, by=author, seen=1)
    assert (told.value.theirs, told.value.seen) == ([theirs], 1)
    assert told.value.changes == {"readings": (mine,)}
    assert standing(records, sitting) == ["11"]
    # The second chooses to correct the correction.
    take(records, sitting, corrected(theirs, "12"), by=author, seen=2)
    assert standing(records, sitting) == ["12"]


def test_an_answer_that_was_lost_writes_nothing_twice(records: Records, sitting: Sitting, author: Author):
    take(records, sitting, BALL, by=author, seen=0)
    with pytest.raises(Conflict):
        take(records, sitting, BALL, by=author, seen=0)
    assert standing(records, sitting) == ["10 1/2"]


def test_what_is_not_there_is_told(records: Records, author: Author):
    with records.reading() as conn:
        with pytest.raises(NotFound, match="This reading is not in the records"):
            find_reading(conn, "nothing")
        with pytest.raises(NotFound, match="This sitting is not in the records"):
            add_readings(conn, "nothing", [BALL], seen_number=0, by=author)


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(st.sampled_from("acwru"), st.integers(0, 30)), min_size=1, max_size=14))
def test_of_one_observation_at_most_one_reading_counts(
    records: Records, author: Author, now: datetime, steps: list[tuple[str, int]]
):
    """Whatever is corrected, taken back, restored and undone in whatever order."""
    code = f"W{next(_numbers)}"
    with records.writing() as conn:
        wearer = add_wearer(conn, code, by=author)
        sitting = add_sitting(conn, wearer.id, at=now, by=author)
    (first,) = take(records, sitting, BALL, by=author)
    for step, pick in steps:
        with records.reading() as conn:
            kept = list_readings(conn, wearer.id)
            changes = list_changes_of_wearer(conn, wearer.id)
        chosen = kept[pick % len(kept)]
        try:
            if step in "ac":
                take(records, sitting, corrected(chosen, f"{pick}"), by=author)
            elif step == "u":
                with records.writing() as conn:
                    undo(conn, changes[pick % len(changes)].id, by=author)
            else:
                act = withdraw_reading if step == "w" else restore_reading
                with records.writing() as conn:
                    act(conn, chosen.id, chosen.version, by=author)
        except (InputError, RecordsError):
            continue
        with records.reading() as conn:
            kept = list_readings(conn, wearer.id)
        assert sum(reading.stands for reading in kept) <= 1
        untouched = [reading for reading in kept if reading.withdrawn_at is None]
        assert sum(reading.stands for reading in kept) == bool(untouched)
        assert kept[0].id == first.id


_numbers = itertools.count()
