"""What the fitter has set for the whole bench: a value for each name, exported with the records."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, insert, select, update

from heelball.records.schema import settings


def get_setting(conn: Connection, name: str, default: Any = None) -> Any:
    """Return what was set under a name, or `default` where nothing was."""
    row = conn.execute(select(settings.c.value).where(settings.c.name == name)).first()
    return default if row is None else row.value


def set_setting(conn: Connection, name: str, value: Any) -> None:
    """Set a name to a value that JSON can hold; the last to write wins."""
    if conn.execute(update(settings).where(settings.c.name == name).values(value=value)).rowcount == 0:
        conn.execute(insert(settings).values(name=name, value=value))
