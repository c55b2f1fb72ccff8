"""A seal on a backup: a sum over every byte of it, so that a single flipped bit is found.

SQLite checks how its pages hang together, not what stands in them. The seal is the CRC-32 of the
file and stands where SQLite keeps a number for whoever uses it (``user_version``), so that it
travels with the file; 0 there means that the file was never sealed.
"""

from __future__ import annotations

import os
import zlib
from pathlib import Path
from typing import Final

#: Where ``user_version`` stands in the header of an SQLite file.
_AT: Final = 60
_LENGTH: Final = 4
_CHUNK: Final = 1 << 20
_UNSEALED: Final = b"\0" * _LENGTH


def seal(path: Path) -> None:
    """Seal a file that nobody has open, and wait until it is on the disk."""
    _write(path, _sum(path))


def unseal(path: Path) -> None:
    """Take the seal off a file that nobody has open, so that it can be written to again."""
    _write(path, _UNSEALED)


def is_broken(path: Path) -> bool:
    """Return whether a file has a seal that no longer fits it."""
    with path.open("rb") as file:
        file.seek(_AT)
        kept = file.read(_LENGTH)
    return kept != _UNSEALED and kept != _sum(path)


def _sum(path: Path) -> bytes:
    with path.open("rb") as file:
        first = file.read(_CHUNK)
        found = zlib.crc32(first[:_AT] + _UNSEALED + first[_AT + _LENGTH :])
        while chunk := file.read(_CHUNK):
            found = zlib.crc32(chunk, found)
    return (found or 1).to_bytes(_LENGTH, "big")


def _write(path: Path, mark: bytes) -> None:
    with path.open("r+b") as file:
        file.seek(_AT)
        file.write(mark)
        file.flush()
        os.fsync(file.fileno())
