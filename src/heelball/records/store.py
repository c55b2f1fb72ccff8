"""The records opened: where they are made, migrated, read and written."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from threading import Lock

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as NoneFree

from heelball.errors import RecordsError
from heelball.records import connecting
from heelball.records.copying import copy_file, copy_name
from heelball.records.faults import busy, damaged, told
from heelball.records.migrating import is_older, kept_schema, upgrade
from heelball.records.where import is_file, make_private, network_warning, place_of


class Records:
    """Records that are open. Closing them leaves nothing behind but the file.

    Attributes
    ----------
    path, folder
        The file and the folder it is in; None on PostgreSQL.
    place
        What to call them in a sentence: the file, or the address without its password.
    warning
        A sentence where they are on a network share, else empty.
    backup
        The copy that was made because the schema was older; None where it was not.
    """

    def __init__(self, engine: Engine, path: Path | None) -> None:
        self.engine = engine
        self.path = path
        self.folder = path.parent if path else None
        self.place = str(path or engine.url.set(drivername="postgresql").render_as_string())
        self.warning = network_warning(path) if path else ""
        self.backup: Path | None = None
        self._reader = engine.execution_options(writes=False)
        self._writer = engine.execution_options(writes=True)
        self._turn = Lock()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Read in one transaction: all that is read is of one moment, and nothing can be written.

        Raises
        ------
        RecordsError
            Where the records cannot be read.
        """
        with self._in_words(), self._reader.connect() as connection, connection.begin() as transaction:
            yield connection
            transaction.rollback()

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Write in one transaction, one writer at a time.

        It is on the disk when this has been left; where anything was raised, nothing was written.

        Raises
        ------
        RecordsError
            Where the records cannot be written: `DiskFull` and others.
        """
        with self._in_words(), self._in_turn(), self._writer.begin() as connection:
            yield connection

    @property
    def address(self) -> str:
        """What opens the same records again, in another process: on a server, with the password."""
        return str(self.path or self.engine.url.render_as_string(hide_password=False))

    def close(self) -> None:
        """Close every connection."""
        self.engine.dispose()

    @contextmanager
    def _in_turn(self) -> Iterator[None]:
        """Let the threads of one bench write one after the other.

        The databases see to it too, between processes; but SQLite's writers look again and again
        whether it is their turn, ever more seldom, and of eight threads the unlucky one waits a second.
        """
        if not self._turn.acquire(timeout=connecting.PATIENCE_MS / 1000):
            raise busy(self.place)
        try:
            yield
        finally:
            self._turn.release()

    @contextmanager
    def _in_words(self) -> Iterator[None]:
        try:
            yield
        except (DBAPIError, NoneFree) as refused:
            raise told(refused, self.place) from refused


def open_records(where: str | Path | None, *, create: bool = True, now: datetime) -> Records:
    """Open the records, made where they are missing and migrated where their schema is older.

    Parameters
    ----------
    where
        None for the user's data folder, a folder, a file, or a ``postgresql://`` address.
    create
        Whether to make them where there are none.
    now
        The time, for the name of the copy that a migration makes first.

    Raises
    ------
    RecordsError
        Where there are none, or they are damaged, newer than this program, or cannot be opened.
    MissingExtra
        Where PostgreSQL's driver is not installed.
    """
    place = place_of(where)
    if place.path is None:
        records = Records(connecting.server_engine(place.url or ""), None)
    else:
        if not create and not is_file(place.path):
            raise RecordsError(f"There are no records at {place.path}.", "Start the bench to make them.")
        make_private(place.path)
        records = Records(connecting.file_engine(place.path), place.path)
    try:
        _bring_up(records, create=create, now=now)
    except BaseException:
        records.close()
        raise
    return records


def _bring_up(records: Records, *, create: bool, now: datetime) -> None:
    """Give the records this program's schema: made where there is none, migrated where it is older."""
    with records.reading() as connection:
        number = kept_schema(connection, records.place)
        if records.path and connection.exec_driver_sql("PRAGMA quick_check(1)").scalar_one() != "ok":
            raise damaged(records.place)
    if not is_older(number, records.place):
        return
    if number is None and not create:
        raise RecordsError(f"There are no records at {records.place}.", "Start the bench to make them.")
    copy = None
    try:
        with records.writing() as connection:
            # Another bench that was started at the same time may have been first.
            number = kept_schema(connection, records.place)
            if not is_older(number, records.place):
                return
            if number is not None and records.path is not None:
                copy = copy_file(records.path, copy_name(records.path, number, now))
            upgrade(connection)
    except BaseException:
        if copy is not None:
            # Nothing was changed, and a copy of people's records is not left lying about.
            copy.unlink()
        raise
    records.backup = copy
