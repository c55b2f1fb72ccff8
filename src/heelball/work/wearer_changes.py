"""What a fitter changes of a wearer: who it is, the day in the boot, health with consent, a reading."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from heelball.foot.vector import Population
from heelball.records import health, readings, wearers
from heelball.records.store import Records
from heelball.records.values import Author, HealthAnswers, KeptReading, KeptWearer
from heelball.work.fields import check_name
from heelball.work.records_erase import Finished
from heelball.work.records_erase import erase as erase_code
from heelball.work.wearer_fields import check_code, check_day, check_signs


def search(records: Records, words: str) -> list[KeptWearer]:
    """Return the wearers in whose name or code every one of the words stands."""
    with records.reading() as conn:
        return wearers.search_wearers(conn, words)


def count(records: Records) -> int:
    """Return how many wearers there are."""
    with records.reading() as conn:
        return wearers.count_wearers(conn)


def suggested_code(records: Records) -> str:
    """Return a code that no wearer has: W and a number, counted on from how many there are."""
    with records.reading() as conn:
        number = wearers.count_wearers(conn) + 1
        while wearers.find_by_code(conn, f"W{number}") is not None:
            number += 1
    return f"W{number}"


def find(records: Records, wearer_id: str) -> KeptWearer:
    """Return a wearer.

    Raises
    ------
    NotFound
        Where there is none.
    """
    with records.reading() as conn:
        return wearers.find_wearer(conn, wearer_id)


def add(
    records: Records,
    code: str,
    name: str,
    population: Population,
    *,
    day: Sequence[Mapping[str, Any]] = (),
    keeps_try_ons: bool = False,
    note: str = "",
    by: Author,
) -> KeptWearer:
    """Write a new wearer down.

    Parameters
    ----------
    day
        The states of the day in the boot, as a wearer file would hold them.

    Raises
    ------
    InputError
        Where code, name or day cannot stand, or the code is another wearer's.
    """
    check_code(code)
    check_name(name)
    check_day(day)
    with records.writing() as conn:
        return wearers.add_wearer(
            conn,
            code,
            name=name,
            population=population,
            day=day,
            keeps_try_ons=keeps_try_ons,
            note=note,
            by=by,
        )


def change(
    records: Records, wearer_id: str, seen: int, changes: Mapping[str, Any], *, by: Author
) -> KeptWearer:
    """Change who a wearer is, and the day in the boot: code, name, population, day, keeps_try_ons, note.

    Raises
    ------
    NotFound, Conflict
        Where the wearer is gone, or was changed since `seen`.
    InputError
        Where code, name or day cannot stand, or the code is another wearer's.
    """
    if "code" in changes:
        check_code(changes["code"])
    if "name" in changes:
        check_name(changes["name"])
    if "day" in changes:
        check_day(changes["day"])
    with records.writing() as conn:
        return wearers.change_wearer(conn, wearer_id, seen, changes, by=by)


def find_health(records: Records, wearer_id: str) -> HealthAnswers | None:
    """Return what a wearer told of health; None where nothing is kept."""
    with records.reading() as conn:
        wearers.find_wearer(conn, wearer_id)
        return health.find_health(conn, wearer_id)


def keep_health(
    records: Records, wearer_id: str, signs: Mapping[str, Any], *, consents: bool, seen: int, by: Author
) -> HealthAnswers:
    """Keep what a wearer told of health, with consent alone.

    Raises
    ------
    NotFound, Conflict
        Where the wearer is gone, or the answers were changed since `seen`.
    InputError
        Where the wearer does not agree, or an answer cannot be.
    """
    check_signs(signs)
    with records.writing() as conn:
        return health.keep_health(conn, wearer_id, signs, consents=consents, seen=seen, by=by)


def withdraw_consent(records: Records, wearer_id: str) -> None:
    """Delete what a wearer told of health: nothing brings it back."""
    with records.writing() as conn:
        health.withdraw_consent(conn, wearer_id)


def set_reading(
    records: Records, wearer_id: str, reading_id: str, seen: int, *, counts: bool, by: Author
) -> KeptReading:
    """Take a reading of a wearer back, or let it count again.

    Raises
    ------
    NotFound, Conflict
        Where the wearer has no such reading, or it was changed since `seen`.
    RecordsError
        Where a correction has struck it through.
    """
    with records.writing() as conn:
        mine = {reading.id for reading in readings.list_readings(conn, wearer_id)}
        # A reading of somebody else's is none of this page's.
        id_ = reading_id if reading_id in mine else ""
        if counts:
            return readings.restore_reading(conn, id_, seen, by=by)
        return readings.withdraw_reading(conn, id_, seen, by=by)


def erase(records: Records, kept: KeptWearer, *, now: datetime) -> Finished:
    """Erase a wearer from all that is kept, for good.

    Raises
    ------
    NotFound
        Where the wearer is gone.
    RecordsError
        Where the records or the ledger of erasures cannot be written: nothing is erased then.
    """
    return erase_code(records.address, kept.code, now=now)
