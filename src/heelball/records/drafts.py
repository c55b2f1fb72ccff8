"""Drafts: what is being tapped in, kept at each tap so that a sleeping tablet loses nothing."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import Connection, insert, select

from heelball.records.columns import check_text
from heelball.records.found import find_row, rows_of
from heelball.records.refused import Conflict
from heelball.records.schema import drafts, wearers
from heelball.records.values import Author, Draft
from heelball.records.writing import written_time


def find_draft(conn: Connection, wearer_id: str) -> Draft:
    """Return a wearer's draft; where there is none, an empty one of version 0."""
    for row in rows_of(conn, select(drafts).where(drafts.c.wearer_id == wearer_id)):
        return Draft(**row)
    return Draft(wearer_id, 0, "", {})


def save_field(
    conn: Connection,
    wearer_id: str,
    name: str,
    value: str | None,
    *,
    seen: int,
    by: Author,
) -> Draft:
    """Keep one field of a wearer's draft.

    Parameters
    ----------
    name, value
        The field, and what was tapped or typed; None takes the field out.
    seen
        The draft's version that the fitter saw, 0 where there was none.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    Conflict
        Where someone else has tapped meanwhile; it carries the draft as it is kept.
    InputError
        Where the value cannot be kept.
    """
    return save_fields(conn, wearer_id, {name: value}, seen=seen, by=by)


def save_fields(
    conn: Connection,
    wearer_id: str,
    fields: Mapping[str, str | None],
    *,
    seen: int,
    by: Author,
) -> Draft:
    """Keep several fields of a wearer's draft at once, as a form without scripts sends them.

    Parameters
    ----------
    fields
        What was tapped or typed by field; None takes the field out.
    conn, wearer_id, seen, by
        As in `save_field`.

    Raises
    ------
    NotFound, Conflict, InputError
        As in `save_field`.
    """
    check_text(fields)
    find_row(conn, wearers, wearer_id)
    kept = find_draft(conn, wearer_id)
    if all(kept.fields.get(name) == value for name, value in fields.items()):
        return kept
    if kept.version != seen:
        raise Conflict(kept, seen, dict(fields))
    left = {name: value for name, value in {**kept.fields, **fields}.items() if value is not None}
    return _write(conn, kept, left, by)


def clear_draft(conn: Connection, wearer_id: str, *, seen: int, by: Author) -> Draft:
    """Empty a wearer's draft, once it is written down or thrown away.

    It goes on to count its versions, so that a tablet that slept through it is told.

    Raises
    ------
    Conflict
        Where someone else has tapped since `seen`.
    """
    kept = find_draft(conn, wearer_id)
    if not kept.fields:
        return kept
    if kept.version != seen:
        raise Conflict(kept, seen, {})
    return _write(conn, kept, {}, by)


def _write(conn: Connection, kept: Draft, fields: Mapping[str, str], by: Author) -> Draft:
    """Write a draft over the one that is kept."""
    row = {"version": kept.version + 1, "changed_at": written_time(by), "fields": dict(fields)}
    if kept.version == 0:
        conn.execute(insert(drafts).values(wearer_id=kept.wearer_id, **row))
    else:
        conn.execute(drafts.update().where(drafts.c.wearer_id == kept.wearer_id).values(row))
    return find_draft(conn, kept.wearer_id)
