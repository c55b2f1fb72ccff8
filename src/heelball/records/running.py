"""Whether a bench is running on a records folder: one lock file, held as long as it runs."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Final

from filelock import FileLock

#: Name of the lock file in the records folder.
LOCK_NAME: Final = "bench.lock"


def bench_lock(folder: Path) -> FileLock:
    """Return the lock that a running bench holds on its records folder.

    Take it with ``acquire(blocking=False)``: it raises `filelock.Timeout` where a bench is running.

    Parameters
    ----------
    folder
        The folder the records stand in.
    """
    # The system drops the lock with the process, so a killed bench leaves nothing to clear away.
    return FileLock(os.fspath(folder / LOCK_NAME), mode=0o600)
