"""Sittings: the occasions on which a wearer's feet were measured."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, select

from heelball.errors import InputError
from heelball.foot.reading import Load
from heelball.records.found import Row, find_row, rows_of
from heelball.records.schema import sittings, wearers
from heelball.records.values import Author, Sitting
from heelball.records.writing import insert, update


def find_sitting(conn: Connection, id: str) -> Sitting:
    """Return one sitting.

    Raises
    ------
    NotFound
        Where there is none.
    """
    return _sitting(find_row(conn, sittings, id))


def list_sittings(conn: Connection, wearer_id: str) -> list[Sitting]:
    """Return a wearer's sittings, the earliest first, whatever zones they were written down in."""
    found = rows_of(conn, select(sittings).where(sittings.c.wearer_id == wearer_id))
    return sorted(map(_sitting, found), key=lambda sitting: (datetime.fromisoformat(sitting.at), sitting.id))


def add_sitting(
    conn: Connection,
    wearer_id: str,
    *,
    at: datetime,
    load: Load = "standing",
    sock: str = "",
    fitter: str | None = None,
    note: str = "",
    by: Author,
) -> Sitting:
    """Add a sitting.

    Parameters
    ----------
    at
        When, with its zone.
    load, sock
        How the feet were loaded, and what was on them.
    fitter
        Who measured, by initials; None is whoever writes it down.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    InputError
        Where the time has no zone.
    """
    find_row(conn, wearers, wearer_id)
    row = {
        "wearer_id": wearer_id,
        "at": _with_zone(at),
        "load": load,
        "sock": sock,
        "fitter": by.fitter if fitter is None else fitter,
        "note": note,
    }
    return insert(conn, sittings, row, by=by, into=_sitting)


def change_sitting(
    conn: Connection,
    id: str,
    seen: int,
    changes: Mapping[str, Any],
    *,
    by: Author,
) -> Sitting:
    """Change a sitting: any of at (a time with its zone), load, sock, fitter, note.

    Raises
    ------
    NotFound, Conflict
        Where the sitting is gone, or was changed since `seen`.
    InputError
        Where the time has no zone.
    """
    wanted = dict(changes)
    if "at" in wanted:
        wanted["at"] = _with_zone(wanted["at"])
    return update(conn, sittings, id, seen, wanted, by=by, into=_sitting)


def _with_zone(at: datetime) -> str:
    if at.utcoffset() is None:
        raise InputError.at("at", f"{at.isoformat()}, without a zone", "a time with its zone")
    return at.isoformat(timespec="minutes")


def _sitting(row: Row) -> Sitting:
    return Sitting(**row)
