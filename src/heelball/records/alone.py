"""One at a time: commands that copy, change or put back the records as a whole."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from filelock import FileLock, Timeout

from heelball.errors import RecordsError
from heelball.records.placing import in_words
from heelball.records.running import bench_lock

#: Name of the lock file in the records folder.
LOCK_NAME: Final = "records.lock"

#: How long one such command waits for another [s].
PATIENCE_S: Final = 30


@contextmanager
def alone(folder: Path) -> Iterator[None]:
    """Keep other backups, restores, imports and erases of these records waiting.

    A bench may run meanwhile: its single writes are held apart by the database.

    Parameters
    ----------
    folder
        The folder the records stand in.

    Raises
    ------
    RecordsError
        Where another such command goes on for too long.
    """
    lock = FileLock(os.fspath(folder / LOCK_NAME), mode=0o600)
    with in_words(f"The folder {folder}"):
        try:
            lock.acquire(timeout=PATIENCE_S)
        except Timeout:
            raise RecordsError(
                f"Another command is at work on the records in {folder}.", "Wait until it has ended."
            ) from None
    try:
        yield
    finally:
        lock.release()


@contextmanager
def without_bench(folder: Path) -> Iterator[None]:
    """Keep a bench from starting, and refuse where one runs.

    Raises
    ------
    RecordsError
        Where a bench runs on these records.
    """
    lock = bench_lock(folder)
    with in_words(f"The folder {folder}"):
        try:
            lock.acquire(blocking=False)
        except Timeout:
            raise RecordsError(f"A bench is running on the records in {folder}.", "Stop it first.") from None
    try:
        yield
    finally:
        lock.release()
