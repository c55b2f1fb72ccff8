"""Sheets: what a photograph of a drawn foot told, and its picture where the wearer agreed to keep it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from sqlalchemy import Connection, Select, select

from heelball.errors import InputError
from heelball.foot.vector import Foot
from heelball.records.columns import may_be_kept
from heelball.records.found import Row, find_row, rows_of
from heelball.records.refused import Conflict, NotFound
from heelball.records.schema import sheets
from heelball.records.sittings import find_sitting
from heelball.records.values import Author, KeptSheet
from heelball.records.writing import insert, put, written_time

#: A picture is only read where it is asked for.
_HAS_PICTURE: Final = sheets.c.picture.is_not(None).label("has_picture")


def find_sheet(conn: Connection, id: str) -> KeptSheet:
    """Return one sheet.

    Raises
    ------
    NotFound
        Where there is none.
    """
    for row in rows_of(conn, _query().where(sheets.c.id == id)) if may_be_kept(id) else ():
        return KeptSheet(**row)
    raise NotFound("This sheet")


def list_sheets(conn: Connection, wearer_id: str) -> list[KeptSheet]:
    """Return a wearer's sheets, by their names: their order says nothing."""
    found = rows_of(conn, _query().where(sheets.c.wearer_id == wearer_id))
    return sorted((KeptSheet(**row) for row in found), key=lambda sheet: sheet.id)


def all_sheets(conn: Connection) -> list[KeptSheet]:
    """Return the sheets of all wearers."""
    return [KeptSheet(**row) for row in rows_of(conn, _query())]


def add_sheet(
    conn: Connection,
    sitting_id: str,
    foot: Foot,
    line: Mapping[str, Any],
    *,
    agreed: bool,
    picture: bytes | None,
    by: Author,
) -> KeptSheet:
    """Add a sheet to a sitting.

    Parameters
    ----------
    line
        The object of ``heelball/sheet-reading/1``.
    agreed, picture
        Whether the wearer agrees that the picture is kept, and the picture; none without that.

    Raises
    ------
    NotFound
        Where there is no such sitting.
    InputError
        Where there is a picture that nobody agreed to.
    """
    if picture is not None and not agreed:
        raise InputError.at("picture", "no agreement", "the wearer's agreement before a picture is kept")
    row = {
        "wearer_id": find_sitting(conn, sitting_id).wearer_id,
        "sitting_id": sitting_id,
        "foot": foot,
        "line": dict(line),
        "agreed": agreed,
        "picture": picture,
        "made_at": written_time(by),
    }
    return insert(conn, sheets, row, by=by, into=_sheet)


def find_picture(conn: Connection, id: str) -> bytes:
    """Return the picture of a sheet.

    Raises
    ------
    NotFound
        Where there is no such sheet, or no picture of it.
    """
    picture = find_row(conn, sheets, id)["picture"]
    if picture is None:
        raise NotFound("The picture of this sheet")
    return bytes(picture)


def forget_picture(conn: Connection, id: str, seen: int, *, by: Author) -> KeptSheet:
    """Take the picture of a sheet out, and the agreement to it; nothing brings it back.

    What the files still hold of it is taken out by `heelball.records.scrubbing`.

    Raises
    ------
    NotFound, Conflict
        Where the sheet is gone, or was changed since `seen`.
    """
    kept = find_row(conn, sheets, id)
    if not kept["agreed"] and kept["picture"] is None:
        return _sheet(kept)
    wanted = {"agreed": False, "picture": None}
    if kept["version"] != seen:
        raise Conflict(_sheet(kept), seen, wanted)
    return _sheet(put(conn, sheets, kept, wanted, by=by))


def _query() -> Select[Any]:
    return select(*(column for column in sheets.c if column is not sheets.c.picture), _HAS_PICTURE)


def _sheet(row: Row) -> KeptSheet:
    told = {name: value for name, value in row.items() if name != "picture"}
    return KeptSheet(**told, has_picture=row["picture"] is not None)
