"""Files put in their place whole: written under another name, on the disk before they are renamed."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from heelball.errors import InputError, RecordsError


def part_of(path: Path, ending: str = "part") -> Path:
    """Return the name that a file is written under before it is whole: hidden, in the same folder."""
    return path.with_name(f".{path.name}.{ending}")


def sync_file(path: Path) -> None:
    """Wait until a file is on the disk."""
    with path.open("rb") as file:
        os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """Wait until the names in a folder are on the disk, where the system can be asked to."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def make_folder(folder: Path) -> None:
    """Make a folder, and those above it, for this user alone; one that is there stays as it is."""
    for one in reversed([folder, *folder.parents]):
        if not one.exists():
            one.mkdir(0o700, exist_ok=True)


def refuse_present(path: Path) -> None:
    """Refuse a name that something has already.

    Raises
    ------
    InputError
        Where there is a file, a folder or a dangling link of that name.
    """
    if path.exists() or path.is_symlink():
        raise InputError.at(str(path), "something of that name is there already", "a new name")


def put_in_place(part: Path, path: Path) -> None:
    """Give a finished file or folder its name, unless something has that name by now.

    Raises
    ------
    InputError
        Where the name is taken.
    """
    refuse_present(path)
    part.rename(path)
    sync_folder(path.parent)


def clear(path: Path) -> None:
    """Remove a file or folder that was left unfinished."""
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path)
    else:
        path.unlink(missing_ok=True)


@contextmanager
def in_words(what: str) -> Iterator[None]:
    """Turn what the system refuses into a sentence.

    Parameters
    ----------
    what
        What was being done, to stand before "cannot be": ``"The backup x"``.

    Raises
    ------
    RecordsError
        Where the system refused.
    """
    try:
        yield
    except OSError as refused:
        why = (refused.strerror or "refused").lower()
        raise RecordsError(
            f"{what} cannot be read or written: {why}.", "Make room or mend the rights, then do it again."
        ) from refused
