"""Whether the records hang together: the database's own checks, and every row's."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from typing import Final

from sqlalchemy import Connection, select
from sqlalchemy.exc import SQLAlchemyError

from heelball.records.backup import unsound
from heelball.records.found import rows_of
from heelball.records.schema import metadata
from heelball.records.soundness import astray, called, flaws_of
from heelball.records.store import Records

_CHUNK: Final = 2000


def damage(records: Records) -> list[str]:
    """Return what SQLite finds wrong with the file; nothing on PostgreSQL, which looks after itself."""
    if records.path is None:
        return []
    try:
        with closing(sqlite3.connect(f"{records.path.as_uri()}?mode=ro", uri=True)) as file:
            return [f"the file: {one}; wanted no damage" for one in unsound(file)]
    except sqlite3.Error as refused:
        return [f"the file: {refused}; wanted no damage"]


def flaws(conn: Connection) -> Iterator[str]:
    """Yield a sentence for each row that is not what it must be, or names what it cannot go with."""
    for table in metadata.sorted_tables:
        try:
            for row in rows_of(conn, select(table)):
                for flaw in flaws_of(table, row):
                    yield f"{called(table, row)}, {flaw.column}: {flaw.found}; wanted {flaw.wanted}"
        except (SQLAlchemyError, ValueError) as refused:
            # JSON that is none is found while the row is read.
            yield f"{table.name}: a row that cannot be read ({refused}); wanted what the bench wrote"
    yield from astray(conn)
