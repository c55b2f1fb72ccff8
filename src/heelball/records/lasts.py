"""Lasts: what they are offered in and what they are like; how each runs is in `run_evidence`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from sqlalchemy import Connection, func, select

from heelball.errors import InputError
from heelball.records.found import Row, find_row, folded
from heelball.records.run_evidence import list_advice, list_measured, standing_evidence
from heelball.records.schema import advice, lasts, makers, measured_pairs
from heelball.records.schema import changes as changes_table
from heelball.records.values import Author, KeptLast
from heelball.records.writing import insert, update

#: Everything that bears on a ranking of lasts, or is shown in one.
_BEARS: Final = (lasts, advice, measured_pairs, makers)


def find_last(conn: Connection, id: str) -> KeptLast:
    """Return one last with the advice and measured pairs that stand.

    Raises
    ------
    NotFound
        Where there is none.
    """
    return _whole(conn, find_row(conn, lasts, id))


def find_by_code(conn: Connection, code: str) -> KeptLast | None:
    """Return the last of a code; None where there is none."""
    row = conn.execute(select(lasts).where(lasts.c.code == code.strip())).mappings().one_or_none()
    return None if row is None else _whole(conn, dict(row))


def list_lasts(
    conn: Connection, *, maker_id: str | None = None, retired: bool | None = None
) -> list[KeptLast]:
    """Return lasts by maker and code, with the advice and measured pairs that stand.

    Parameters
    ----------
    maker_id
        Those of one maker; None for all.
    retired
        Only those that are no longer had, or only the others; None for both.
    """
    query = select(lasts, makers.c.name.label("maker")).join(makers, lasts.c.maker_id == makers.c.id)
    if maker_id is not None:
        query = query.where(lasts.c.maker_id == maker_id)
    if retired is not None:
        query = query.where(lasts.c.retired == retired)
    said, measured = standing_evidence(conn)
    found = [
        KeptLast(**row, advice=said.get(row["id"], ()), measured=measured.get(row["id"], ()))
        for row in conn.execute(query).mappings()
    ]
    return sorted(found, key=lambda last: (folded(last.maker), last.maker, folded(last.code), last.code))


def add_last(
    conn: Connection,
    maker_id: str,
    code: str,
    *,
    label_scale: str,
    sizes: str | None,
    widths: Any = None,
    width_scale: str = "us",
    reference_width: str | None = None,
    stiffness: str = "stiff",
    toe: str = "round",
    closing: str = "lace",
    heel_mm: float | None = None,
    publishes_advice: bool | None = None,
    exchange_days: int | None = None,
    note: str = "",
    by: Author,
) -> KeptLast:
    """Add a last; its fields are those of a last file and have been through its reader.

    Raises
    ------
    NotFound
        Where there is no such maker.
    InputError
        Where there is no code, or another last has it.
    """
    find_row(conn, makers, maker_id)
    row = {
        "maker_id": maker_id,
        "code": _own_code(conn, code, None),
        "label_scale": label_scale,
        "sizes": sizes,
        "widths": widths,
        "width_scale": width_scale,
        "reference_width": reference_width,
        "stiffness": stiffness,
        "toe": toe,
        "closing": closing,
        "heel_mm": heel_mm,
        "publishes_advice": publishes_advice,
        "exchange_days": exchange_days,
        "note": note,
        "retired": False,
    }
    return insert(conn, lasts, row, by=by, into=lambda kept: _whole(conn, kept))


def change_last(
    conn: Connection,
    id: str,
    seen: int,
    changes: Mapping[str, Any],
    *,
    by: Author,
) -> KeptLast:
    """Change a last's own columns, its maker's id among them.

    Raises
    ------
    NotFound, Conflict
        Where the last is gone, or was changed since `seen`.
    InputError
        Where the new code is empty or another last's.
    """
    wanted = dict(changes)
    if "code" in wanted:
        wanted["code"] = _own_code(conn, wanted["code"], id)
    if "maker_id" in wanted:
        find_row(conn, makers, wanted["maker_id"])
    return update(conn, lasts, id, seen, wanted, by=by, into=lambda kept: _whole(conn, kept))


def retire_last(
    conn: Connection,
    id: str,
    seen: int,
    *,
    retired: bool = True,
    by: Author,
) -> KeptLast:
    """Leave a last out of the ranking, keeping it for the pairs on it; or take it up again.

    Raises
    ------
    NotFound, Conflict
        Where the last is gone, or was changed since `seen`.
    """
    return change_last(conn, id, seen, {"retired": retired}, by=by)


def lasts_stamp(conn: Connection) -> str:
    """Return a text that differs once anything that bears on a ranking of lasts was written."""
    names = [table.name for table in _BEARS]
    latest = select(func.max(changes_table.c.id)).where(changes_table.c.table_name.in_(names))
    parts = [conn.execute(latest).scalar_one() or 0]
    for table in _BEARS:
        # An import brings rows without telling of each.
        counted = select(func.count(), func.coalesce(func.sum(table.c.version), 0)).select_from(table)
        parts += conn.execute(counted).one()
    return ".".join(str(part) for part in parts)


def _own_code(conn: Connection, code: str, of: str | None) -> str:
    """Return a code without spaces around it, that no other last has."""
    code = code.strip()
    if not code:
        raise InputError.at("code", "nothing", "the last's code")
    other = conn.execute(select(lasts.c.id).where(lasts.c.code == code)).scalar_one_or_none()
    if other is not None and other != of:
        raise InputError.at("code", f"{code}, which another last has", "a code of its own")
    return code


def _whole(conn: Connection, row: Row) -> KeptLast:
    return KeptLast(
        **row,
        maker=conn.execute(select(makers.c.name).where(makers.c.id == row["maker_id"])).scalar_one(),
        advice=tuple(one for one in list_advice(conn, row["id"]) if one.withdrawn_at is None),
        measured=tuple(one for one in list_measured(conn, row["id"]) if one.withdrawn_at is None),
    )
