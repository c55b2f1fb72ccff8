"""A sheet's reading kept: its line and the readings out of it, and the picture where the wearer agreed."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any, Final

from sqlalchemy import Connection

from heelball.errors import InputError, Problem
from heelball.foot.reading import Load, Reading
from heelball.foot.vector import Foot
from heelball.records import sheets
from heelball.records.alone import alone
from heelball.records.ledger import Ledger, keep_entries
from heelball.records.placing import make_folder
from heelball.records.readings import NewReading, add_readings, last_number, list_readings
from heelball.records.refused import NotFound
from heelball.records.scrubbing import copies_of, sheet_holders
from heelball.records.sittings import add_sitting, list_sittings
from heelball.records.store import Records
from heelball.records.values import Author, KeptSheet, Sitting
from heelball.records.wearers import find_wearer
from heelball.records.where import data_folder
from heelball.work.fields import shown
from heelball.work.keeping import whole_sd
from heelball.work.records_erase import scrub
from heelball.work.sheet_file import sheet_readings
from heelball.work.sheet_json import SCHEMA

__all__ = ["KeptSheet", "forget_picture", "keep_sheet", "left_over", "list_sheets", "picture_of"]

#: Sheets that a fitter keeps within so long of each other are of one occasion.
_TOGETHER: Final = timedelta(hours=1)


def keep_sheet(
    records: Records,
    wearer_id: str,
    line: Mapping[str, Any],
    *,
    agreed: bool,
    picture: bytes | None,
    by: Author,
) -> KeptSheet:
    """Keep what one sheet told, with its readings, in one transaction.

    Both feet's sheets, kept one after the other, share a sitting.

    Parameters
    ----------
    line
        One object of ``heelball/sheet-reading/1``; the names of its photographs, which may be a
        person's, are left out.
    agreed
        Whether the wearer agreed that the picture is kept.
    picture
        The picture, encoded anew so that nothing but the picture is in it; None without agreement.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    InputError
        Where the line is not what was read from a sheet.
    ValueError
        Where there is a picture that nobody agreed to.
    """
    if picture is not None and not agreed:
        raise ValueError("a picture that the wearer did not agree to keep")
    taken = _readings(line)
    foot, load = taken[0].foot, taken[0].load
    with records.writing() as conn:
        find_wearer(conn, wearer_id)
        sitting = _sitting(conn, wearer_id, foot, load, by)
        kept = sheets.add_sheet(
            conn, sitting.id, foot, _nameless(line), agreed=agreed, picture=picture, by=by
        )
        new = [_new(one, kept.id) for one in taken]
        add_readings(conn, sitting.id, new, seen_number=last_number(conn, wearer_id), by=by)
        return kept


def list_sheets(records: Records, wearer_id: str) -> list[KeptSheet]:
    """Return a wearer's sheets, the newest first.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    """
    with records.reading() as conn:
        find_wearer(conn, wearer_id)
        found = sheets.list_sheets(conn, wearer_id)
    return sorted(found, key=lambda sheet: datetime.fromisoformat(sheet.made_at), reverse=True)


def picture_of(records: Records, wearer_id: str, sheet_id: str) -> bytes:
    """Return the picture of a sheet.

    Raises
    ------
    NotFound
        Where the wearer has no such sheet, or no picture of it is kept.
    """
    with records.reading() as conn:
        return sheets.find_picture(conn, _mine(conn, wearer_id, sheet_id).id)


def forget_picture(
    records: Records, wearer_id: str, sheet_id: str, *, by: Author, seen: int | None = None
) -> None:
    """Take the picture of a sheet out for good, from the rows and from the files; its readings stay.

    A backup that is put back does not bring it back either. A bench may run meanwhile.

    Parameters
    ----------
    seen
        The version of the sheet that the fitter saw; None for whatever it is now.

    Raises
    ------
    NotFound, Conflict
        Where the wearer has no such sheet, or it was changed since `seen`.
    RecordsError
        Where the records or the ledger of erasures cannot be written: nothing is taken out then; or
        where something kept the files from being cleaned of it, which is said.
    """
    folder = records.folder or data_folder()
    make_folder(folder)
    with alone(folder):
        with records.writing() as conn:
            sheet = _mine(conn, wearer_id, sheet_id)
            sheets.forget_picture(conn, sheet.id, sheet.version if seen is None else seen, by=by)
            if sheet.agreed:
                ledger, day = Ledger(folder), by.at.date().isoformat()
                entry = ledger.entry_of(sheet.id)
                keep_entries(conn, {entry: day})
                # On the disk before the rows are: a backup put back in between must not bring it back.
                ledger.add(entry, day)
        scrub(records)


def left_over(records: Records, sheet_id: str) -> list[str]:
    """Return a sentence for each backup beside the records that holds the picture of a sheet still."""
    if records.path is None:
        return []
    return [
        f"{copy} still holds the picture: delete it, or keep it knowing that."
        if held
        else f"{copy} cannot be looked into and may hold the picture."
        for copy, held in sheet_holders(copies_of(records.path), sheet_id)
    ]


def _readings(line: Mapping[str, Any]) -> list[Reading]:
    problems: list[Problem] = []
    if line.get("schema") != SCHEMA:
        problems.append(Problem("sheet, schema", shown(line.get("schema")), SCHEMA))
    taken = sheet_readings(line, "sheet", problems)
    if problems:
        raise InputError(problems)
    return taken


def _nameless(line: Mapping[str, Any]) -> dict[str, Any]:
    """Return a line without the names of its photographs."""
    nameless = {**line, "photo": ""}
    if "photos" in line:
        nameless["photos"] = []
    return nameless


def _new(reading: Reading, sheet_id: str) -> NewReading:
    return NewReading(
        reading.foot,
        reading.what,
        reading.scale,
        reading.value,
        load=reading.load,
        method=reading.method,
        sd_mm=whole_sd(reading),
        sheet_id=sheet_id,
    )


def _sitting(conn: Connection, wearer_id: str, foot: Foot, load: Load, by: Author) -> Sitting:
    """Return the sitting that a sheet belongs to: that of the other foot's sheet, or a new one."""
    for last in list_sittings(conn, wearer_id)[-1:]:
        same = (last.load, last.fitter, last.sock, last.note) == (load, by.fitter, "", "")
        drawn = [one.foot for one in sheets.list_sheets(conn, wearer_id) if one.sitting_id == last.id]
        others = [
            one
            for one in list_readings(conn, wearer_id)
            if one.sitting_id == last.id and one.sheet_id is None
        ]
        ago = by.at - datetime.fromisoformat(last.at)
        if same and drawn and foot not in drawn and not others and abs(ago) <= _TOGETHER:
            return last
    return add_sitting(conn, wearer_id, at=by.at, load=load, by=by)


def _mine(conn: Connection, wearer_id: str, sheet_id: str) -> KeptSheet:
    """Return a sheet of this wearer's: one of somebody else's is not found from here."""
    found = sheets.find_sheet(conn, sheet_id)
    if found.wearer_id != wearer_id:
        raise NotFound("This sheet")
    return found
