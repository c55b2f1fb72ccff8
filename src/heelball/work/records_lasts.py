"""Last files brought into the records."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from attrs import evolve
from sqlalchemy import Connection

from heelball.errors import InputError, Problem
from heelball.last.values import Last
from heelball.records import lasts, makers, run_evidence
from heelball.records.values import Author
from heelball.work.fields import written
from heelball.work.keeping import core_last
from heelball.work.last_file import read_last


def bring_last(conn: Connection, path: Path, problems: list[Problem], *, by: Author) -> str | None:
    """Bring in the last of a file; return its id where it was not there yet.

    Parameters
    ----------
    conn
        A connection that writes.
    path
        The last file.
    problems
        The list that problems are added to; a last that is there and differs is one.
    by
        Who brings it in, and when.
    """
    try:
        last = read_last(path)
    except InputError as refused:
        problems += refused.problems
        return None
    kept = lasts.find_by_code(conn, last.code)
    if kept is not None:
        if not _is_same(core_last(kept), last):
            found = f"{last.code}, which is kept and differs"
            problems.append(Problem(f"{path.name}, code", found, "the last as it is kept, or another code"))
        return None
    table = tomllib.loads(path.read_text("utf-8-sig"))
    maker = makers.find_by_name(conn, last.maker) or makers.add_maker(conn, last.maker, by=by)
    added = lasts.add_last(
        conn,
        maker.id,
        last.code,
        label_scale=last.label_scale,
        heel_mm=last.heel_height,
        publishes_advice=last.terms.publishes_advice,
        exchange_days=last.terms.exchange_days,
        widths=_widths(table.get("widths")),
        sizes=_text(table.get("sizes")),
        reference_width=_text(table.get("reference_width")),
        width_scale=last.width_scale,
        stiffness=last.stiffness,
        toe=last.toe,
        closing=last.closing,
        by=by,
    )
    _bring_evidence(conn, added.id, path.name, table, by)
    if not _is_same(core_last(lasts.find_last(conn, added.id)), last):
        problems.append(
            Problem(path.name, "a last that is not kept as it is written", "another way to write it")
        )
    return added.id


def _is_same(kept: Last, last: Last) -> bool:
    """Return whether two lasts say the same, whatever the order of advice and of what was measured."""
    return _in_order(kept) == _in_order(last)


def _in_order(last: Last) -> Last:
    return evolve(
        last, advice=tuple(sorted(last.advice, key=repr)), measured=tuple(sorted(last.measured, key=repr))
    )


def _bring_evidence(
    conn: Connection, last_id: str, origin: str, table: Mapping[str, Any], by: Author
) -> None:
    advice = table.get("advice", [])
    for one in [advice] if isinstance(advice, dict) else advice:
        rows = one.get("table")
        run_evidence.add_advice(
            conn,
            last_id,
            basis=one.get("from", "ball"),
            order_sizes=_text(one.get("order")),
            scale=_text(one.get("scale")),
            rows=None if rows is None else [[written(cell) or "" for cell in row] for row in rows],
            origin=origin,
            by=by,
        )
    for one in table.get("measured", []):
        run_evidence.add_measured(
            conn,
            last_id,
            size=_text(one.get("size")) or "",
            width=_text(one.get("width")),
            inside_length_mm=_number(one.get("inside_length_mm")),
            flex_line_mm=_number(one.get("flex_line_mm")),
            ball_girth_mm=_number(one.get("ball_girth_mm")),
            sd_mm=_number(one.get("sd_mm")),
            from_drawing=one.get("from") == "drawing",
            origin=origin,
            by=by,
        )


def _widths(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: written(one) for name, one in value.items()}
    return None if value is None else [written(one) for one in value]


def _text(value: Any) -> str | None:
    return None if value is None else written(value)


def _number(value: Any) -> float | None:
    return None if value is None else float(value)
