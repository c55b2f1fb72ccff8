"""Files that only their owner can read, written whole or not at all."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from heelball.errors import RecordsError


def write_private(path: Path, content: bytes) -> None:
    """Write a file with mode 600, in a folder of mode 700, by one rename.

    Raises
    ------
    RecordsError
        Where it cannot be written.
    """
    fresh = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    try:
        private_folder(path.parent)
        handle = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        fresh.replace(path)
    except OSError as error:
        fresh.unlink(missing_ok=True)
        raise _unwritable(path, error) from error


def private_folder(path: Path) -> None:
    """Make a folder, and those it stands in, with mode 700; what is there stays as it is.

    Raises
    ------
    RecordsError
        Where it cannot be made.
    """
    try:
        for folder in reversed([path, *path.parents]):
            if not folder.is_dir():
                folder.mkdir(mode=0o700)
    except OSError as error:
        raise _unwritable(path, error) from error


def _unwritable(path: Path, error: OSError) -> RecordsError:
    return RecordsError(
        f"{path} cannot be written: {(error.strerror or 'refused').lower()}.",
        "Make room there, or look at who may write.",
    )
