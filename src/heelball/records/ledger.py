"""The ledger of erasures: who must not come back with an older backup, without saying who it was.

An entry is a keyed hash of the wearer's random id. The key and the ledger stand beside the
records, outside every backup, and the entries are in the records too.
"""

from __future__ import annotations

import hmac
import os
import re
import secrets
from collections.abc import Mapping
from hashlib import sha256
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, insert, select

from heelball.errors import RecordsError
from heelball.records.placing import clear, part_of, sync_folder
from heelball.records.schema import erasures

KEY_NAME: Final = "erasures.key"
LEDGER_NAME: Final = "erasures.txt"

_KEY_BYTES: Final = 32
_KEY: Final = re.compile(r"[0-9a-f]{64}\n?")
_ENTRY: Final = re.compile(r"([0-9a-f]{64}) (\d{4}-\d\d-\d\d)")


class Ledger:
    """The ledger of one records folder.

    Parameters
    ----------
    folder
        Where key and ledger stand.
    """

    def __init__(self, folder: Path) -> None:
        self._key_file = folder / KEY_NAME
        self._file = folder / LEDGER_NAME

    @property
    def has_key(self) -> bool:
        """Whether it can be told who stands in the ledger."""
        return self._key_file.exists()

    def entry_of(self, wearer_id: str) -> str:
        """Return the keyed hash of a wearer's id; the key is made at the first.

        Raises
        ------
        RecordsError
            Where the key cannot be read.
        """
        return _hash(self._key(), wearer_id)

    def erased_among(self, wearer_ids: set[str], entries: Mapping[str, str]) -> dict[str, str]:
        """Return those of the ids that stand in the ledger, and the day each was erased.

        Parameters
        ----------
        wearer_ids
            The ids to look for.
        entries
            Hash to day, from `entries` and `kept_entries`.

        Raises
        ------
        RecordsError
            Where there are entries but the key is gone.
        """
        if not entries:
            return {}
        if not self.has_key:
            raise RecordsError(
                f"The key of the ledger of erasures is missing ({self._key_file}).",
                "Put it back: without it nobody can tell who must stay erased.",
            )
        key = self._key()
        hashed = {one: _hash(key, one) for one in wearer_ids}
        return {one: entries[entry] for one, entry in hashed.items() if entry in entries}

    def entries(self) -> dict[str, str]:
        """Return the entries of the file beside the records, hash to day.

        Raises
        ------
        RecordsError
            Where the file cannot be understood.
        """
        try:
            lines = self._file.read_text("ascii").splitlines()
        except FileNotFoundError:
            return {}
        except (OSError, UnicodeDecodeError) as refused:
            raise self._unreadable() from refused
        found = [_ENTRY.fullmatch(line) for line in lines]
        entries = {one[1]: one[2] for one in found if one is not None}
        if None in found:
            raise self._unreadable()
        return entries

    def add(self, entry: str, day: str) -> None:
        """Write one more entry; it is on the disk when this returns."""
        entries = {**self.entries(), entry: day}
        _write(self._file, "".join(f"{one} {entries[one]}\n" for one in sorted(entries)))

    def _key(self) -> bytes:
        try:
            text = self._key_file.read_text("ascii")
        except FileNotFoundError:
            text = secrets.token_hex(_KEY_BYTES)
            _write(self._key_file, text + "\n")
        except (OSError, UnicodeDecodeError) as refused:
            raise self._no_key() from refused
        if not _KEY.fullmatch(text):
            raise self._no_key()
        return bytes.fromhex(text)

    def _no_key(self) -> RecordsError:
        return RecordsError(
            f"The key of the ledger of erasures cannot be read ({self._key_file}).",
            "Put the file back as it was.",
        )

    def _unreadable(self) -> RecordsError:
        return RecordsError(
            f"The ledger of erasures cannot be read ({self._file}).", "Put the file back as it was."
        )


def kept_entries(conn: Connection) -> dict[str, str]:
    """Return the entries in the records themselves, hash to day."""
    return {row.hash: row.at for row in conn.execute(select(erasures))}


def keep_entries(conn: Connection, entries: Mapping[str, str]) -> None:
    """Keep entries in the records that are not there yet."""
    kept = kept_entries(conn)
    new = [{"hash": entry, "at": day} for entry, day in sorted(entries.items()) if entry not in kept]
    if new:
        conn.execute(insert(erasures), new)


def _hash(key: bytes, wearer_id: str) -> str:
    return hmac.new(key, wearer_id.encode(), sha256).hexdigest()


def _write(path: Path, text: str) -> None:
    part = part_of(path)
    clear(part)
    handle = os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
    with os.fdopen(handle, "w", encoding="ascii", newline="\n") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    part.replace(path)
    sync_folder(path.parent)
