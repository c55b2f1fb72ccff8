"""Rulers laid on the gauge are kept, withdrawn and brought back."""

from __future__ import annotations

import pytest

from heelball.records.changes import list_changes_of, undo
from heelball.records.gauge_marks import add_mark, change_mark, find_mark, list_marks, withdraw_mark
from heelball.records.refused import Conflict, NotFound
from heelball.records.store import Records
from heelball.records.values import Author


def test_marks_are_kept_as_given_and_listed_by_day(records: Records, author: Author):
    with records.writing() as conn:
        late = add_mark(
            conn,
            scale="gauge-men",
            what="breadth",
            mark="D",
            line="10",
            measured_mm=101.5,
            on="2026-11-20",
            fitter="QB",
            by=author,
        )
        early = add_mark(
            conn,
            scale="gauge-men",
            what="ball",
            mark="10 1/2",
            measured_mm=199.25,
            on="2026-11-01",
            by=author,
        )
    with records.reading() as conn:
        assert list_marks(conn) == [early, late]
        assert find_mark(conn, late.id) == late
        with pytest.raises(NotFound):
            find_mark(conn, "nothing")
    assert (late.mark, late.line, late.measured_mm, late.on, late.fitter) == (
        "D",
        "10",
        101.5,
        "2026-11-20",
        "QB",
    )
    assert (early.line, early.fitter) == (None, "")


def test_a_withdrawn_mark_counts_no_longer_until_that_is_undone(records: Records, author: Author):
    with records.writing() as conn:
        kept = add_mark(conn, scale="gauge-men", what="ball", mark="10", measured_mm=199.0, by=author)
        gone = withdraw_mark(conn, kept.id, kept.version, by=author)
        assert list_marks(conn) == []
        assert list_marks(conn, withdrawn=True) == [gone]
        undo(conn, list_changes_of(conn, "gauge_marks", kept.id)[0].id, by=author)
        (again,) = list_marks(conn)
    assert (again.id, again.withdrawn_at, again.measured_mm) == (kept.id, None, 199.0)


def test_the_second_to_mend_a_mark_is_told(records: Records, author: Author):
    with records.writing() as conn:
        kept = add_mark(conn, scale="gauge-men", what="ball", mark="10", measured_mm=199.0, by=author)
        first = change_mark(conn, kept.id, 1, {"measured_mm": 199.5}, by=author)
    with records.writing() as conn, pytest.raises(Conflict) as refused:
        withdraw_mark(conn, kept.id, 1, by=author)
    assert refused.value.theirs == first
