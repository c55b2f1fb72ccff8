"""What a kept row must be, column by column, and how rows must hang together."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from datetime import date as Date
from datetime import datetime
from typing import Any, Final, get_args

from attrs import frozen
from sqlalchemy import (
    Boolean,
    Column,
    Connection,
    Float,
    Integer,
    LargeBinary,
    String,
    Table,
    and_,
    or_,
    select,
)

from heelball.errors import InputError
from heelball.fit.wearer import PLACES, Swelling, Verdict
from heelball.foot.reading import Load, Method, ReadingOf
from heelball.foot.vector import FEET, Population
from heelball.records.columns import check_row
from heelball.records.schema import (
    lasts,
    metadata,
    pairs,
    readings,
    settings,
    sheets,
    sittings,
    try_ons,
    wearers,
)
from heelball.records.values import LetterState, PairState, ReadingKind

_ID: Final = re.compile(r"[A-Za-z0-9_-]{1,20}")
_YEAR: Final = re.compile(r"\d{4}")

_WORDS: Final[dict[tuple[str, str], tuple[str, ...]]] = {
    ("wearers", "population"): get_args(Population),
    ("sittings", "load"): get_args(Load),
    ("sheets", "foot"): FEET,
    ("readings", "foot"): FEET,
    ("readings", "what"): get_args(ReadingOf),
    ("readings", "load"): get_args(Load),
    ("readings", "method"): get_args(Method),
    ("readings", "kind"): get_args(ReadingKind),
    ("advice", "basis"): ("ball", "length", "label"),
    ("gauge_marks", "what"): ("ball", "length", "breadth"),
    ("pairs", "state"): get_args(PairState),
    ("try_ons", "swelling"): get_args(Swelling),
    ("letters", "state"): get_args(LetterState),
}

_DATES: Final = frozenset(
    ("on", "ordered_on", "due_on", "arrived_on", "send_back_by", "closed_on", "sent_on", "answered_on")
)
_TIMES: Final = frozenset(
    ("at", "made_at", "changed_at", "consented_at", "withdrawn_at", "drafted_at", "seen_at", "used_at")
)


@frozen
class Flaw:
    """What is wrong with one column of a row."""

    column: str
    found: str
    wanted: str


def flaws_of(table: Table, row: Mapping[str, Any]) -> Iterator[Flaw]:
    """Yield what is wrong with a row, whatever else the records hold.

    Parameters
    ----------
    table, row
        The table, and the values of all its columns.
    """
    for column in table.c:
        value = row[column.name]
        if value is None:
            # A setting may be set to nothing.
            if not column.nullable and table is not settings:
                yield Flaw(column.name, "nothing", "a value")
            continue
        wrong = _wrong_kind(column, value) or _wrong_value(table, column.name, row, value)
        if wrong is not None:
            yield Flaw(column.name, *wrong)


def _wrong_kind(column: Column[Any], value: Any) -> tuple[str, str] | None:
    kinds: tuple[tuple[type, type, str], ...] = (
        (Boolean, bool, "true or false"),
        (Integer, int, "a whole number"),
        (Float, float, "a number"),
        (String, str, "a text"),
        (LargeBinary, bytes, "a picture"),
    )
    for of_column, of_value, wanted in kinds:
        if isinstance(column.type, of_column):
            if not isinstance(value, of_value):
                return _shown(value), wanted
            break
    try:
        check_row(column.table, {column.name: value})
    except InputError as refused:
        return refused.problems[0].found, refused.problems[0].wanted
    return None


def _wrong_value(table: Table, name: str, row: Mapping[str, Any], value: Any) -> tuple[str, str] | None:
    words = _WORDS.get((table.name, name))
    if words is not None:
        return None if value in words else (_shown(value), f"one of {', '.join(words)}")
    if name == "version":
        return None if value >= 1 else (str(value), "1 or more")
    if table.c[name].type.__class__ is String and (name == "id" or name.endswith("_id")):
        return None if _ID.fullmatch(value) else (_shown(value), "a row's name")
    if table is try_ons and name == "on" and row["wearer_id"] is None:
        return None if _YEAR.fullmatch(value) else (_shown(value), "a year alone, since it is nobody's")
    if table is sheets and name == "picture":
        return None if row["agreed"] else (f"a picture of {len(value)} bytes", "none: nobody agreed to it")
    if name in _DATES or (table.name, name) == ("erasures", "at"):
        return None if _is_date(value) else (_shown(value), "a date such as 2026-05-03")
    if name in _TIMES:
        return None if _is_time(value) else (_shown(value), "a time with its zone")
    shape = _SHAPES.get((table.name, name))
    return None if shape is None or shape[0](value) else (_shown(value), shape[1])


def _is_date(text: str) -> bool:
    try:
        return Date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def _is_time(text: str) -> bool:
    try:
        return datetime.fromisoformat(text).tzinfo is not None
    except ValueError:
        return False


def _is_table(value: Any) -> bool:
    return isinstance(value, dict)


def _are_tables(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(one, dict) for one in value)


def _are_texts(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(one, str) for one in value)


def _are_widths(value: Any) -> bool:
    return _are_texts(list(value.values()) if isinstance(value, dict) else value)


def _are_rows(value: Any) -> bool:
    return isinstance(value, list) and all(_are_texts(row) and len(row) == 2 for row in value)


def _are_verdicts(value: Any) -> bool:
    return isinstance(value, dict) and all(
        foot in FEET
        and isinstance(told, dict)
        and all(place in PLACES and verdict in get_args(Verdict) for place, verdict in told.items())
        for foot, told in value.items()
    )


_TABLE: Final = (_is_table, "a table of fields")
_SHAPES: Final[dict[tuple[str, str], tuple[Callable[[Any], bool], str]]] = {
    ("wearers", "day"): (_are_tables, "a list of states of the day"),
    ("health_answers", "signs"): _TABLE,
    ("drafts", "fields"): _TABLE,
    ("lasts", "widths"): (_are_widths, "widths as in a last file"),
    ("sheets", "line"): _TABLE,
    ("advice", "rows"): (_are_rows, "pairs of gauge reading and label"),
    ("pairs", "answer"): _TABLE,
    ("try_ons", "verdicts"): (_are_verdicts, "foot, place, and little, right or much"),
    ("letters", "about"): (_are_texts, "codes of lasts"),
    ("changes", "before"): _TABLE,
    ("changes", "after"): _TABLE,
    ("sessions", "data"): _TABLE,
}


def _shown(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."


def astray(conn: Connection) -> Iterator[str]:
    """Yield a sentence for each row that names a row it cannot go with."""
    other = readings.alias("other")
    named = and_(readings.c.of_id == other.c.id)
    crossed = or_(
        readings.c.wearer_id != other.c.wearer_id,
        readings.c.number <= other.c.number,
        readings.c.foot != other.c.foot,
        readings.c.what != other.c.what,
    )
    for row in conn.execute(select(readings.c.id, readings.c.kind).where(named, crossed)):
        said = "a reading of the same measure taken before it"
        yield f"readings {row.id}: a {row.kind} of another foot, measure or wearer; wanted {said}"
    for child, key, parent, what in (
        (readings, "sitting_id", sittings, "sitting"),
        (sheets, "sitting_id", sittings, "sitting"),
        (readings, "sheet_id", sheets, "sheet"),
        (try_ons, "pair_id", pairs, "pair"),
    ):
        apart = select(child.c.id).where(child.c[key] == parent.c.id, child.c.wearer_id != parent.c.wearer_id)
        for row in conn.execute(apart):
            yield f"{child.name} {row.id}: a {what} of another wearer; wanted one of the same"
    drawn = select(readings.c.id).where(
        readings.c.sheet_id == sheets.c.id,
        or_(readings.c.sitting_id != sheets.c.sitting_id, readings.c.foot != sheets.c.foot),
    )
    for row in conn.execute(drawn):
        yield f"readings {row.id}: a sheet of another foot or sitting; wanted one of the same"
    before = pairs.alias("before")
    swapped = select(pairs.c.id).where(
        pairs.c.in_exchange_for == before.c.id, pairs.c.wearer_id != before.c.wearer_id
    )
    for row in conn.execute(swapped):
        yield f"pairs {row.id}: in exchange for a pair of another wearer; wanted one of the same"
    for table, naming, parent in _keys():
        lost = select(table).where(naming.is_not(None), naming.not_in(select(parent.c.id)))
        for found in conn.execute(lost).mappings():
            named = found.get("id", found[naming.name])
            yield f"{table.name} {named}, {naming.name}: names nothing; wanted a row of {parent.name}"


def _keys() -> Iterator[tuple[Table, Column[Any], Table]]:
    """Yield every column that names a row of another table."""
    for table in metadata.sorted_tables:
        for key in table.foreign_keys:
            yield table, key.parent, key.column.table


def called(table: Table, row: Mapping[str, Any]) -> str:
    """Return what a row is called in a sentence: never by a name."""
    if table in (wearers, lasts):
        return f"{table.name} {row['code']}"
    (key,) = table.primary_key.columns
    return f"{table.name} {row[key.name]}"
