"""Backing the records up while they are in use, and putting a backup back."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Final

from heelball.errors import RecordsError
from heelball.records import backup as backups
from heelball.records import restore as restoring
from heelball.records.alone import alone
from heelball.records.where import network_warning, place_of

_SERVERS_OWN: Final = "Records on PostgreSQL are backed up and put back by the server's own tools"


def back_up(where: str | Path | None, to: Path | None, *, now: datetime) -> list[str]:
    """Make a backup of the records and return what to say of it.

    Parameters
    ----------
    where
        The records, as for `open_records`.
    to
        The file to make; None for one in the folder of backups beside the records.
    now
        For its name.

    Raises
    ------
    RecordsError
        Where there are no records, they are on PostgreSQL, or the backup cannot be made.
    InputError
        Where something of that name is there.
    """
    path = _file_of(where)
    if not path.is_file():
        raise RecordsError(f"There are no records at {path}.", "Start the bench to make them.")
    with alone(path.parent):
        made = backups.back_up(path, to, now=now)
    warning = network_warning(path)
    return [f"Backed up to {made}.", *([warning] if warning else [])]


def put_back(where: str | Path | None, backup: Path, *, now: datetime) -> list[str]:
    """Put a backup in the place of the records and return what to say of it.

    Parameters
    ----------
    where, backup
        The records, as for `open_records`, and what to put there.
    now
        For the name of what is put aside.

    Raises
    ------
    RecordsError
        Where a bench runs, or the backup is damaged, newer than this program or none.
    """
    path = _file_of(where)
    done = restoring.restore(path, backup.absolute(), now=now)
    lines = [f"The records at {path} are those of {backup} now."]
    if done.aside is not None:
        lines.append(f"Those that were there are in {done.aside}.")
    if done.erased_again:
        who = "1 wearer" if done.erased_again == 1 else f"{done.erased_again} wearers"
        lines.append(f"Erased again: {who} who had been erased since it was made; {backup} still holds them.")
    if done.pictures_again:
        what = "1 picture" if done.pictures_again == 1 else f"{done.pictures_again} pictures"
        lines.append(
            f"Taken out again: {what} of sheets, forgotten since it was made; {backup} still holds them."
        )
    if done.migrated_copy is not None:
        lines.append(
            f"Its schema was older and has been brought up; as it was, it is in {done.migrated_copy}."
        )
    return lines


def _file_of(where: str | Path | None) -> Path:
    path = place_of(where).path
    if path is None:
        raise RecordsError(f"{_SERVERS_OWN}.", "`heelball records export` works there too.")
    return path
