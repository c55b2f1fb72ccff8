"""What is set for the whole bench, kept with the records."""

from __future__ import annotations

from heelball.records.settings import get_setting, set_setting
from heelball.records.store import Records

_UNITS = "units"


def units(records: Records) -> str:
    """Return what lengths are shown in on a new device: ``mm`` or ``in``."""
    with records.reading() as conn:
        return "in" if get_setting(conn, _UNITS) == "in" else "mm"


def set_units(records: Records, value: str) -> None:
    """Set what lengths are shown in on a new device."""
    with records.writing() as conn:
        set_setting(conn, _UNITS, value)
