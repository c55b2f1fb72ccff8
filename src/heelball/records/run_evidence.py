"""What is known of how a last runs: its maker's advice and measured pairs, each with origin and date."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Literal, TypeVar

from sqlalchemy import ColumnElement, Connection, Table, select

from heelball.records.found import Row, find_row
from heelball.records.schema import advice as advice_table
from heelball.records.schema import lasts, measured_pairs
from heelball.records.values import Author, KeptAdvice, KeptMeasured
from heelball.records.writing import insert, update, written_time

E = TypeVar("E", KeptAdvice, KeptMeasured)


def standing_evidence(
    conn: Connection,
) -> tuple[dict[str, tuple[KeptAdvice, ...]], dict[str, tuple[KeptMeasured, ...]]]:
    """Return the advice and the measured pairs that stand, by last."""
    said = _rows(conn, advice_table, advice_table.c.withdrawn_at.is_(None))
    measured = _rows(conn, measured_pairs, measured_pairs.c.withdrawn_at.is_(None))
    return _by_last(map(_advice, said)), _by_last(map(_measured, measured))


def find_advice(conn: Connection, id: str) -> KeptAdvice:
    """Return one advice, whether it stands or was withdrawn.

    Raises
    ------
    NotFound
        Where there is none.
    """
    return _advice(find_row(conn, advice_table, id))


def list_advice(conn: Connection, last_id: str) -> list[KeptAdvice]:
    """Return all that a last's maker advised, withdrawn ones too, by date."""
    return [_advice(row) for row in _rows(conn, advice_table, advice_table.c.last_id == last_id)]


def add_advice(
    conn: Connection,
    last_id: str,
    *,
    basis: Literal["ball", "length", "label"],
    order_sizes: str | None = None,
    scale: str | None = None,
    rows: Sequence[Sequence[str]] | None = None,
    origin: str = "",
    on: str | None = None,
    by: Author,
) -> KeptAdvice:
    """Add what a maker says of a last: an order in sizes, or rows of gauge reading and label.

    Parameters
    ----------
    origin, on
        Where it comes from (a letter, a catalogue, the telephone), and its date (``YYYY-MM-DD``).

    Raises
    ------
    NotFound
        Where there is no such last.
    """
    find_row(conn, lasts, last_id)
    row = {
        "last_id": last_id,
        "basis": basis,
        "order_sizes": order_sizes,
        "scale": scale,
        "rows": None if rows is None else [list(one) for one in rows],
        "origin": origin,
        "on": on,
        "withdrawn_at": None,
    }
    return insert(conn, advice_table, row, by=by, into=_advice)


def change_advice(
    conn: Connection,
    id: str,
    seen: int,
    changes: Mapping[str, Any],
    *,
    by: Author,
) -> KeptAdvice:
    """Change an advice that was written down wrong.

    Raises
    ------
    NotFound, Conflict
        Where it is gone, or was changed since `seen`.
    """
    wanted = dict(changes)
    if wanted.get("rows") is not None:
        wanted["rows"] = [list(one) for one in wanted["rows"]]
    return update(conn, advice_table, id, seen, wanted, by=by, into=_advice)


def withdraw_advice(conn: Connection, id: str, seen: int, *, by: Author) -> KeptAdvice:
    """Let an advice count no longer; it stays in the last's history.

    Raises
    ------
    NotFound, Conflict
        Where it is gone, or was changed since `seen`.
    """
    return change_advice(conn, id, seen, {"withdrawn_at": written_time(by)}, by=by)


def find_measured(conn: Connection, id: str) -> KeptMeasured:
    """Return one measured pair, whether it stands or was withdrawn.

    Raises
    ------
    NotFound
        Where there is none.
    """
    return _measured(find_row(conn, measured_pairs, id))


def list_measured(conn: Connection, last_id: str) -> list[KeptMeasured]:
    """Return all pairs measured of a last, withdrawn ones too, by date."""
    return [_measured(row) for row in _rows(conn, measured_pairs, measured_pairs.c.last_id == last_id)]


def add_measured(
    conn: Connection,
    last_id: str,
    *,
    size: str,
    width: str | None,
    inside_length_mm: float | None = None,
    flex_line_mm: float | None = None,
    ball_girth_mm: float | None = None,
    sd_mm: float | None = None,
    from_drawing: bool = False,
    origin: str = "",
    on: str | None = None,
    by: Author,
) -> KeptMeasured:
    """Add what was measured on one pair of a last, or read from a drawing [mm].

    Parameters
    ----------
    sd_mm
        How sure the figures are; None for what measuring usually gives.
    origin, on
        Which pair or drawing it was, and the date (``YYYY-MM-DD``).

    Raises
    ------
    NotFound
        Where there is no such last.
    """
    find_row(conn, lasts, last_id)
    row = {
        "last_id": last_id,
        "size": size,
        "width": width,
        "inside_length_mm": inside_length_mm,
        "flex_line_mm": flex_line_mm,
        "ball_girth_mm": ball_girth_mm,
        "sd_mm": sd_mm,
        "from_drawing": from_drawing,
        "origin": origin,
        "on": on,
        "withdrawn_at": None,
    }
    return insert(conn, measured_pairs, row, by=by, into=_measured)


def change_measured(
    conn: Connection,
    id: str,
    seen: int,
    changes: Mapping[str, Any],
    *,
    by: Author,
) -> KeptMeasured:
    """Change what was written down wrong of a measured pair.

    Raises
    ------
    NotFound, Conflict
        Where it is gone, or was changed since `seen`.
    """
    return update(conn, measured_pairs, id, seen, changes, by=by, into=_measured)


def withdraw_measured(conn: Connection, id: str, seen: int, *, by: Author) -> KeptMeasured:
    """Let a measured pair count no longer; it stays in the last's history.

    Raises
    ------
    NotFound, Conflict
        Where it is gone, or was changed since `seen`.
    """
    return change_measured(conn, id, seen, {"withdrawn_at": written_time(by)}, by=by)


def _rows(conn: Connection, table: Table, which: ColumnElement[bool]) -> list[dict[str, Any]]:
    """Return rows by their date, undated ones first: in the same order on both databases."""
    rows = conn.execute(select(table).where(which)).mappings()
    return sorted((dict(row) for row in rows), key=lambda row: (row["on"] or "", row["id"]))


def _by_last(parts: Iterable[E]) -> dict[str, tuple[E, ...]]:
    found: dict[str, list[E]] = {}
    for part in parts:
        found.setdefault(part.last_id, []).append(part)
    return {last_id: tuple(of_it) for last_id, of_it in found.items()}


def _advice(row: Row) -> KeptAdvice:
    rows = row["rows"]
    return KeptAdvice(**{**row, "rows": None if rows is None else tuple((one[0], one[1]) for one in rows)})


def _measured(row: Row) -> KeptMeasured:
    return KeptMeasured(**row)
