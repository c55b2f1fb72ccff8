"""The history of the records, and undo: itself a change, so that it can be undone."""

from __future__ import annotations

from typing import Any, Final

from sqlalchemy import Connection, Table, insert, select

from heelball.errors import RecordsError
from heelball.records.found import Row, find_row, rows_of
from heelball.records.refused import AlreadyUndone, Conflict, StillNeeded
from heelball.records.schema import changes, metadata, sheets
from heelball.records.values import Author, Change
from heelball.records.writing import ALONG, note_change, parts_of, put, written_time

#: What every write changes, and undo therefore does not look at.
_PASSING: Final = ("version", "changed_at")


def find_change(conn: Connection, id: int) -> Change:
    """Return one change.

    Raises
    ------
    NotFound
        Where there is none.
    """
    return Change(**find_row(conn, changes, id))


def list_changes_of(conn: Connection, table_name: str, row_id: str) -> list[Change]:
    """Return what was done to one row, the last first."""
    query = select(changes).where(changes.c.table_name == table_name, changes.c.row_id == row_id)
    return [Change(**row) for row in rows_of(conn, query.order_by(changes.c.id.desc()))]


def list_changes_of_wearer(conn: Connection, wearer_id: str, limit: int | None = None) -> list[Change]:
    """Return what was done to all rows of a wearer, the last first; at most `limit` of them."""
    query = select(changes).where(changes.c.wearer_id == wearer_id)
    return [Change(**row) for row in rows_of(conn, query.order_by(changes.c.id.desc()).limit(limit))]


def undo(conn: Connection, change_id: int, *, by: Author) -> Change:
    """Take a change back, if nothing has been written over it since.

    What was added is removed, or withdrawn where the history shows withdrawn rows; what was
    changed is as before; what was removed is there again, with all that went along.

    Parameters
    ----------
    change_id
        The change to undo.
    by
        Who undoes it, and when.

    Returns
    -------
    Change
        The undoing.

    Raises
    ------
    NotFound
        Where there is no such change.
    AlreadyUndone
        Where it was undone before.
    Conflict
        Where the row is no longer as the change left it; it carries the row now kept, or None.
    StillNeeded
        Where other things were written to what was added, or what a removed row belonged to is gone.
    RecordsError
        Where it took a picture out.
    """
    change = find_change(conn, change_id)
    if change.undone:
        raise AlreadyUndone
    if is_for_good(change):
        raise RecordsError("A picture that was taken out does not come back.", "Take another photograph.")
    table = metadata.tables[change.table_name]
    now = _row_or_none(conn, table, change.row_id)
    if not _same(now, change.after):
        raise Conflict(now, change_id, dict(change.before or {}))
    if now is None:
        _bring_back(conn, table, change, by)
    elif change.before is not None:
        put(conn, table, now, _columns(table, change.before), by=by, wearer_id=change.wearer_id)
    elif "withdrawn_at" in table.c:
        put(conn, table, now, {"withdrawn_at": written_time(by)}, by=by, wearer_id=change.wearer_id)
    else:
        _take_out(conn, table, now, change, by)
    conn.execute(changes.update().where(changes.c.id == change_id).values(undone=True))
    return list_changes_of(conn, change.table_name, change.row_id)[0]


def is_for_good(change: Change) -> bool:
    """Whether nothing undoes a change: a sheet is changed by taking its picture out, and only so."""
    return change.table_name == sheets.name and None not in (change.before, change.after)


def _bring_back(conn: Connection, table: Table, change: Change, by: Author) -> None:
    """Insert a removed row again, and what went along."""
    before = dict(change.before or {})
    along: dict[str, list[dict[str, Any]]] = before.pop(ALONG, {})
    for key in table.foreign_keys:
        name = before.get(key.parent.name)
        if name is not None and key.column.table is not table:
            parent = _row_or_none(conn, key.column.table, name)
            if parent is None:
                raise StillNeeded("What this belonged to was removed too.", "Undo that first.")
    row = {**_columns(table, before), "id": before["id"], "version": before["version"] + 1}
    conn.execute(insert(table).values(row))
    for child in metadata.sorted_tables:
        # All rows of a table at once: they may name each other.
        if rows := along.get(child.name):
            kept = [{**_columns(child, r), "id": r["id"], "version": r["version"]} for r in rows]
            conn.execute(insert(child).values(kept))
    after = find_row(conn, table, change.row_id)
    note_change(conn, table, None, after, by=by, wearer_id=change.wearer_id)


def _take_out(conn: Connection, table: Table, now: Row, change: Change, by: Author) -> None:
    """Delete a row that was added, if nothing was written to it since."""
    if parts_of(conn, table, now):
        raise StillNeeded(
            "Other things were written to this since it was added.",
            "Undo those first, or remove it with all that belongs to it.",
        )
    conn.execute(table.delete().where(table.c.id == now["id"]))
    note_change(conn, table, now, None, by=by, wearer_id=change.wearer_id)


def _row_or_none(conn: Connection, table: Table, id: str) -> dict[str, Any] | None:
    return next(iter(rows_of(conn, select(table).where(table.c.id == id))), None)


def _same(now: Row | None, after: Row | None) -> bool:
    if now is None or after is None:
        return now is after
    return all(now[name] == value for name, value in after.items() if name in now and name not in _PASSING)


def _columns(table: Table, row: Row) -> dict[str, Any]:
    """Return what a row holds apart from its name and version, as far as the table still has it."""
    return {
        name: value for name, value in row.items() if name in table.c and name not in ("id", *_PASSING)
    } | ({"changed_at": row["changed_at"]} if "changed_at" in table.c else {})
