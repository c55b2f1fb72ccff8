"""The records' work asked for in one go, as a program asks: tables as in the files, through their readers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from heelball.errors import InputError, Problem
from heelball.fit.wearer import DayState
from heelball.foot.reading import Load, Reading
from heelball.records.gauge_marks import add_mark
from heelball.records.health import keep_health
from heelball.records.readings import NewReading, add_readings, list_readings
from heelball.records.sittings import add_sitting
from heelball.records.store import Records
from heelball.records.values import Author, HealthAnswers, KeptMark, KeptReading, KeptWearer, Sitting
from heelball.records.wearers import add_wearer, change_wearer, find_wearer
from heelball.work.fields import Fields
from heelball.work.keeping import standing
from heelball.work.reading_fields import check_letters, read_gauge_mark, read_reading
from heelball.work.wearer_file import parse_sock, read_day, read_signs

Table = Mapping[str, Any]


def checked_day(day: Sequence[Table]) -> tuple[DayState, ...]:
    """Return the states of a day given as tables of a wearer file.

    Raises
    ------
    InputError
        With every problem; the places are ``day, day 1, share`` and so on.
    """
    problems: list[Problem] = []
    states = read_day(Fields({"day": [dict(one) for one in day]}, "day", problems))
    if problems:
        raise InputError(problems)
    return tuple(states)


def new_wearer(records: Records, fields: Table, by: Author) -> KeptWearer:
    """Add a wearer.

    Parameters
    ----------
    fields
        code, name, population, day, keeps_try_ons, note.

    Raises
    ------
    InputError
        Where the day cannot be, or the code is another wearer's.
    """
    checked_day(fields["day"])
    with records.writing() as conn:
        return add_wearer(conn, **fields, by=by)


def mended_wearer(records: Records, wearer_id: str, seen: int, fields: Table, by: Author) -> KeptWearer:
    """Change a wearer.

    Raises
    ------
    NotFound, Conflict
        Where the wearer is gone, or was changed since `seen`.
    InputError
        Where the day cannot be, or the code is another wearer's.
    """
    if "day" in fields:
        checked_day(fields["day"])
    with records.writing() as conn:
        return change_wearer(conn, wearer_id, seen, fields, by=by)


def health_told(
    records: Records, wearer_id: str, seen: int, signs: Table, *, consents: bool, by: Author
) -> HealthAnswers:
    """Keep what a wearer told of health.

    Raises
    ------
    NotFound, Conflict
        Where the wearer is gone, or the answers were changed since `seen`.
    InputError
        Where the wearer does not consent.
    """
    problems: list[Problem] = []
    read_signs(Fields(dict(signs), "signs", problems))
    if problems:
        raise InputError(problems)
    with records.writing() as conn:
        return keep_health(conn, wearer_id, signs, consents=consents, seen=seen, by=by)


def taken_readings(
    records: Records,
    wearer_id: str,
    taken: Sequence[Table],
    *,
    at: datetime,
    load: Load,
    sock: str,
    note: str,
    seen_number: int,
    by: Author,
) -> tuple[Sitting, list[KeptReading]]:
    """Write the readings of one occasion down, all or none.

    Parameters
    ----------
    taken
        Readings as in a wearer file, with ``kind`` and ``of_id`` besides.
    at, load, sock, note
        Of the sitting.
    seen_number
        The number of the wearer's last reading that was seen.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    InputError
        With every problem of every reading; the places are ``reading 1, value`` and so on.
    Conflict
        Where someone else wrote readings of this wearer meanwhile.
    """
    problems: list[Problem] = []
    if sock:
        Fields({"sock": sock}, "sitting", problems).parsed("sock", parse_sock, wanted="a sock")
    read = [_reading(one, number, problems) for number, one in enumerate(taken, start=1)]
    if problems:
        raise InputError(problems)
    with records.writing() as conn:
        find_wearer(conn, wearer_id)
        kept = standing(list_readings(conn, wearer_id))
        sized = {one.foot for one in kept if one.what in ("length", "ball")}
        check_letters([reading for reading, _ in read if reading is not None], sized, problems)
        if problems:
            raise InputError(problems)
        sitting = add_sitting(conn, wearer_id, at=at, load=load, sock=sock, note=note, by=by)
        new = [one for _, one in read if one is not None]
        return sitting, add_readings(conn, sitting.id, new, seen_number=seen_number, by=by)


def _reading(table: Table, number: int, problems: list[Problem]) -> tuple[Reading | None, NewReading | None]:
    own = {
        name: value for name, value in table.items() if value is not None and name not in ("kind", "of_id")
    }
    read = read_reading(Fields(own, f"reading {number}", problems))
    if read is None:
        return None, None
    return read, NewReading(
        read.foot,
        read.what,
        read.scale,
        read.value,
        read.line,
        table.get("load"),
        read.method,
        read.sd_mm,
        table["kind"],
        table.get("of_id"),
    )


def new_mark(records: Records, fields: Table, by: Author) -> KeptMark:
    """Add a ruler laid on the fitter's own gauge.

    Raises
    ------
    InputError
        Where scale, slide, mark and length do not go together.
    """
    problems: list[Problem] = []
    own = {name: value for name, value in fields.items() if value is not None and name != "on"}
    mark = read_gauge_mark(Fields(own, "mark", problems))
    if mark is None:
        raise InputError(problems)
    with records.writing() as conn:
        return add_mark(
            conn,
            scale=mark.scale,
            what=mark.what,
            mark=mark.mark,
            line=mark.line,
            measured_mm=mark.measured_mm,
            on=fields.get("on"),
            by=by,
        )
