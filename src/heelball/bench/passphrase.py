"""The passphrase that a bench on a network opens with: only its argon2 hash is kept."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Final

from argon2 import PasswordHasher
from argon2.exceptions import Argon2Error, InvalidHashError

from heelball.bench.private_files import write_private
from heelball.errors import InputError, RecordsError

#: Shortest passphrase that is taken [characters].
SHORTEST: Final = 10
_LONGEST: Final = 500
_FILE: Final = "bench-passphrase"
_HASHER: Final = PasswordHasher()


def set_passphrase(folder: Path, passphrase: str) -> None:
    """Keep the hash of a passphrase in the data folder.

    Raises
    ------
    InputError
        Where it is too short, too long or cannot be typed again.
    """
    if not SHORTEST <= len(passphrase) <= _LONGEST:
        found = f"{len(passphrase)} characters"
        raise InputError.at("passphrase", found, f"{SHORTEST} to {_LONGEST}, several words for preference")
    if not passphrase.isprintable() or passphrase != passphrase.strip():
        raise InputError.at(
            "passphrase", "signs that cannot be typed", "printable ones, no blank at the ends"
        )
    write_private(folder / _FILE, _HASHER.hash(passphrase).encode())


def kept_hash(folder: Path) -> str | None:
    """Return the hash that is kept, or None where no passphrase was set."""
    try:
        return (folder / _FILE).read_text("ascii").strip() or None
    except FileNotFoundError:
        return None
    except (OSError, UnicodeDecodeError) as error:
        raise RecordsError(
            f"The passphrase's file cannot be read: {os.fspath(folder / _FILE)}.",
            "Set it anew with: heelball bench passphrase",
        ) from error


def is_right(passphrase: str, hash_: str | None) -> bool:
    """Whether this is the passphrase; never where none was set."""
    if hash_ is None or len(passphrase) > _LONGEST:
        return False
    try:
        return _HASHER.verify(hash_, passphrase)
    except (Argon2Error, InvalidHashError):
        return False
