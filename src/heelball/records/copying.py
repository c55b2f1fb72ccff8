"""Copies of an SQLite file of records, made while it is in use."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from heelball.errors import RecordsError

#: What copies that a migration makes are called, beside the records: ``records-schema-0001-….sqlite3``.
MIGRATION_COPIES: Final = "{stem}-schema-{number}-{time}{suffix}"


def copy_name(path: Path, number: str, now: datetime) -> Path:
    """Return what to call the copy of the records at `path` before their schema `number` is left."""
    time = now.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
    return path.with_name(
        MIGRATION_COPIES.format(stem=path.stem, number=number, time=time, suffix=path.suffix)
    )


def copy_file(path: Path, to: Path) -> Path:
    """Copy the records at `path`, as last committed, to a file that only this user can read.

    The records may be in use, and written, all the while; the copy is of one moment, and on the
    disk when this returns.

    Raises
    ------
    RecordsError
        Where there is a file already, or no room.
    """
    try:
        # Made first, so that it is never readable by others; refused where it is there.
        os.close(os.open(to, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
    except OSError as refused:
        raise _not_made(to, refused.strerror or "refused") from refused
    try:
        with (
            closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)) as source,
            closing(sqlite3.connect(to)) as target,
        ):
            target.execute("PRAGMA synchronous=FULL").close()
            source.backup(target)
            # One file and no log beside it: it opens by itself wherever it is taken.
            target.execute("PRAGMA journal_mode=DELETE").close()
    except sqlite3.Error as refused:
        to.unlink()
        raise _not_made(to, str(refused)) from refused
    return to


def _not_made(to: Path, why: str) -> RecordsError:
    return RecordsError(
        f"The copy {to} cannot be made: {why.lower()}.", "Make room, or name another place, and try again."
    )
