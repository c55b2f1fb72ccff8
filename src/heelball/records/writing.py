"""The one way a row is written: with its version, and with a row in `changes` that undo reads."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final, TypeVar

from sqlalchemy import Column, Connection, LargeBinary, Table, select
from sqlalchemy import insert as sql_insert

from heelball.records.columns import check_row
from heelball.records.found import Row, find_row
from heelball.records.refused import Conflict
from heelball.records.schema import changes as changes_table
from heelball.records.schema import metadata, new_id
from heelball.records.values import Author

T = TypeVar("T")

#: In the `before` of a removal: the rows that went along, by table, parents before children.
ALONG: Final = "with"

#: Never in `changes`: health is kept nowhere else, a draft is no record yet.
_UNTOLD: Final = ("health_answers", "drafts")


def insert(
    conn: Connection,
    table: Table,
    row: Row,
    *,
    by: Author,
    into: Callable[[Row], T],
    wearer_id: str | None = None,
) -> T:
    """Add a row and tell of it in `changes`.

    Parameters
    ----------
    conn
        A connection that writes.
    table, row
        Where to, and its values by column; without an ``id`` it is given one.
    by
        Who adds it, and when.
    into
        Makes the value out of the row as kept.
    wearer_id
        Whose row it is, where the row itself does not say so.

    Raises
    ------
    InputError
        Where a value is too long or cannot be kept.
    """
    values = {"id": new_id(), **row, "version": 1}
    check_row(table, values)
    conn.execute(sql_insert(table).values(values))
    kept = find_row(conn, table, values["id"])
    note_change(conn, table, None, kept, by=by, wearer_id=wearer_id)
    return into(kept)


def update(
    conn: Connection,
    table: Table,
    id: str,
    seen: int,
    changes: Row,
    *,
    by: Author,
    into: Callable[[Row], T],
    wearer_id: str | None = None,
) -> T:
    """Change a row, if it is still the one that was seen.

    Nothing is written where nothing would be different, whoever wrote it.

    Parameters
    ----------
    seen
        The version that the fitter saw.
    changes
        The columns to change, with their new values.
    conn, table, id, by, into, wearer_id
        As in `insert`.

    Raises
    ------
    NotFound
        Where there is no such row.
    Conflict
        Where someone else has changed it since; it carries the value now kept.
    InputError
        Where a value is too long or cannot be kept.
    """
    check_row(table, changes)
    before = find_row(conn, table, id)
    differing = {name: value for name, value in changes.items() if before[name] != value}
    if not differing:
        return into(before)
    if before["version"] != seen:
        raise Conflict(into(before), seen, dict(changes))
    return into(put(conn, table, before, differing, by=by, wearer_id=wearer_id))


def remove(
    conn: Connection,
    table: Table,
    id: str,
    seen: int,
    *,
    by: Author,
    into: Callable[[Row], Any],
    wearer_id: str | None = None,
) -> None:
    """Remove a row, and all rows that are part of it, if it is still the one that was seen.

    Parameters
    ----------
    conn, table, id, seen, by, into, wearer_id
        As in `update`.

    Raises
    ------
    NotFound
        Where there is no such row.
    Conflict
        Where someone else has changed it since.
    StillNeeded
        Where rows that are no part of it name it.
    """
    before = find_row(conn, table, id)
    if before["version"] != seen:
        raise Conflict(into(before), seen, {})
    along = parts_of(conn, table, before)
    conn.execute(table.delete().where(table.c.id == id))
    told = {**before, ALONG: along} if along else before
    note_change(conn, table, told, None, by=by, wearer_id=wearer_id)


def put(
    conn: Connection,
    table: Table,
    before: Row,
    values: Row,
    *,
    by: Author,
    wearer_id: str | None = None,
) -> dict[str, Any]:
    """Write values over a row whose version has been looked at, raise its version, and return it."""
    raised = {**values, "version": before["version"] + 1}
    if "changed_at" in table.c:
        raised["changed_at"] = written_time(by)
    conn.execute(table.update().where(table.c.id == before["id"]).values(raised))
    after = find_row(conn, table, before["id"])
    note_change(conn, table, before, after, by=by, wearer_id=wearer_id)
    return after


def note_change(
    conn: Connection,
    table: Table,
    before: Row | None,
    after: Row | None,
    *,
    by: Author,
    wearer_id: str | None = None,
) -> None:
    """Write into `changes` what a row was and what it is now."""
    row = after or before or {}
    owner = wearer_id or (row["id"] if table.name == "wearers" else row.get("wearer_id"))
    conn.execute(
        sql_insert(changes_table).values(
            at=written_time(by),
            fitter=by.fitter,
            table_name=table.name,
            row_id=row["id"],
            wearer_id=owner,
            before=None if before is None else _told(table, before),
            after=None if after is None else _told(table, after),
        )
    )


def parts_of(conn: Connection, table: Table, row: Row) -> dict[str, list[dict[str, Any]]]:
    """Return the rows that go when `row` is removed, by table, parents before children.

    Health, drafts and pictures go too and are not returned: nothing brings them back.
    """
    gone: dict[str, dict[str, dict[str, Any]]] = {table.name: {row["id"]: dict(row)}}
    for child in metadata.sorted_tables:
        if child.name in _UNTOLD:
            continue
        for key in child.foreign_keys:
            if key.ondelete != "CASCADE":
                continue
            # A table may name itself, corrections of corrections: until nothing new turns up.
            new = dict(gone.get(key.column.table.name, {}))
            while new:
                told = [column for column in child.c if not _is_picture(column)]
                rows = conn.execute(select(*told).where(key.parent.in_(list(new)))).mappings()
                mine = gone.setdefault(child.name, {})
                new = {found["id"]: dict(found) for found in rows if found["id"] not in mine}
                mine.update(new)
                if key.column.table is not child:
                    break
    del gone[table.name][row["id"]]
    return {name: list(rows.values()) for name, rows in gone.items() if rows}


def _told(table: Table, row: Row) -> dict[str, Any]:
    """Return what the history holds of a row: all but a picture."""
    return {name: value for name, value in row.items() if not _is_picture(table.c.get(name))}


def _is_picture(column: Column[Any] | None) -> bool:
    return column is not None and isinstance(column.type, LargeBinary)


def written_time(by: Author) -> str:
    """Return when an author writes, as it is kept: to the second, with its zone."""
    return by.at.isoformat(timespec="seconds")
