"""Erasing a wearer from everything that the bench keeps, and telling what is left elsewhere."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Final

from attrs import frozen

from heelball.errors import HeelballError
from heelball.records.alone import alone
from heelball.records.erase import Erased, erase_wearer, ids_of_code
from heelball.records.ledger import Ledger, keep_entries
from heelball.records.placing import make_folder
from heelball.records.refused import NotFound
from heelball.records.scrubbing import clear_unfinished, copies_of, holders, scrub_file, scrub_server
from heelball.records.store import Records, open_records
from heelball.records.where import data_folder

_ROWS: Final = {
    "readings": ("reading", "readings"),
    "sheets": ("sheet", "sheets"),
    "sittings": ("sitting", "sittings"),
    "pairs": ("pair", "pairs"),
    "try_ons": ("try-on", "try-ons"),
    "drafts": ("draft", "drafts"),
    "health_answers": ("record of health answers", "records of health answers"),
    "changes": ("note of a change", "notes of changes"),
    "sessions": ("session", "sessions"),
}


@frozen
class Finished:
    """What to say of an erase: lines, and an error where something of it is still to be done."""

    lines: list[str]
    unfinished: HeelballError | None = None


def find_erasable(where: str | Path | None, code: str, *, now: datetime) -> None:
    """Look whether a code is somebody's, before anything is asked.

    Raises
    ------
    NotFound
        Where nobody has this code, nor had it before being removed.
    """
    records = open_records(where, create=False, now=now)
    try:
        with records.reading() as conn:
            if not ids_of_code(conn, code):
                raise NotFound(f"A wearer {code}")
    finally:
        records.close()


def erase(where: str | Path | None, code: str, *, now: datetime) -> Finished:
    """Erase a wearer: all rows, their history, every mention, and the traces in the files.

    A bench may run meanwhile.

    Parameters
    ----------
    where, now
        As for `open_records`.
    code
        Whose; of someone who was removed before, the history.

    Raises
    ------
    NotFound
        Where nobody has this code.
    RecordsError
        Where the records or the ledger of erasures cannot be written: nothing is erased then.
    """
    records = open_records(where, create=False, now=now)
    folder = records.folder or data_folder()
    try:
        make_folder(folder)
        with alone(folder):
            ids, erased, again = _erase_rows(records, code, Ledger(folder), now)
            lines = _told(code, erased)
            if again:
                lines.append(
                    f"Another wearer, removed before, had the code {code} too: erase it again for that one."
                )
            unfinished = None
            try:
                lines += scrub(records)
            except HeelballError as refused:
                unfinished = refused
            if records.path is not None:
                lines += _told_copies(code, records.path, ids)
            return Finished(lines, unfinished)
    finally:
        records.close()


def finish_erasing(where: str | Path | None, *, now: datetime) -> list[str]:
    """Take what earlier erases left out of the files, where a bench was in the way.

    Raises
    ------
    RecordsError
        Where something is still in the way.
    """
    records = open_records(where, create=False, now=now)
    folder = records.folder or data_folder()
    try:
        make_folder(folder)
        with alone(folder):
            return scrub(records) or ["The files hold nothing of what was erased."]
    finally:
        records.close()


def _erase_rows(
    records: Records, code: str, ledger: Ledger, now: datetime
) -> tuple[list[str], list[Erased], bool]:
    """Erase whoever has a code; return their ids, what was erased, and whether another had it too."""
    day = now.date().isoformat()
    with records.writing() as conn:
        ids = sorted(ids_of_code(conn, code))
        if not ids:
            raise NotFound(f"A wearer {code}")
        entries = {ledger.entry_of(one): day for one in ids}
        erased = [erase_wearer(conn, one) for one in ids]
        keep_entries(conn, entries)
        again = bool(ids_of_code(conn, code))
        # On the disk before the erase is: a backup put back in between must not bring anyone back.
        for entry in entries:
            ledger.add(entry, day)
    return ids, erased, again


def scrub(records: Records) -> list[str]:
    """Take what was deleted out of the files; return what to say of a server's.

    Raises
    ------
    RecordsError
        Where something is in the way.
    """
    if records.path is None:
        return [scrub_server(records)]
    clear_unfinished(records.path)
    scrub_file(records.path)
    return []


def _told(code: str, erased: list[Erased]) -> list[str]:
    rows: dict[str, int] = {}
    for one in erased:
        for table, count in one.rows.items():
            rows[table] = rows.get(table, 0) + count
    parts = [f"{count} {_ROWS[table][count != 1]}" for table, count in rows.items() if table in _ROWS]
    lines = [f"{code} is erased" + (f": {', '.join(parts)}." if parts else ".")]
    kept = sum(one.kept_try_ons for one in erased)
    if kept:
        stay = "1 try-on stays" if kept == 1 else f"{kept} try-ons stay"
        lines.append(f"{stay}, as was agreed: without person, pair, note or day, the year alone.")
    reworded = sum(one.reworded for one in erased)
    if reworded:
        lines.append(f"Name or code was taken out of {reworded} text{'s' * (reworded != 1)} of others.")
    doubtful = list(dict.fromkeys(place for one in erased for place in one.doubtful))
    lines += [f"Look whether it means the wearer: {place}." for place in doubtful]
    return lines


def _told_copies(code: str, path: Path, ids: list[str]) -> list[str]:
    copies = copies_of(path)
    lines = []
    for one in ids:
        for copy, held in holders(copies, one):
            if held:
                lines.append(f"{copy} still holds {code}: delete it, or keep it knowing that.")
            else:
                lines.append(f"{copy} cannot be looked into and may hold {code}.")
    lines = list(dict.fromkeys(lines))
    if any(" still holds " in line for line in lines):
        lines.append("Put back by `heelball records restore`, these erase the wearer again.")
    return [*lines, "Backups, exports and paper kept elsewhere are yours to look through."]
