"""One kept wearer with everything that bears on the answer, as the core reads it."""

from __future__ import annotations

from sqlalchemy import Connection

from heelball.fit.wearer import Wearer
from heelball.records.gauge_marks import list_marks
from heelball.records.health import find_health
from heelball.records.readings import list_readings
from heelball.records.sheets import list_sheets
from heelball.records.sittings import list_sittings
from heelball.records.store import Records
from heelball.records.wearers import find_wearer
from heelball.work.keeping import core_wearer
from heelball.work.pairs_told import owned_pairs


def kept_core(conn: Connection, wearer_id: str) -> Wearer:
    """Return a kept wearer as the core reads one.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    InputError
        Where what is kept is not what a wearer file may hold.
    """
    return core_wearer(
        find_wearer(conn, wearer_id),
        list_readings(conn, wearer_id),
        list_marks(conn),
        sittings=list_sittings(conn, wearer_id),
        sheets=list_sheets(conn, wearer_id),
        health=find_health(conn, wearer_id),
        owned=owned_pairs(conn, wearer_id),
    )


def wearer_as_kept(records: Records, wearer_id: str) -> Wearer:
    """Return a kept wearer as the core reads one, as it stands at this moment.

    Raises
    ------
    NotFound, InputError
        As in `kept_core`.
    """
    with records.reading() as conn:
        return kept_core(conn, wearer_id)
