"""A wearer erased from the records: every row, old or new, and every mention in what stays."""

from __future__ import annotations

import json
from collections.abc import Collection
from typing import Final

from attrs import define, field
from sqlalchemy import Connection, Table, delete, func, insert, inspect, or_, select

from heelball.records.found import rows_of
from heelball.records.mentions import take_out_mentions
from heelball.records.rewording import Called
from heelball.records.runs_setting import unhear_gone
from heelball.records.schema import (
    changes,
    drafts,
    health_answers,
    new_id,
    pairs,
    readings,
    sessions,
    sheets,
    sittings,
    try_ons,
    wearers,
)

#: What of a try-on stays where its wearer agreed: the last, the label, how and where it fitted.
_STAYS: Final = ("last_id", "size", "width", "hours", "sock", "swelling", "verdicts")

#: Row ids asked for at once: SQLite takes only so many.
_AT_ONCE: Final = 500


@define
class Erased:
    """What an erase took, kept and left.

    Attributes
    ----------
    rows
        How many rows went, by table.
    kept_try_ons
        Try-ons that stay without identity.
    reworded
        Rows of others in which the name or code was reworded.
    doubtful
        Places that a fitter should look at: a word there may mean this person.
    """

    rows: dict[str, int] = field(factory=dict)
    kept_try_ons: int = 0
    reworded: int = 0
    doubtful: list[str] = field(factory=list)


def wearer_ids(conn: Connection) -> set[str]:
    """Return the ids of all wearers that the records know of, removed ones included."""
    kept = conn.execute(select(wearers.c.id)).scalars()
    told = conn.execute(
        select(changes.c.wearer_id).where(changes.c.wearer_id.is_not(None)).distinct()
    ).scalars()
    return {*kept, *told}


def ids_of_code(conn: Connection, code: str) -> set[str]:
    """Return who has this code; where nobody has, who had it and was removed.

    Someone who has another code by now is not meant.
    """
    kept = set(conn.execute(select(wearers.c.id).where(wearers.c.code == code)).scalars())
    if kept:
        return kept
    there = set(conn.execute(select(wearers.c.id)).scalars())
    removed = select(changes).where(changes.c.table_name == wearers.name, changes.c.after.is_(None))
    return {
        row["row_id"]
        for row in rows_of(conn, removed)
        if (row["before"] or {}).get("code") == code and row["row_id"] not in there
    }


def pictured(conn: Connection) -> set[str]:
    """Return the ids of the sheets that a picture is kept of."""
    if not _there(conn, sheets):
        return set()
    return set(conn.execute(select(sheets.c.id).where(sheets.c.picture.is_not(None))).scalars())


def drop_pictures(conn: Connection, sheet_ids: Collection[str]) -> None:
    """Take the pictures of sheets out, and the agreement to them."""
    for sheet_id in sheet_ids:
        bare = {"picture": None, "agreed": False, "version": sheets.c.version + 1}
        conn.execute(sheets.update().where(sheets.c.id == sheet_id).values(bare))


def called(conn: Connection, wearer_id: str) -> Called:
    """Return what a wearer is called, and ever was as far as the records tell."""
    kept = rows_of(conn, select(wearers.c.name, wearers.c.code).where(wearers.c.id == wearer_id))
    told = rows_of(
        conn, select(changes).where(changes.c.table_name == wearers.name, changes.c.row_id == wearer_id)
    )
    known = [*kept, *(row[side] for row in told for side in ("before", "after") if row[side])]
    return Called({row["name"] for row in known}, {row["code"] for row in known})


def erase_wearer(conn: Connection, wearer_id: str) -> Erased:
    """Erase a wearer in the transaction of `conn`.

    Readings, sheets, sittings, pairs, try-ons, drafts, health answers, the words a search looks in, the
    history of all of them, and the sessions that hold the wearer. Try-ons stay, with nothing that
    leads to the wearer, where that was agreed.

    Parameters
    ----------
    wearer_id
        Whom; someone who was removed before is erased from the history.
    """
    erased = Erased()
    who = called(conn, wearer_id)
    _end_sessions(conn, wearer_id, who, erased)
    owned = _own_rows(conn, wearer_id)
    _keep_try_ons(conn, wearer_id, erased)
    _forget(conn, wearer_id, owned, erased)
    # Counted before any goes: a repeat goes with the reading that it repeats. Children go first, so
    # that no database's cascade is relied on.
    gone = [
        (table, table.c.wearer_id)
        for table in _there(conn, drafts, health_answers, try_ons, pairs, readings, sheets, sittings)
    ]
    for table, owner in gone:
        count = select(func.count()).select_from(table).where(owner == wearer_id)
        _count(erased, table, conn.execute(count).scalar_one())
    for table, owner in [*gone, (wearers, wearers.c.id)]:
        conn.execute(delete(table).where(owner == wearer_id))
    unhear_gone(conn)
    erased.reworded, erased.doubtful = take_out_mentions(conn, who)
    return erased


def _there(conn: Connection, *tables: Table) -> list[Table]:
    """Return those of some tables that the records have: a backup of an older schema is erased from too."""
    return [table for table in tables if table is not sheets or inspect(conn).has_table(sheets.name)]


def _count(erased: Erased, table: Table, rows: int) -> None:
    if rows:
        erased.rows[table.name] = erased.rows.get(table.name, 0) + rows


def _own_rows(conn: Connection, wearer_id: str) -> set[str]:
    """Return the ids of every row that is the wearer's."""
    owned = {wearer_id}
    for table in _there(conn, sittings, sheets, readings, pairs, try_ons):
        owned |= set(conn.execute(select(table.c.id).where(table.c.wearer_id == wearer_id)).scalars())
    return owned


def _end_sessions(conn: Connection, wearer_id: str, who: Called, erased: Erased) -> None:
    for row in rows_of(conn, select(sessions.c.hash, sessions.c.data)):
        text = json.dumps(row["data"], ensure_ascii=False)
        if wearer_id in text or who.out_of(text) != text:
            conn.execute(delete(sessions).where(sessions.c.hash == row["hash"]))
            _count(erased, sessions, 1)


def _keep_try_ons(conn: Connection, wearer_id: str, erased: Erased) -> None:
    """Take identity off the try-ons, where the wearer agreed that they stay."""
    agreed = conn.execute(select(wearers.c.keeps_try_ons).where(wearers.c.id == wearer_id)).scalar()
    mine = rows_of(conn, select(try_ons).where(try_ons.c.wearer_id == wearer_id)) if agreed else []
    if not mine:
        return
    conn.execute(delete(try_ons).where(try_ons.c.wearer_id == wearer_id))
    bare = [
        {
            "id": new_id(),
            "version": 1,
            "wearer_id": None,
            "pair_id": None,
            "on": row["on"][:4],
            "note": "",
            **{name: row[name] for name in _STAYS},
        }
        for row in mine
    ]
    erased.kept_try_ons = len(bare)
    # Side by side in the file they would still be one person's: all that are nobody's are put in
    # again, by their random ids.
    nobodys = rows_of(conn, select(try_ons).where(try_ons.c.wearer_id.is_(None)))
    conn.execute(delete(try_ons).where(try_ons.c.wearer_id.is_(None)))
    conn.execute(insert(try_ons), sorted([*nobodys, *bare], key=lambda row: str(row["id"])))


def _forget(conn: Connection, wearer_id: str, owned: Collection[str], erased: Erased) -> None:
    """Delete the history of the wearer and of all that was the wearer's."""
    ids = sorted(owned)
    for start in range(0, len(ids), _AT_ONCE):
        mine = or_(changes.c.wearer_id == wearer_id, changes.c.row_id.in_(ids[start : start + _AT_ONCE]))
        _count(erased, changes, conn.execute(delete(changes).where(mine)).rowcount)
