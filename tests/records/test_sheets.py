"""Sheets: their line never changes, their picture is in nothing but its own column, and goes for good."""

from __future__ import annotations

import pytest
from attrs import evolve
from sqlalchemy import select

from heelball.errors import InputError, RecordsError
from heelball.records import schema
from heelball.records.changes import list_changes_of, undo
from heelball.records.found import rows_of
from heelball.records.refused import Conflict, NotFound, StillNeeded
from heelball.records.sheets import add_sheet, find_picture, find_sheet, forget_picture, list_sheets
from heelball.records.sittings import add_sitting, list_sittings
from heelball.records.store import Records
from heelball.records.values import Author, KeptSheet
from heelball.records.wearers import add_wearer, find_wearer, remove_wearer
from tests.records.filling import LINE, PICTURE, fill


@pytest.fixture
def kept(records: Records, author: Author) -> KeptSheet:
    """Return a sheet with its picture."""
    with records.writing() as conn:
        wearer = add_wearer(conn, "W1", by=author)
        sitting = add_sitting(conn, wearer.id, at=author.at, by=author)
        return add_sheet(conn, sitting.id, "left", LINE, agreed=True, picture=PICTURE, by=author)


def test_a_sheet_is_found_as_it_was_added(records: Records, kept: KeptSheet):
    with records.reading() as conn:
        assert find_sheet(conn, kept.id) == kept
        assert list_sheets(conn, kept.wearer_id) == [kept]
        assert find_picture(conn, kept.id) == PICTURE
        assert kept.line == LINE
        assert kept.has_picture
        for missing in ("nowhere", "\0"):
            with pytest.raises(NotFound, match="This sheet"):
                find_sheet(conn, missing)


def test_without_agreement_there_is_no_picture(records: Records, kept: KeptSheet, author: Author):
    with records.writing() as conn:
        with pytest.raises(InputError, match="no agreement"):
            add_sheet(conn, kept.sitting_id, "left", LINE, agreed=False, picture=b"x", by=author)
        bare = add_sheet(conn, kept.sitting_id, "left", LINE, agreed=False, picture=None, by=author)
        assert not bare.has_picture
        with pytest.raises(NotFound, match="The picture of this sheet"):
            find_picture(conn, bare.id)
    # Whoever else writes to the records is held to it too.
    with pytest.raises(RecordsError), records.writing() as conn:
        conn.execute(schema.sheets.update().values(agreed=False))


def test_a_picture_goes_with_the_agreement_and_the_line_stays(
    records: Records, kept: KeptSheet, author: Author
):
    with records.writing() as conn:
        bare = forget_picture(conn, kept.id, kept.version, by=author)
    assert bare == evolve(kept, version=2, agreed=False, has_picture=False)
    with records.writing() as conn:
        # Once more changes nothing.
        assert forget_picture(conn, kept.id, kept.version, by=author) == bare
        with pytest.raises(NotFound):
            find_picture(conn, kept.id)


def test_of_two_fitters_the_second_is_told(records: Records, kept: KeptSheet, author: Author):
    with records.writing() as conn, pytest.raises(Conflict) as told:
        forget_picture(conn, kept.id, kept.version + 1, by=author)
    assert told.value.theirs == kept
    with records.reading() as conn:
        assert find_picture(conn, kept.id) == PICTURE


def test_the_history_never_holds_a_picture(records: Records, author: Author):
    filled = fill(records, author)
    with records.writing() as conn:
        for sheet in (*list_sheets(conn, filled.wearer), *list_sheets(conn, filled.other)):
            forget_picture(conn, sheet.id, sheet.version, by=author)
        remove_wearer(conn, filled.other, find_wearer(conn, filled.other).version, by=author)
        changes = rows_of(conn, select(schema.changes))
    told = [side for row in changes for side in (row["before"], row["after"]) if side is not None]
    told += [one for side in told for rows in side.get("with", {}).values() for one in rows]
    assert sum("line" in one and "agreed" in one for one in told) == 7
    assert not [one for one in told if "picture" in one]


def test_a_picture_that_was_taken_out_does_not_come_back(records: Records, kept: KeptSheet, author: Author):
    with records.writing() as conn:
        forget_picture(conn, kept.id, kept.version, by=author)
    with records.writing() as conn:
        (last, first) = list_changes_of(conn, "sheets", kept.id)
        with pytest.raises(RecordsError, match="does not come back"):
            undo(conn, last.id, by=author)
        assert not find_sheet(conn, kept.id).has_picture
        assert not first.undone


def test_adding_a_sheet_can_be_undone_until_readings_name_it(records: Records, author: Author):
    filled = fill(records, author)
    with records.writing() as conn:
        (sheet,) = list_sheets(conn, filled.wearer)
        (added,) = list_changes_of(conn, "sheets", sheet.id)
        with pytest.raises(StillNeeded):
            undo(conn, added.id, by=author)
        (sitting,) = list_sittings(conn, filled.wearer)
        bare = add_sheet(conn, sitting.id, "right", LINE, agreed=False, picture=None, by=author)
        (added,) = list_changes_of(conn, "sheets", bare.id)
        taken_out = undo(conn, added.id, by=author)
        assert list_sheets(conn, filled.wearer) == [sheet]
        undo(conn, taken_out.id, by=author)
        assert find_sheet(conn, bare.id).line == LINE


def test_a_removed_wearer_comes_back_with_sheets_and_readings_but_no_picture(
    records: Records, author: Author
):
    filled = fill(records, author)
    with records.writing() as conn:
        (sheet,) = list_sheets(conn, filled.wearer)
        drawn = select(schema.readings.c.id).where(schema.readings.c.sheet_id == sheet.id)
        before = set(conn.execute(drawn).scalars())
        remove_wearer(conn, filled.wearer, find_wearer(conn, filled.wearer).version, by=author)
        assert list_sheets(conn, filled.wearer) == []
        (removed, *_) = list_changes_of(conn, "wearers", filled.wearer)
        undo(conn, removed.id, by=author)
        assert list_sheets(conn, filled.wearer) == [evolve(sheet, has_picture=False)]
        assert set(conn.execute(drawn).scalars()) == before
        assert len(before) == 3
