"""Rulers laid on the fitter's own gauge: what its marks truly denote."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from sqlalchemy import Connection, select

from heelball.records.found import Row, find_row
from heelball.records.schema import gauge_marks
from heelball.records.values import Author, KeptMark
from heelball.records.writing import insert, update, written_time


def find_mark(conn: Connection, id: str) -> KeptMark:
    """Return one mark, whether it stands or was withdrawn.

    Raises
    ------
    NotFound
        Where there is none.
    """
    return _mark(find_row(conn, gauge_marks, id))


def list_marks(conn: Connection, *, withdrawn: bool = False) -> list[KeptMark]:
    """Return the marks that stand, by date; with `withdrawn` all there are."""
    query = select(gauge_marks)
    if not withdrawn:
        query = query.where(gauge_marks.c.withdrawn_at.is_(None))
    found = [_mark(dict(row)) for row in conn.execute(query).mappings()]
    return sorted(found, key=lambda mark: (mark.on or "", mark.scale, mark.what, mark.mark, mark.id))


def add_mark(
    conn: Connection,
    *,
    scale: str,
    what: Literal["ball", "length", "breadth"],
    mark: str,
    line: str | None = None,
    measured_mm: float,
    on: str | None = None,
    fitter: str = "",
    by: Author,
) -> KeptMark:
    """Add what a ruler said of one mark of the gauge.

    Parameters
    ----------
    scale, what, mark, line, measured_mm
        As in a table ``[[gauge]]`` of a wearer file, and read by the same reader.
    on, fitter
        When (``YYYY-MM-DD``), and who held the ruler.
    """
    row = {
        "scale": scale,
        "what": what,
        "mark": mark,
        "line": line,
        "measured_mm": measured_mm,
        "on": on,
        "fitter": fitter,
        "withdrawn_at": None,
    }
    return insert(conn, gauge_marks, row, by=by, into=_mark)


def change_mark(
    conn: Connection,
    id: str,
    seen: int,
    changes: Mapping[str, Any],
    *,
    by: Author,
) -> KeptMark:
    """Change what was written down wrong of a mark.

    Raises
    ------
    NotFound, Conflict
        Where it is gone, or was changed since `seen`.
    """
    return update(conn, gauge_marks, id, seen, changes, by=by, into=_mark)


def withdraw_mark(conn: Connection, id: str, seen: int, *, by: Author) -> KeptMark:
    """Let a mark count no longer, as when the gauge was mended; it stays in the history.

    Raises
    ------
    NotFound, Conflict
        Where it is gone, or was changed since `seen`.
    """
    return change_mark(conn, id, seen, {"withdrawn_at": written_time(by)}, by=by)


def _mark(row: Row) -> KeptMark:
    return KeptMark(**row)
