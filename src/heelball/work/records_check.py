"""Looking over the records: the file, every row, and whether the core can read what is kept."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from datetime import datetime
from functools import partial
from itertools import groupby
from operator import itemgetter
from pathlib import Path
from typing import Any, Final, TypeVar

from attrs import frozen
from sqlalchemy import Connection, select

from heelball.errors import HeelballError, InputError, Problem, UnreadableText
from heelball.records.checking import damage, flaws
from heelball.records.found import rows_of
from heelball.records.gauge_marks import list_marks
from heelball.records.lasts import list_lasts
from heelball.records.schema import health_answers, pairs, readings
from heelball.records.sheets import all_sheets
from heelball.records.store import open_records
from heelball.records.values import HealthAnswers
from heelball.records.wearers import list_wearers
from heelball.work.fields import Fields
from heelball.work.keeping import core_last, core_readings, core_signs, core_wearer
from heelball.work.pairs_told import owned_pairs
from heelball.work.reading_fields import read_gauge_mark, read_readings

T = TypeVar("T")

#: What reading something that was not written by the bench may end in.
_STUMBLES: Final = (HeelballError, ValueError, TypeError, KeyError, AttributeError)


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

    Everything of a kind is read at once: a query for each of ten thousand wearers takes minutes.

    Parameters
    ----------
    wearer_ids, last_ids
        Which to look at; None for all.
    """
    yield from _said("lasts", partial(list_lasts, conn))
    yield from _said("wearers", partial(list_wearers, conn))
    for last in _had(partial(list_lasts, conn)):
        if last_ids is None or last.id in last_ids:
            yield from _said(f"lasts {last.code}", partial(core_last, last))
    codes = {}
    for wearer in _had(partial(list_wearers, conn)):
        if wearer_ids is None or wearer.id in wearer_ids:
            codes[wearer.id] = wearer.code
            yield from _said(f"wearers {wearer.code}", partial(core_wearer, wearer, (), ()))
    for row in rows_of(conn, select(health_answers)):
        if row["wearer_id"] in codes:
            place = f"wearers {codes[row['wearer_id']]}"
            yield from _said(place, partial(core_signs, HealthAnswers(**row)))
    yield from _unread_taken(conn, codes)
    for wearer_id in conn.execute(select(pairs.c.wearer_id).distinct()).scalars().all():
        if wearer_id in codes:
            yield from _said(f"wearers {codes[wearer_id]}", partial(owned_pairs, conn, wearer_id))
    if wearer_ids is None:
        yield from _said("gauge_marks", partial(_read_marks, conn))


def _unread_taken(conn: Connection, codes: Mapping[str, str]) -> Iterator[str]:
    """Yield what cannot be read of the sheets and readings of some wearers: their codes, by id."""
    for sheet in _had(partial(all_sheets, conn)):
        if sheet.wearer_id in codes:
            yield from _said(f"wearers {codes[sheet.wearer_id]}", partial(core_readings, (), (), [sheet]))
    taken = rows_of(conn, select(readings).order_by(readings.c.wearer_id, readings.c.number))
    for wearer_id, found in groupby(taken, key=itemgetter("wearer_id")):
        if wearer_id in codes:
            yield from _said(f"wearers {codes[wearer_id]}", partial(_read_readings, list(found)))


def _had(read: Callable[[], list[T]]) -> list[T]:
    """Return what can be read; nothing where even that fails, which has been told."""
    try:
        return read()
    except _STUMBLES:
        return []


def _said(place: str, read: Callable[[], object]) -> Iterator[str]:
    try:
        read()
    except InputError as refused:
        yield from (f"{place}: {problem}" for problem in refused.problems)
    except UnreadableText as refused:
        yield f"{place}: {refused.found}; wanted {refused.wanted}"
    except _STUMBLES as refused:
        # The check must name what the program would stumble over, whatever it is.
        yield f"{place}: cannot be read ({type(refused).__name__}: {refused}); wanted what the bench wrote"


def _read_readings(rows: Sequence[Mapping[str, Any]]) -> None:
    problems: list[Problem] = []
    names = ("foot", "what", "scale", "value", "line", "load", "method", "sd_mm")
    tables = [
        Fields(_known({name: row[name] for name in names}), f"reading {row['number']}", problems)
        for row in rows
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
