"""Readings as they were taken: new ones, repeats and corrections; what is struck through stays."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import asdict, evolve, frozen
from sqlalchemy import Connection, func, select

from heelball.errors import InputError, RecordsError
from heelball.foot.reading import Load, Method, ReadingOf
from heelball.foot.vector import Foot
from heelball.records.found import Row, find_row, rows_of
from heelball.records.refused import Conflict
from heelball.records.schema import readings
from heelball.records.sittings import find_sitting
from heelball.records.values import Author, KeptReading, ReadingKind
from heelball.records.writing import insert, update, written_time


@frozen
class NewReading:
    """A reading to be written down.

    Parameters
    ----------
    foot, what, scale, value, line, method, sd_mm
        As in `heelball.foot.reading.Reading`.
    load
        How the foot was loaded; None is as in the rest of the sitting.
    kind, of_id
        Whether it is new, or repeats or corrects the standing reading that is named.
    sheet_id
        The sheet that it was read from.
    """

    foot: Foot
    what: ReadingOf
    scale: str
    value: str
    line: str | None = None
    load: Load | None = None
    method: Method = "gauge"
    sd_mm: float | None = None
    kind: ReadingKind = "new"
    of_id: str | None = None
    sheet_id: str | None = None


def find_reading(conn: Connection, id: str) -> KeptReading:
    """Return one reading.

    Raises
    ------
    NotFound
        Where there is none.
    """
    wearer_id = find_row(conn, readings, id)["wearer_id"]
    return next(kept for kept in list_readings(conn, wearer_id) if kept.id == id)


def list_readings(conn: Connection, wearer_id: str) -> list[KeptReading]:
    """Return all readings of a wearer as they were taken, with those that no longer stand."""
    query = select(readings).where(readings.c.wearer_id == wearer_id).order_by(readings.c.number)
    return _struck_through([_reading(row) for row in rows_of(conn, query)])


def last_number(conn: Connection, wearer_id: str) -> int:
    """Return the number of a wearer's last reading; 0 where there is none."""
    query = select(func.max(readings.c.number)).where(readings.c.wearer_id == wearer_id)
    return conn.execute(query).scalar_one() or 0


def add_readings(
    conn: Connection,
    sitting_id: str,
    taken: Sequence[NewReading],
    *,
    seen_number: int,
    by: Author,
) -> list[KeptReading]:
    """Write readings down, in the order they were taken in.

    Parameters
    ----------
    sitting_id
        The sitting they were taken at.
    taken
        The readings.
    seen_number
        The number of the wearer's last reading that the fitter saw, 0 where there was none.

    Raises
    ------
    NotFound
        Where there is no such sitting.
    Conflict
        Where another fitter wrote readings of this wearer meanwhile: it carries those, and these
        as its `changes` under ``readings``.
    InputError
        Where a repeat or a correction does not name a standing reading of the same foot and measure.
    """
    sitting = find_sitting(conn, sitting_id)
    kept = list_readings(conn, sitting.wearer_id)
    meanwhile = [reading for reading in kept if reading.number > seen_number]
    if meanwhile:
        raise Conflict(meanwhile, seen_number, {"readings": tuple(taken)})
    first = kept[-1].number + 1 if kept else 1
    for number, reading in enumerate(taken, first):
        _check_named(reading, kept)
        row = {
            **asdict(reading),
            "wearer_id": sitting.wearer_id,
            "sitting_id": sitting.id,
            "number": number,
            "load": reading.load or sitting.load,
        }
        kept.append(insert(conn, readings, row, by=by, into=_reading))
        if reading.kind == "correction":
            kept = _struck_through(kept)
    return kept[len(kept) - len(taken) :]


def withdraw_reading(conn: Connection, id: str, seen: int, *, by: Author) -> KeptReading:
    """Take a reading back: it no longer counts, and what it corrected counts again.

    Raises
    ------
    NotFound, Conflict
        Where there is none, or it was changed since `seen`.
    RecordsError
        Where a correction has struck it through.
    """
    kept = find_reading(conn, id)
    if kept.corrected_by is not None:
        raise RecordsError("A correction has struck this reading through.", "Take the correction back.")
    if kept.withdrawn_at is not None:
        return kept
    update(conn, readings, id, seen, {"withdrawn_at": written_time(by)}, by=by, into=_reading)
    return find_reading(conn, id)


def restore_reading(conn: Connection, id: str, seen: int, *, by: Author) -> KeptReading:
    """Let a reading that was taken back count again.

    Raises
    ------
    NotFound, Conflict
        Where there is none, or it was changed since `seen`.
    """
    update(conn, readings, id, seen, {"withdrawn_at": None}, by=by, into=_reading)
    return find_reading(conn, id)


def _check_named(reading: NewReading, kept: Sequence[KeptReading]) -> None:
    """Refuse a repeat or a correction that does not name a reading it can be one of."""
    place = f"{reading.foot} {reading.what}"
    if reading.kind == "new":
        if reading.of_id is not None:
            raise InputError.at(place, "a new reading that names another", "a repeat or a correction of it")
        return
    wanted = f"a standing reading of the {reading.foot} foot's {reading.what}"
    named = next((other for other in kept if other.id == reading.of_id), None)
    if named is None:
        raise InputError.at(place, f"a {reading.kind} of no reading of this wearer", wanted)
    if (named.foot, named.what) != (reading.foot, reading.what):
        raise InputError.at(place, f"a {reading.kind} of the {named.foot} foot's {named.what}", wanted)
    if not named.stands:
        gone = "was taken back" if named.corrected_by is None else "a correction has struck through"
        raise InputError.at(place, f"a {reading.kind} of a reading that {gone}", wanted)


def _struck_through(taken: Sequence[KeptReading]) -> list[KeptReading]:
    """Return readings in their order, each with the correction that has struck it through.

    A reading, its corrections and theirs are one observation: the last of them that was not taken
    back is what counts, whichever it corrected, so that no order of undoing lets two count.
    """
    root: dict[str, str] = {}
    counts: dict[str, KeptReading] = {}
    direct: dict[str, str] = {}
    for reading in taken:
        corrects = reading.of_id if reading.kind == "correction" else None
        root[reading.id] = root.get(corrects, reading.id) if corrects else reading.id
        if reading.withdrawn_at is None:
            counts[root[reading.id]] = reading
            if corrects:
                direct[corrects] = reading.id
    struck = []
    for reading in taken:
        last = counts.get(root[reading.id])
        by = None
        if last is not None and last.number > reading.number:
            by = direct.get(reading.id, last.id)
        struck.append(reading if by == reading.corrected_by else evolve(reading, corrected_by=by))
    return struck


def _reading(row: Row) -> KeptReading:
    return KeptReading(**row)
