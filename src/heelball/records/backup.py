"""Backups of an SQLite file of records: made while it is in use, looked over, put in place whole."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from heelball.errors import RecordsError
from heelball.records import migrating
from heelball.records.copying import copy_file
from heelball.records.placing import clear, in_words, make_folder, part_of, put_in_place, refuse_present
from heelball.records.sealing import is_broken, seal

#: The folder of backups beside the records.
FOLDER: Final = "backups"

_MAGIC: Final = b"SQLite format 3\0"
#: How many of SQLite's own complaints are told.
_TOLD: Final = 3


def back_up(path: Path, to: Path | None, *, now: datetime, why: str = "backup") -> Path:
    """Make a backup of the records as last committed, while they may be in use.

    Parameters
    ----------
    path
        File of the records.
    to
        Where to; None for a name with the time in it, in `FOLDER` beside the records.
    now, why
        For that name.

    Returns
    -------
    Path
        The backup: one file, for this user alone, sealed and on the disk.

    Raises
    ------
    InputError
        Where something has that name already.
    RecordsError
        Where it cannot be made, or what was made is not sound.
    """
    to = backup_name(path, now, why) if to is None else to.absolute()
    part = part_of(to)
    with in_words(f"The backup {to}"):
        refuse_present(to)
        make_folder(to.parent)
        clear(part)
        try:
            copy_file(path, part)
            seal(part)
            look_over(part, str(to))
            put_in_place(part, to)
        finally:
            for ending in ("", "-journal"):
                clear(part.with_name(part.name + ending))
    return to


def backup_name(path: Path, now: datetime, why: str) -> Path:
    """Return a name that is not taken yet, with the time in it."""
    time = now.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
    stem = path.parent / FOLDER / f"{path.stem}-{why}-{time}{path.suffix}"
    place, count = stem, 1
    while place.exists():
        count += 1
        place = stem.with_stem(f"{stem.stem}-{count}")
    return place


def look_over(path: Path, name: str) -> str:
    """Return the schema of a file that should hold records, having looked whether it is sound.

    Parameters
    ----------
    path
        The file; nobody has it open, and no log is beside it.
    name
        What to call it in sentences.

    Raises
    ------
    RecordsError
        Where it is no database, damaged, not Heelball's, or newer than this program.
    """
    with in_words(name), path.open("rb") as file:
        start = file.read(len(_MAGIC))
    if start != _MAGIC:
        raise RecordsError(f"{name} is not a backup of records.", "Name a file that `records backup` made.")
    if is_broken(path):
        raise _damaged(name, "its seal is broken")
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as file:
            complaints = unsound(file)
            number = _schema(file)
    except sqlite3.Error as refused:
        raise _damaged(name, str(refused)) from refused
    if complaints:
        raise _damaged(name, complaints[0])
    if number is None:
        raise RecordsError(
            f"{name} holds no records of Heelball's.", "Name a file that `records backup` made."
        )
    if number > migrating.SCHEMA:
        raise RecordsError(
            f"{name} has schema {number}; this Heelball knows schemas up to {migrating.SCHEMA}.",
            "Restore it with the newer Heelball that wrote it.",
        )
    return number


def unsound(file: sqlite3.Connection) -> list[str]:
    """Return what SQLite finds wrong with a database: pages first, then rows that name what is not there."""
    found = [row[0] for row in file.execute(f"PRAGMA integrity_check({_TOLD})")]
    if found != ["ok"]:
        return [" ".join(str(one).split()) for one in found]
    return [
        f"a row of {table} names a row of {other} that is not there"
        for table, _row, other, _key in file.execute("PRAGMA foreign_key_check").fetchmany(_TOLD)
    ]


def _schema(file: sqlite3.Connection) -> str | None:
    tables = {row[0] for row in file.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    if not {"alembic_version", "wearers", "changes", "erasures"} <= tables:
        return None
    numbers = [row[0] for row in file.execute("SELECT version_num FROM alembic_version")]
    return str(numbers[0]) if len(numbers) == 1 else None


def _damaged(name: str, why: str) -> RecordsError:
    return RecordsError(f"{name} is damaged: {why}.", "Take another backup.")
