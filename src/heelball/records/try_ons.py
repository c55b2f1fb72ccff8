"""Try-ons: what a wearer said of how a pair fits, on one day."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, func, select

from heelball.fit.wearer import Place, Swelling, Verdict
from heelball.foot.vector import Foot
from heelball.records.found import Row, find_row, rows_of
from heelball.records.pairs import find_pair
from heelball.records.schema import changes, try_ons
from heelball.records.values import Author, TryOn
from heelball.records.writing import insert, remove, update

Verdicts = Mapping[Foot, Mapping[Place, Verdict]]


def find_try_on(conn: Connection, id: str) -> TryOn:
    """Return one try-on.

    Raises
    ------
    NotFound
        Where there is none.
    """
    return _try_on(find_row(conn, try_ons, id))


def list_try_ons(
    conn: Connection,
    *,
    pair_id: str | None = None,
    wearer_id: str | None = None,
    last_id: str | None = None,
) -> list[TryOn]:
    """Return try-ons, the oldest first: of one pair, of one wearer, of one last, or all.

    Of two of one day the one that was written down later stands later.
    """
    written = (
        select(func.min(changes.c.id))
        .where(changes.c.table_name == "try_ons", changes.c.row_id == try_ons.c.id)
        .scalar_subquery()
    )
    query = select(try_ons).order_by(try_ons.c.on, func.coalesce(written, 0), try_ons.c.id)
    if pair_id is not None:
        query = query.where(try_ons.c.pair_id == pair_id)
    if wearer_id is not None:
        query = query.where(try_ons.c.wearer_id == wearer_id)
    if last_id is not None:
        query = query.where(try_ons.c.last_id == last_id)
    return [_try_on(row) for row in rows_of(conn, query)]


def first_written(conn: Connection, last_id: str | None = None) -> dict[str, datetime]:
    """Return when each try-on of a last, or each of all, was first written down, by the rows' names.

    One that came with an import without its history is left out.
    """
    query = (
        select(try_ons.c.id, func.min(changes.c.at))
        .join(changes, (changes.c.table_name == "try_ons") & (changes.c.row_id == try_ons.c.id))
        .group_by(try_ons.c.id)
    )
    if last_id is not None:
        query = query.where(try_ons.c.last_id == last_id)
    return {id: datetime.fromisoformat(at) for id, at in conn.execute(query)}


def add_try_on(
    conn: Connection,
    pair_id: str,
    *,
    on: str,
    verdicts: Verdicts,
    hours: float | None = None,
    sock: str | None = None,
    swelling: Swelling | None = None,
    note: str = "",
    id: str | None = None,
    by: Author,
) -> TryOn:
    """Add a try-on of a pair; what was not said is left out of `verdicts`.

    Parameters
    ----------
    id
        A name given to it by the form it came in: sent twice, it is kept once.

    Raises
    ------
    NotFound
        Where there is no such pair.
    """
    pair = find_pair(conn, pair_id)
    if id is not None:
        for kept in list_try_ons(conn, pair_id=pair_id):
            if kept.id == id:
                return kept
    row = {
        "wearer_id": pair.wearer_id,
        "pair_id": pair.id,
        "last_id": pair.last_id,
        "size": pair.size,
        "width": pair.width,
        "on": on,
        "hours": hours,
        "sock": sock,
        "swelling": swelling,
        "verdicts": _plain(verdicts),
        "note": note,
    }
    if id is not None:
        row["id"] = id
    return insert(conn, try_ons, row, by=by, into=_try_on)


def change_try_on(
    conn: Connection,
    id: str,
    seen: int,
    changes: Mapping[str, Any],
    *,
    by: Author,
) -> TryOn:
    """Change what was told: any of on, hours, sock, swelling, verdicts, note.

    Raises
    ------
    NotFound, Conflict
        Where the try-on is gone, or was changed since `seen`.
    """
    wanted = dict(changes)
    if "verdicts" in wanted:
        wanted["verdicts"] = _plain(wanted["verdicts"])
    return update(conn, try_ons, id, seen, wanted, by=by, into=_try_on)


def remove_try_on(conn: Connection, id: str, seen: int, *, by: Author) -> None:
    """Remove a try-on; undo brings it back.

    Raises
    ------
    NotFound, Conflict
        Where the try-on is gone, or was changed since `seen`.
    """
    remove(conn, try_ons, id, seen, by=by, into=_try_on)


def _plain(verdicts: Verdicts) -> dict[Foot, dict[Place, Verdict]]:
    """Return verdicts as they are kept; a foot of which nothing was said is left out."""
    return {foot: dict(told) for foot, told in verdicts.items() if told}


def _try_on(row: Row) -> TryOn:
    return TryOn(**row)
