"""Writing a file whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import NamedTemporaryFile

from heelball.errors import InputError


def check_folder(path: Path, place: str) -> None:
    """Refuse a file that could not be written, before any work is done for it.

    Raises
    ------
    InputError
        Where the folder is missing or cannot be written in, or the path is itself a folder.
    """
    if path.is_dir():
        raise InputError.at(place, f"{path} is a folder", "the name of a file")
    if not path.parent.is_dir():
        raise InputError.at(place, f"no folder {path.parent}", "a file in a folder that is there")
    if not os.access(path.parent, os.W_OK):
        raise InputError.at(place, f"{path.parent} cannot be written in", "a folder that can be written in")


def write_new(path: Path, text: str, place: str) -> None:
    """Write `text` so that `path` holds all of it or what it held before.

    Parameters
    ----------
    path, text
        Where and what.
    place
        Who asked for it, for the sentence when the system refuses.

    Raises
    ------
    InputError
        Where it cannot be written: a full disk, rights that changed.
    """
    write_new_bytes(path, text.encode(), place)


def write_new_bytes(path: Path, content: bytes, place: str) -> None:
    """Write `content` so that `path` holds all of it or what it held before; see `write_new`."""
    try:
        _write_beside(path, content)
    except OSError as refused:
        said = f"{path} cannot be written: {refused.strerror}"
        raise InputError.at(place, said, "a file that can be written") from None


def _write_beside(path: Path, content: bytes) -> None:
    with NamedTemporaryFile(dir=path.parent, prefix=f".{path.name[:100]}.", delete=False) as part:
        written = Path(part.name)
        try:
            part.write(content)
            part.flush()
            os.fsync(part.fileno())
            written.chmod(_mode(path))
            written.replace(path)
        except BaseException:
            written.unlink(missing_ok=True)
            raise


def _mode(path: Path) -> int:
    """Return the rights of the file replaced, or those of any new file."""
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
