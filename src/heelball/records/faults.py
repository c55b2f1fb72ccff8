"""What a database says went wrong, as sentences a fitter can act on."""

from __future__ import annotations

import re
from typing import Final

from sqlalchemy.exc import DBAPIError, IntegrityError
from sqlalchemy.exc import TimeoutError as NoneFree

from heelball.errors import RecordsError
from heelball.records.refused import DiskFull, StillNeeded

_RESTORE: Final = "Stop the bench and put the last backup back with: heelball records restore"
_BUSY: Final = ("The records are busy with another write", "Wait a moment, then do it again.")

#: SQLite's main result codes: what to say of the records, and what to do.
_SQLITE: Final = {
    3: ("The records may not be opened by this user", "Ask for the right to read and write them."),
    5: _BUSY,
    6: _BUSY,
    8: ("The records can be read but not written", "Make the file and its folder writable."),
    10: ("The disk under the records does not answer rightly", "Look to the disk before writing more."),
    11: ("The records are damaged", _RESTORE),
    14: ("The records cannot be opened", "See that the file is there and may be read and written."),
    26: ("This file holds no records", "Name the file that does."),
}

#: PostgreSQL's states, by code or by class of codes (its first two signs).
_POSTGRESQL: Final = {
    "08": ("The records' server cannot be reached", "See that it runs and that the address is right."),
    "25006": ("The records can be read but not written", "Ask for the right to write them."),
    "28": ("The records' server refuses this user", "See that name and password in the address are right."),
    "3D000": ("There is no such database on the server", "Have it made there, or mend the address."),
    "42501": ("The records may not be written by this user", "Ask for the right to read and write them."),
    "53300": ("The records' server has no connection left", "Wait a moment, then do it again."),
    "55P03": _BUSY,
    "40": _BUSY,
    "57": ("The records' server is stopping", "Wait until it runs again, then look at what was written."),
    "XX": ("The records are damaged", "Have the server's backup put back."),
}


def told(error: DBAPIError | NoneFree, place: str) -> RecordsError:
    """Return what to tell a person where the database refused.

    Parameters
    ----------
    error
        What the database said, or that no connection to it was free.
    place
        The file, or the server's address without its password.
    """
    if isinstance(error, NoneFree):
        return busy(place)
    state = getattr(error.orig, "sqlstate", None)
    number = getattr(error.orig, "sqlite_errorcode", None)
    code = None if number is None else number & 0xFF
    if code == 13 or state == "53100":
        return DiskFull(place)
    if isinstance(error, IntegrityError):
        return _at_odds(str(error.orig), state)
    if code is not None:
        said = _SQLITE.get(code)
    elif state is not None:
        said = _POSTGRESQL.get(state) or _POSTGRESQL.get(state[:2])
    else:
        said = _POSTGRESQL[_state_in(str(error.orig))]
    if said is None:
        first = str(error.orig).strip().splitlines()[0]
        return RecordsError(f"The records could not do that ({place}): {first}.")
    return RecordsError(f"{said[0]} ({place}).", said[1])


def busy(place: str) -> RecordsError:
    """Return what to tell a person whose turn to write did not come."""
    said, remedy = _BUSY
    return RecordsError(f"{said} ({place}).", remedy)


def damaged(place: str) -> RecordsError:
    """Return what to tell a person whose file of records does not hold together."""
    said, remedy = _SQLITE[11]
    return RecordsError(f"{said} ({place}).", remedy)


def _state_in(words: str) -> str:
    """Return the state that a server means which lets nobody in: it gives none, only words."""
    if re.search(r'database "[^"]*" does not exist', words):
        return "3D000"
    if "authentication" in words or "pg_hba.conf" in words or re.search(r'role "[^"]*" does not', words):
        return "28"
    return "08"


def _at_odds(words: str, state: str | None) -> RecordsError:
    """Return what to say where a row does not go with the others."""
    if state in ("23503", "23001") or "FOREIGN KEY" in words:
        return StillNeeded()
    if state == "23505" or "UNIQUE" in words:
        return RecordsError("The records have another of that name or code.", "Give it one of its own.")
    return RecordsError("The records do not take that.", "See that nothing is missing from it.")
