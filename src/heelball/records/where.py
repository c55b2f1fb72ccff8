"""Where the records are kept: the user's data folder, a path, or a PostgreSQL server."""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Callable
from pathlib import Path
from typing import Final

from attrs import frozen

from heelball.errors import RecordsError, UsageError

#: The file's name in a folder of records.
FILE_NAME: Final = "records.sqlite3"

_MOUNTS: Final = Path("/proc/self/mountinfo")
_SUFFIXES: Final = (".sqlite3", ".sqlite", ".db")
_SCHEME: Final = re.compile(r"([a-z][a-z0-9+.-]*)://", re.IGNORECASE)

#: File systems that another machine serves: locks and a log beside the file cannot be trusted there.
_SERVED: Final = frozenset(
    (
        *("9p", "afs", "beegfs", "ceph", "cifs", "coda", "davfs", "fuse.davfs2", "fuse.glusterfs"),
        *("fuse.rclone", "fuse.s3fs", "fuse.sshfs", "gfs2", "glusterfs", "gpfs", "lustre", "ncpfs"),
        *("nfs", "nfs4", "ocfs2", "orangefs", "smb3", "smbfs", "virtiofs"),
    )
)


@frozen
class Place:
    """Where records are: a file or the address of a PostgreSQL server; one of them is None."""

    path: Path | None
    url: str | None = None


def place_of(where: str | Path | None) -> Place:
    """Return the place that `where` names.

    Parameters
    ----------
    where
        None for the user's data folder (``HEELBALL_DATA`` where set); a folder; a file; or a
        ``postgresql://`` address.

    Raises
    ------
    UsageError
        Where it is an address of anything but PostgreSQL.
    """
    if where is None or not str(where).strip():
        return Place(data_folder() / FILE_NAME)
    if isinstance(where, str) and (scheme := _SCHEME.match(where)):
        if scheme[1].lower() not in ("postgresql", "postgres", "postgresql+psycopg"):
            raise UsageError(
                f"Records cannot be kept at an address that starts with {scheme[1]}://.",
                "Name a folder, a file, or an address that starts with postgresql://.",
            )
        return Place(None, "postgresql+psycopg://" + where[scheme.end() :])
    path = Path(where).expanduser()
    is_folder = _is(path, stat.S_ISDIR) or str(where).endswith(os.sep)
    if is_folder or (path.suffix.lower() not in _SUFFIXES and not is_file(path)):
        path /= FILE_NAME
    return Place(path.absolute())


def is_file(path: Path) -> bool:
    """Whether there is a file, as far as this user may know."""
    return _is(path, stat.S_ISREG)


def _is(path: Path, kind: Callable[[int], bool]) -> bool:
    try:
        return kind(path.stat().st_mode)
    except (OSError, ValueError):
        # What may not be looked at is told of when it is opened.
        return False


def data_folder() -> Path:
    """Return the user's data folder: ``HEELBALL_DATA``, else where this system keeps such things."""
    if named := os.environ.get("HEELBALL_DATA"):
        return Path(named).expanduser().absolute()
    from platformdirs import user_data_path

    return user_data_path("heelball", appauthor=False)


def make_private(path: Path) -> None:
    """Make the file at `path`, and the folders it needs, for this user alone.

    Folders that are there keep their modes, since they may hold other things; a file that is
    there is closed to others. SQLite gives the files it puts beside it the same mode.

    Raises
    ------
    RecordsError
        Where it cannot be made.
    """
    try:
        for folder in reversed(path.parents):
            if not folder.exists():
                folder.mkdir(0o700, exist_ok=True)
        if path.exists():
            close_to_others(path)
        else:
            os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
    except (OSError, ValueError) as refused:
        why = getattr(refused, "strerror", None) or str(refused)
        raise RecordsError(
            f"The records cannot be kept at {str(path)!r}: {why.lower()}.",
            "Name another place, or make this one writable.",
        ) from refused


def close_to_others(path: Path) -> None:
    """Take every right to a file away from all but its owner, where it is ours to take."""
    if path.stat().st_mode & 0o077 and os.name == "posix" and path.stat().st_uid == os.geteuid():
        path.chmod(0o600)


def network_warning(path: Path, mounts: Path = _MOUNTS) -> str:
    """Return a warning where `path` is on a network share, else nothing.

    Parameters
    ----------
    path
        File of the records; it need not be there yet.
    mounts
        What is mounted where, as Linux tells it; nothing is known where it cannot be read.
    """
    try:
        lines = mounts.read_text("utf-8", "replace").splitlines()
    except OSError:
        return ""
    real = path.resolve()
    best, kind = Path("/"), ""
    for line in lines:
        before, _, after = line.partition(" - ")
        words = before.split()
        if len(words) < 5 or not after:
            continue
        point = Path(_unescaped(words[4]))
        # Of two mounts at one point the later one covers the earlier.
        if real.is_relative_to(point) and len(point.parts) >= len(best.parts):
            best, kind = point, after.split()[0]
    if kind.lower() not in _SERVED:
        return ""
    return (
        f"The records are on a network share ({kind} at {best}), where a write can be lost and two "
        "benches can spoil each other's. Keep them on this machine's own disk, or on a PostgreSQL server."
    )


def _unescaped(point: str) -> str:
    return re.sub(r"\\([0-7]{3})", lambda sign: chr(int(sign[1], 8)), point)
