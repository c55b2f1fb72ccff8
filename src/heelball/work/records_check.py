"""Looking over the records: the file, every row, and whether the core can read what is kept."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Any

from attrs import frozen
from sqlalchemy import Connection, select
from sqlalchemy.exc import SQLAlchemyError

from heelball.errors import HeelballError, InputError, Problem
from heelball.records.checking import damage, flaws
from heelball.records.gauge_marks import list_marks
from heelball.records.lasts import find_last
from heelball.records.readings import list_readings
from heelball.records.schema import lasts, wearers
from heelball.records.store import open_records
from heelball.work.fields import Fields
from heelball.work.keeping import core_last, standing
from heelball.work.kept_core import kept_core
from heelball.work.reading_fields import read_gauge_mark, read_readings


@frozen
class Checked:
    """What a check found: problems, a sentence each; and what to say besides."""

    problems: list[str]
    remarks: list[str]


def check(where: str | Path | None, *, now: datetime) -> Checked:
    """Look the records over.

    Parameters
    ----------
    where, now
        As for `open_records`.

    Raises
    ------
    RecordsError
        Where they cannot even be opened.
    """
    records = open_records(where, create=False, now=now)
    try:
        problems = damage(records)
        if not problems:
            with records.reading() as conn:
                problems += flaws(conn)
                problems += unread(conn)
        return Checked(problems, [records.warning] if records.warning else [])
    finally:
        records.close()


def unread(
    conn: Connection, *, wearer_ids: Collection[str] | None = None, last_ids: Collection[str] | None = None
) -> Iterator[str]:
    """Yield a sentence for everything in wearers and lasts that the core cannot read.

    Parameters
    ----------
    wearer_ids, last_ids
        Which to look at; None for all.
    """
    for last_id, code in _chosen(conn, lasts, last_ids):
        yield from _said(f"lasts {code}", partial(_read_last, conn, last_id))
    for wearer_id, code in _chosen(conn, wearers, wearer_ids):
        place = f"wearers {code}"
        yield from _said(place, partial(kept_core, conn, wearer_id))
        yield from _said(place, partial(_read_readings, conn, wearer_id))
    if wearer_ids is None:
        yield from _said("gauge_marks", partial(_read_marks, conn))


def _chosen(conn: Connection, table: Any, ids: Collection[str] | None) -> list[tuple[str, str]]:
    rows = conn.execute(select(table.c.id, table.c.code).order_by(table.c.code))
    return [(row.id, row.code) for row in rows if ids is None or row.id in ids]


def _said(place: str, read: Callable[[], object]) -> Iterator[str]:
    try:
        read()
    except InputError as refused:
        yield from (f"{place}: {problem}" for problem in refused.problems)
    except HeelballError as refused:
        yield f"{place}: {refused.message}"
    except SQLAlchemyError:
        raise
    except (ValueError, TypeError, KeyError, AttributeError) as refused:
        # The check must name what the program would stumble over, whatever it is.
        yield f"{place}: cannot be read ({type(refused).__name__}: {refused}); wanted what the bench wrote"


def _read_last(conn: Connection, last_id: str) -> None:
    core_last(find_last(conn, last_id))


def _read_readings(conn: Connection, wearer_id: str) -> None:
    problems: list[Problem] = []
    kept = standing(list_readings(conn, wearer_id))
    names = ("foot", "what", "scale", "value", "line", "load", "method", "sd_mm")
    tables = [
        Fields(_known({name: getattr(one, name) for name in names}), f"reading {one.number}", problems)
        for one in kept
    ]
    read_readings(tables, problems)
    if problems:
        raise InputError(problems)


def _read_marks(conn: Connection) -> None:
    problems: list[Problem] = []
    names = ("scale", "what", "mark", "line", "measured_mm")
    for one in list_marks(conn):
        read_gauge_mark(Fields(_known({name: getattr(one, name) for name in names}), one.id, problems))
    if problems:
        raise InputError(problems)


def _known(values: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in values.items() if value is not None}
