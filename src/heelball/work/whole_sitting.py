"""A sitting as a program sends it: all its readings at once, through the reader of wearer files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from heelball.errors import InputError, Problem
from heelball.foot.reading import Load, Reading
from heelball.records.readings import NewReading, add_readings, list_readings, withdraw_reading
from heelball.records.sittings import add_sitting, list_sittings
from heelball.records.store import Records
from heelball.records.values import Author, KeptReading, Sitting
from heelball.records.wearers import find_wearer
from heelball.work.fields import Fields
from heelball.work.keeping import standing
from heelball.work.reading_fields import check_letters, read_reading
from heelball.work.wearer_file import parse_sock

Table = Mapping[str, Any]


def taken_of(records: Records, wearer_id: str) -> tuple[list[Sitting], list[KeptReading]]:
    """Return all sittings and readings of a wearer, those that no longer count among them.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    """
    with records.reading() as conn:
        find_wearer(conn, wearer_id)
        return list_sittings(conn, wearer_id), list_readings(conn, wearer_id)


def write_sitting(
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


def take_reading_back(records: Records, reading_id: str, seen: int, by: Author) -> KeptReading:
    """Let a reading count no longer; it stays in the history.

    Raises
    ------
    NotFound, Conflict
        Where there is none, or it was changed since `seen`.
    RecordsError
        Where a correction has struck it through.
    """
    with records.writing() as conn:
        return withdraw_reading(conn, reading_id, seen, by=by)


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
