"""After an erase: nothing of what was deleted stays in the files, as far as the database lets us."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any, Final

from sqlalchemy import create_engine, event
from sqlalchemy.engine import Connection
from sqlalchemy.pool import NullPool

from heelball.errors import RecordsError
from heelball.records.backup import FOLDER
from heelball.records.placing import clear
from heelball.records.schema import metadata
from heelball.records.store import Records

#: How long other readers and writers are waited for [ms].
_PATIENCE_MS: Final = 15_000

#: What a backup or restore is called before it is whole, and SQLite's files beside that.
_UNFINISHED: Final = re.compile(r"\.(part|restoring)(-wal|-shm|-journal)?$")
_MAGIC: Final = b"SQLite format 3\0"


def scrub_file(path: Path) -> None:
    """Write the file of the records anew without what was deleted, and empty the log beside it.

    A bench may run meanwhile.

    Raises
    ------
    RecordsError
        Where something kept reading or writing for too long.
    """
    try:
        with closing(sqlite3.connect(path, isolation_level=None)) as file:
            for setting in (f"busy_timeout={_PATIENCE_MS}", "secure_delete=ON", "synchronous=FULL"):
                file.execute(f"PRAGMA {setting}").close()
            # VACUUM would leave its own copy of everything in a file elsewhere, if only for a moment.
            file.execute("PRAGMA temp_store=MEMORY").close()
            file.execute("VACUUM").close()
            busy, *_ = file.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    except sqlite3.Error as refused:
        raise _left_over(path, str(refused)) from refused
    if busy:
        raise _left_over(path, "the bench kept reading")


def _left_over(path: Path, why: str) -> RecordsError:
    return RecordsError(
        f"The rows are erased, but the files at {path} may still hold what they said: {why}.",
        "Stop the bench and run: heelball records erase --finish",
    )


def scrub_server(records: Records) -> str:
    """Have PostgreSQL give up the deleted rows; return a sentence on what that leaves."""
    raw = records.engine.raw_connection()
    refused = ""
    try:
        driver: Any = raw.driver_connection
        driver.autocommit = True
        with closing(driver.cursor()) as cursor:
            cursor.execute(f"SET lock_timeout = {_PATIENCE_MS}")
            for table in metadata.sorted_tables:
                # FULL: only a table written anew has nothing of its deleted rows in its pages.
                # ANALYZE: what the planner noted of its columns are values out of them.
                cursor.execute(f'VACUUM (FULL, ANALYZE) "{table.name}"')
    except Exception as error:  # the driver is not imported here: any refusal of its is a sentence
        if not hasattr(error, "sqlstate"):
            raise
        refused = str(error).strip().splitlines()[0]
    finally:
        raw.invalidate()
    if refused:
        return (
            f"The rows are deleted, but VACUUM FULL was refused ({refused}): until someone who may has run "
            "it, the tables' files hold them, and so do the server's write-ahead log, replicas, base "
            "backups and dumps."
        )
    return (
        "The rows are deleted and VACUUM FULL has written the tables anew. What it leaves: the server's "
        "write-ahead log until it is recycled, its archive, replicas, base backups and dumps, and blocks "
        "of the disk that were given back."
    )


@contextmanager
def file_transaction(path: Path) -> Iterator[Connection]:
    """Write in one transaction to a file of records that nobody else has open."""
    engine = create_engine(f"sqlite+pysqlite:///{path}", poolclass=NullPool)

    @event.listens_for(engine, "connect")
    def set_up(raw: sqlite3.Connection, _record: Any) -> None:
        for setting in ("foreign_keys=ON", "secure_delete=ON", "synchronous=FULL"):
            raw.execute(f"PRAGMA {setting}").close()

    with engine.begin() as connection:
        yield connection


def copies_of(path: Path) -> list[Path]:
    """Return the backups and copies that lie beside the records, the unfinished ones too."""
    files = [one for folder in _folders(path) for one in folder.iterdir() if one.is_file()]
    return sorted(one for one in files if one.absolute() != path.absolute() and _is_database(one))


def _folders(path: Path) -> list[Path]:
    return [folder for folder in (path.parent, path.parent / FOLDER) if folder.is_dir()]


def clear_unfinished(path: Path) -> None:
    """Remove what a backup or restore that was cut short left beside the records; none is running."""
    for folder in _folders(path):
        for one in folder.glob(".*"):
            if _UNFINISHED.search(one.name):
                clear(one)


def holders(copies: list[Path], wearer_id: str) -> list[tuple[Path, bool | None]]:
    """Return the copies that hold a wearer: True where one does, None where it cannot be read."""
    found = [(copy, _holds(copy, wearer_id)) for copy in copies]
    return [(copy, held) for copy, held in found if held is not False]


def sheet_holders(copies: list[Path], sheet_id: str) -> list[tuple[Path, bool | None]]:
    """Return the copies that hold the picture of a sheet: as `holders` does."""
    query = "SELECT 1 FROM sheets WHERE id = ? AND picture IS NOT NULL"
    found = [(copy, _finds(copy, (query,), sheet_id, of="sheets")) for copy in copies]
    return [(copy, held) for copy, held in found if held is not False]


def _holds(copy: Path, wearer_id: str) -> bool | None:
    places = (("wearers", "id"), ("changes", "wearer_id"), ("changes", "row_id"))
    queries = [f"SELECT 1 FROM {table} WHERE {column} = ? LIMIT 1" for table, column in places]
    return _finds(copy, queries, wearer_id, of="wearers")


def _finds(copy: Path, queries: Iterable[str], sought: str, *, of: str) -> bool | None:
    """Return whether one of the queries finds something; not so in a copy from before there was the table."""
    try:
        # Read as it lies there, with nothing written beside it.
        with closing(sqlite3.connect(f"{copy.absolute().as_uri()}?mode=ro&immutable=1", uri=True)) as file:
            tables = {row[0] for row in file.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
            if "wearers" in tables and of not in tables:
                return False
            return any(file.execute(query, (sought,)).fetchone() is not None for query in queries)
    except sqlite3.Error:
        return None


def _is_database(path: Path) -> bool:
    try:
        with path.open("rb") as file:
            return file.read(len(_MAGIC)) == _MAGIC
    except OSError:
        return False
