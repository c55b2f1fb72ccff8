"""Letters go from draft to sent to answered, each with its day, and keep the text that was sent."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import Connection

from heelball.errors import InputError
from heelball.records.changes import list_changes_of, undo
from heelball.records.letters import add_letter, change_letter, find_letter, list_letters
from heelball.records.makers import add_maker
from heelball.records.refused import Conflict, NotFound
from heelball.records.store import Records
from heelball.records.values import Author, Letter

SENT = {"state": "sent", "sent_on": "2026-11-02"}
ANSWERED = {"state": "answered", "answered_on": "2026-11-20"}


def draft(conn: Connection, author: Author, maker: str = "Northmoor") -> Letter:
    kept = add_maker(conn, maker, by=author)
    return add_letter(conn, kept.id, about=["N7", "N8"], text="How do they run?", by=author)


def test_a_letter_is_kept_as_given(records: Records, author: Author):
    with records.writing() as conn:
        kept = draft(conn, author)
        with pytest.raises(NotFound):
            add_letter(conn, "nobody", about=[], text="x", by=author)
    with records.reading() as conn:
        assert find_letter(conn, kept.id) == kept
    assert (kept.state, kept.about, kept.drafted_at) == ("draft", ("N7", "N8"), "2026-11-25T18:40:05+01:00")


def test_a_letter_is_sent_and_then_answered(records: Records, author: Author):
    with records.writing() as conn:
        kept = draft(conn, author)
        sent = change_letter(conn, kept.id, 1, SENT, by=author)
        answered = change_letter(conn, kept.id, 2, ANSWERED, by=author)
    assert (sent.state, sent.sent_on, sent.answered_on) == ("sent", "2026-11-02", None)
    assert (answered.state, answered.sent_on, answered.answered_on) == (
        "answered",
        "2026-11-02",
        "2026-11-20",
    )


@pytest.mark.parametrize(
    ("steps", "wrong", "place"),
    [
        ([], {"state": "sent"}, "sent_on"),
        ([], {"state": "sent", "sent_on": "2026-11-26"}, "sent_on"),
        ([], {"sent_on": "2026-11-02"}, "sent_on"),
        ([], {"state": "answered", "answered_on": "2026-11-20"}, "sent_on"),
        ([SENT], {"state": "answered"}, "answered_on"),
        ([SENT], {"state": "answered", "answered_on": "2026-11-01"}, "answered_on"),
        ([SENT], {"text": "Another question"}, "text"),
    ],
)
def test_days_and_states_go_together(
    records: Records, author: Author, steps: list[dict[str, Any]], wrong: dict[str, Any], place: str
):
    with records.writing() as conn:
        kept = draft(conn, author)
        for step in steps:
            kept = change_letter(conn, kept.id, kept.version, step, by=author)
    with records.writing() as conn, pytest.raises(InputError) as refused:
        change_letter(conn, kept.id, kept.version, wrong, by=author)
    assert [problem.place for problem in refused.value.problems] == [place]
    with records.reading() as conn:
        assert find_letter(conn, kept.id) == kept


def test_a_letter_that_waits_can_be_dropped_and_taken_up_again(records: Records, author: Author):
    with records.writing() as conn:
        kept = change_letter(conn, draft(conn, author).id, 1, SENT, by=author)
        change_letter(conn, kept.id, 2, {"state": "dropped"}, by=author)
        undo(conn, list_changes_of(conn, "letters", kept.id)[0].id, by=author)
    with records.reading() as conn:
        assert find_letter(conn, kept.id).state == "sent"


def test_letters_are_listed_by_maker_and_state_the_longest_waiting_first(records: Records, author: Author):
    with records.writing() as conn:
        late, early, other = (draft(conn, author, name) for name in ("Northmoor", "Quernmere", "Sallowfirth"))
        late = change_letter(conn, late.id, 1, {"state": "sent", "sent_on": "2026-11-09"}, by=author)
        early = change_letter(conn, early.id, 1, SENT, by=author)
    with records.reading() as conn:
        assert list_letters(conn, state="sent") == [early, late]
        assert list_letters(conn, state="draft") == [other]
        assert list_letters(conn, maker_id=late.maker_id) == [late]
        assert len(list_letters(conn)) == 3


def test_the_second_to_edit_a_letter_is_told(records: Records, author: Author):
    with records.writing() as conn:
        kept = draft(conn, author)
        first = change_letter(conn, kept.id, 1, {"text": "How does it bend?"}, by=author)
    with records.writing() as conn, pytest.raises(Conflict) as refused:
        change_letter(conn, kept.id, 1, {"text": "How long is it?"}, by=author)
    assert refused.value.theirs == first
