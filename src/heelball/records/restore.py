"""A backup put back as the records: looked over, erased from again, and swapped by one rename."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path
from typing import Final

from attrs import frozen
from sqlalchemy import delete
from sqlalchemy.exc import DBAPIError

from heelball.errors import RecordsError
from heelball.records import migrating
from heelball.records.alone import alone, without_bench
from heelball.records.backup import backup_name, look_over, unsound
from heelball.records.erase import drop_pictures, erase_wearer, pictured, wearer_ids
from heelball.records.faults import told
from heelball.records.ledger import Ledger, keep_entries, kept_entries
from heelball.records.placing import (
    clear,
    in_words,
    make_folder,
    part_of,
    put_in_place,
    sync_file,
    sync_folder,
)
from heelball.records.schema import sessions
from heelball.records.scrubbing import file_transaction
from heelball.records.sealing import seal, unseal
from heelball.records.store import open_records
from heelball.records.where import make_private

_LOGS: Final = ("-wal", "-shm", "-journal")

#: How long whoever uses the records is waited for [s].
_PATIENCE_S: Final = 5


@frozen
class Restored:
    """What a restore did.

    Parameters
    ----------
    aside
        Where the records that were there are now; None where there were none.
    erased_again
        How many wearers were in the backup that had been erased since.
    pictures_again
        How many pictures of sheets were in it that had been taken out since.
    migrated_copy
        The copy made before the schema was brought up; None where it was this program's.
    """

    aside: Path | None
    erased_again: int
    pictures_again: int
    migrated_copy: Path | None


def restore(path: Path, backup: Path, *, now: datetime) -> Restored:
    """Put a backup in the place of the records.

    Whenever this is cut short, the records are either the old ones or the new ones, whole.

    Parameters
    ----------
    path
        File of the records; there need not be one.
    backup
        What to put there; it is left as it is.
    now
        For the name of what is put aside.

    Raises
    ------
    RecordsError
        Where a bench runs, or the backup is damaged, newer than this program or none.
    """
    if not backup.is_file():
        raise RecordsError(f"There is no backup {backup}.", "Name a file that `records backup` made.")
    if path.exists() and backup.samefile(path):
        raise RecordsError(f"{backup} is the records themselves.", "Name a backup.")
    with in_words(f"The records at {path}"):
        make_folder(path.parent)
    with without_bench(path.parent), alone(path.parent), in_words(f"The records at {path}"):
        part = part_of(path, "restoring")
        try:
            _copy(backup, part)
            _join_log(part, backup.name)
            number = look_over(part, backup.name)
            unseal(part)
            erased_again, pictures_again = _erase_again(part, path)
            sync_file(part)
            with _held(path, now=now) as aside:
                part.replace(path)
                sync_folder(path.parent)
        finally:
            _clear(part)
    copy = _migrate(path, now) if number != migrating.SCHEMA else None
    return Restored(aside, erased_again, pictures_again, copy)


def _copy(backup: Path, part: Path) -> None:
    """Copy a backup, and a log beside it where somebody copied the records by hand."""
    _clear(part)
    log = backup.with_name(backup.name + "-wal")
    make_private(part)
    shutil.copyfile(backup, part)
    if log.is_file():
        make_private(part.with_name(part.name + "-wal"))
        shutil.copyfile(log, part.with_name(part.name + "-wal"))


def _join_log(part: Path, name: str) -> None:
    """Take a log into the file that it belongs to."""
    if not part.with_name(part.name + "-wal").exists():
        return
    try:
        with closing(sqlite3.connect(part)) as file:
            file.execute("PRAGMA journal_mode=DELETE").close()
    except sqlite3.Error as refused:
        raise RecordsError(f"{name} is damaged: {refused}.", "Take another backup.") from refused


def _clear(part: Path) -> None:
    _clear_logs(part)
    clear(part)


def _erase_again(part: Path, path: Path) -> tuple[int, int]:
    """Erase from a copy every wearer and picture erased since it was made; return how many of each."""
    ledger = Ledger(path.parent)
    entries = {**_entries_in(path), **ledger.entries()}
    try:
        with file_transaction(part) as conn:
            # Whoever stands in the backup's own ledger was erased before it was made, and on a new
            # machine there may be no key to say so.
            kept = kept_entries(conn)
            since = {entry: day for entry, day in entries.items() if entry not in kept}
            erased = ledger.erased_among(wearer_ids(conn), since)
            for wearer_id in sorted(erased):
                erase_wearer(conn, wearer_id)
            forgotten = ledger.erased_among(pictured(conn), since)
            drop_pictures(conn, forgotten)
            keep_entries(conn, entries)
            # Whoever was logged in when the backup was made is not by now.
            conn.execute(delete(sessions))
        if erased or forgotten:
            with closing(sqlite3.connect(part, isolation_level=None)) as file:
                file.execute("PRAGMA temp_store=MEMORY").close()
                file.execute("VACUUM").close()
    except DBAPIError as refused:
        raise told(refused, str(part)) from refused
    except sqlite3.Error as refused:
        raise RecordsError(
            f"The backup cannot be erased from: {refused}.", "Make room, then again."
        ) from refused
    return len(erased), len(forgotten)


def _entries_in(path: Path) -> dict[str, str]:
    """Return the entries in the records that are to be replaced; none where those cannot be read."""
    if not path.is_file():
        return {}
    try:
        with closing(sqlite3.connect(path)) as file:
            return dict(file.execute("SELECT hash, at FROM erasures").fetchall())
    except sqlite3.Error:
        return {}


@contextmanager
def _held(path: Path, *, now: datetime) -> Iterator[Path | None]:
    """Hold the records that are there: nobody reads or writes them, no log is left beside them.

    A log that stayed would be played back into whatever file has its name. Yields where they were
    put aside; None where there were none.
    """
    if not path.exists() or not path.stat().st_size:
        _clear_logs(path)
        yield None
        return
    with closing(sqlite3.connect(path, isolation_level=None, timeout=_PATIENCE_S)) as held:
        try:
            _hold(held, path)
            aside = _backed_up(held, path, now)
        except sqlite3.DatabaseError as refused:
            _refuse_unless_damaged(refused, path)
        else:
            yield aside
            return
    # Closed first: SQLite would else empty the log of a file that has another's name by then.
    yield _laid_aside(path, now)


def _hold(held: sqlite3.Connection, path: Path) -> None:
    # A log can only be left by whoever is alone, and what was in it is taken into the file.
    held.execute("PRAGMA journal_mode=DELETE").close()
    # The lock outlasts this empty transaction, and SQLite copies nothing out of an open one.
    held.execute("PRAGMA locking_mode=EXCLUSIVE").close()
    held.execute("BEGIN EXCLUSIVE").close()
    held.execute("COMMIT").close()
    if held.execute("PRAGMA journal_mode").fetchone() != ("delete",):
        raise _in_use(path)


def _refuse_unless_damaged(refused: sqlite3.DatabaseError, path: Path) -> None:
    code = getattr(refused, "sqlite_errorcode", sqlite3.SQLITE_CORRUPT) & 0xFF
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        raise _in_use(path) from refused
    if code not in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        raise RecordsError(
            f"The records at {path} cannot be put aside: {refused}.", "Make room, then do it again."
        ) from refused


def _in_use(path: Path) -> RecordsError:
    return RecordsError(f"The records at {path} are in use.", "Stop what uses them first.")


def _backed_up(held: sqlite3.Connection, path: Path, now: datetime) -> Path:
    """Back up the records through the connection that holds them: any other would let go of them."""
    to = backup_name(path, now, "before-restore")
    make_folder(to.parent)
    part = part_of(to)
    _clear(part)
    try:
        make_private(part)
        with closing(sqlite3.connect(part)) as copy:
            held.backup(copy)
            if complaints := unsound(copy):
                raise sqlite3.DatabaseError(complaints[0])
        seal(part)
        put_in_place(part, to)
    finally:
        _clear(part)
    return to


def _laid_aside(path: Path, now: datetime) -> Path:
    """Keep damaged records byte by byte, with their log, and leave no log where they were."""
    to = backup_name(path, now, "damaged")
    make_folder(to.parent)
    for ending in ("-wal", ""):
        source, copy = (one.with_name(one.name + ending) for one in (path, to))
        if source.exists():
            make_private(copy)
            shutil.copyfile(source, copy)
            sync_file(copy)
    sync_folder(to.parent)
    _clear_logs(path)
    return to


def _clear_logs(path: Path) -> None:
    for ending in _LOGS:
        clear(path.with_name(path.name + ending))


def _migrate(path: Path, now: datetime) -> Path | None:
    records = open_records(path, create=False, now=now)
    records.close()
    return records.backup
