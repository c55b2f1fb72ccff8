"""Wearer files and readings CSVs brought into the records."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Sequence
from datetime import date as Date
from datetime import datetime, time
from pathlib import Path
from typing import Any

from attrs import asdict, define, field
from sqlalchemy import Connection

from heelball.errors import InputError, Problem
from heelball.fit.wearer import DayState, OwnedPair, Signs, Wearer
from heelball.foot.reading import GaugeMark, Reading
from heelball.records import gauge_marks, lasts, pairs, readings, sheets, sittings, try_ons, wearers
from heelball.records.readings import NewReading
from heelball.records.values import Author, KeptReading, KeptWearer, Sitting
from heelball.scales.catalogue import size_scale
from heelball.work.keeping import core_wearer, whole_sd
from heelball.work.sheet_brought import sheet_lines
from heelball.work.wearer_file import read_wearers

#: The hour that a date alone is taken for: in the middle of a working day.
_NOON = time(12)


@define
class People:
    """What was brought of wearers.

    Attributes
    ----------
    ids
        Wearers that were added or added to.
    wearers, readings, pairs
        How many were added.
    remarks
        Sentences on what was left out.
    """

    ids: set[str] = field(factory=set)
    wearers: int = 0
    readings: int = 0
    pairs: int = 0
    remarks: list[str] = field(factory=list)


def bring_people(conn: Connection, paths: Sequence[Path], problems: list[Problem], *, by: Author) -> People:
    """Bring in wearers, and what is not there yet of those who are.

    Parameters
    ----------
    conn
        A connection that writes; lasts that the wearers' pairs are made on are there already.
    paths
        Wearer files and readings CSVs.
    problems
        The list that problems are added to: what says something else than the records is one.
    by
        Who brings them in, and when.
    """
    people = People()
    if not paths:
        return people
    try:
        found = read_wearers(paths)
    except InputError as refused:
        problems += refused.problems
        return people
    names = _names(paths)
    for wearer in found:
        before = len(problems)
        kept = _bring_wearer(conn, wearer, names.get(wearer.code, ""), problems, people, by)
        if len(problems) > before or kept is None:
            continue
        people.ids.add(kept.id)
        _bring_readings(conn, kept, wearer.readings, people, by)
        _bring_marks(conn, wearer.gauge_marks, by)
        for pair in wearer.pairs:
            _bring_pair(conn, kept, pair, problems, people, by)
        if wearer.signs != Signs():
            people.remarks.append(
                f"Health answers of {wearer.code} were left out: they are kept only with consent, "
                "which is given on the wearer's page."
            )
    return people


def _names(paths: Sequence[Path]) -> dict[str, str]:
    """Return the names in wearer files, by code: the core's reader passes them over."""
    names = {}
    for path in paths:
        if path.suffix.lower() == ".toml":
            table = tomllib.loads(path.read_text("utf-8-sig"))
            names[str(table.get("code", path.stem)).strip()] = str(table.get("name", "")).strip()
    return names


def _bring_wearer(
    conn: Connection, wearer: Wearer, name: str, problems: list[Problem], people: People, by: Author
) -> KeptWearer | None:
    day = [_state(one) for one in wearer.day]
    kept = wearers.find_by_code(conn, wearer.code)
    if kept is None:
        people.wearers += 1
        try:
            return wearers.add_wearer(
                conn, wearer.code, name=name, population=wearer.population, day=day, by=by
            )
        except InputError as refused:
            problems += [
                Problem(f"{wearer.code}, {one.place}", one.found, one.wanted) for one in refused.problems
            ]
            return None
    told: dict[str, Any] = {}
    for what, new, old, unsaid in (
        ("name", name, kept.name, ""),
        ("population", wearer.population, kept.population, "unstated"),
        ("day", wearer.day, core_wearer(kept, (), ()).day, ()),
    ):
        if new in (unsaid, old):
            continue
        if old == unsaid:
            told[what] = day if what == "day" else new
        else:
            problems.append(
                Problem(f"{wearer.code}, {what}", "other than in the records", "the same, or nothing")
            )
    return wearers.change_wearer(conn, kept.id, kept.version, told, by=by) if told else kept


def _state(state: DayState) -> dict[str, Any]:
    return {
        "name": state.name,
        "share": state.share,
        "sock": f"{state.sock:g}",
        "swelling": state.swelling,
        "insole_mm": state.insole,
    }


def _bring_readings(
    conn: Connection, kept: KeptWearer, taken: Sequence[Reading], people: People, by: Author
) -> None:
    """Write down the readings that are not there yet, each lot of one occasion as a sitting of its own."""
    at = {one.id: one for one in sittings.list_sittings(conn, kept.id)}
    there = readings.list_readings(conn, kept.id)
    lots: dict[tuple[Any, ...], list[Reading]] = {}
    for reading in taken:
        same = next((one for one in there if _is_same(reading, one, at[one.sitting_id])), None)
        if same is not None:
            # Each counts for one: what a file says twice was read twice.
            there.remove(same)
        else:
            lots.setdefault((reading.date, reading.fitter, reading.sitting), []).append(reading)
    lines = sheet_lines(taken)
    for (date, fitter, _sitting), lot in lots.items():
        sitting = sittings.add_sitting(
            conn, kept.id, at=_when(date, by.at), load=lot[0].load, fitter=fitter or "", by=by
        )
        drawn: dict[int, str] = {}
        for reading in lot:
            line = lines.get(next((name for name, _loading in reading.shared_errors), ""))
            if line is not None and id(line) not in drawn:
                sheet = sheets.add_sheet(
                    conn, sitting.id, reading.foot, line, agreed=False, picture=None, by=by
                )
                drawn[id(line)] = sheet.id
            if line is None and reading.shared_errors:
                people.remarks.append(_errs_alone(kept, reading))
            _write_down(conn, sitting, reading, None if line is None else drawn[id(line)], by)
            people.readings += 1


def _errs_alone(kept: KeptWearer, reading: Reading) -> str:
    return (
        f"The {reading.foot} foot's {reading.what} of {kept.code} errs together with others as no whole "
        "sheet's does: it was kept as if it erred alone."
    )


def _is_same(reading: Reading, kept: KeptReading, sitting: Sitting) -> bool:
    """Return whether a kept reading is what a file says, as far as the file says when and by whom."""
    names = ("foot", "what", "scale", "value", "line", "load", "method")
    if any(getattr(reading, name) != getattr(kept, name) for name in names):
        return False
    if not _are_close(whole_sd(reading), kept.sd_mm):
        return False
    if reading.date is not None and reading.date != datetime.fromisoformat(sitting.at).date():
        return False
    return reading.fitter in (None, sitting.fitter)


def _are_close(one: float | None, other: float | None) -> bool:
    """Return whether two sds are the same but for how they were added up."""
    return one == other or (one is not None and other is not None and math.isclose(one, other, rel_tol=1e-6))


def _when(date: Date | None, now: datetime) -> datetime:
    return now if date is None else datetime.combine(date, _NOON, now.tzinfo)


def _write_down(
    conn: Connection, sitting: Sitting, reading: Reading, sheet_id: str | None, by: Author
) -> None:
    kept = readings.list_readings(conn, sitting.wearer_id)
    first = next(
        (
            one
            for one in kept
            if one.sitting_id == sitting.id
            and (one.foot, one.what) == (reading.foot, reading.what)
            and one.kind == "new"
        ),
        None,
    )
    new = NewReading(
        reading.foot,
        reading.what,
        reading.scale,
        reading.value,
        reading.line,
        reading.load,
        reading.method,
        whole_sd(reading),
        "new" if first is None else "repeat",
        None if first is None else first.id,
        sheet_id,
    )
    readings.add_readings(conn, sitting.id, [new], seen_number=kept[-1].number if kept else 0, by=by)


def _bring_marks(conn: Connection, marks: Sequence[GaugeMark], by: Author) -> None:
    there = [
        (one.scale, one.what, one.mark, one.line, one.measured_mm)
        for one in gauge_marks.list_marks(conn, withdrawn=True)
    ]
    for mark in marks:
        said = (mark.scale, mark.what, mark.mark, mark.line, mark.measured_mm)
        if said in there:
            there.remove(said)
        else:
            told = asdict(mark, filter=lambda one, _value: one.name != "place")
            gauge_marks.add_mark(conn, **told, by=by)


def _bring_pair(
    conn: Connection, kept: KeptWearer, owned: OwnedPair, problems: list[Problem], people: People, by: Author
) -> None:
    last = lasts.find_by_code(conn, owned.last)
    if last is None:
        found = f"{owned.last}, which is not kept"
        problems.append(
            Problem(f"{kept.code}, pair", found, "a last of the records, or its file with this one")
        )
        return
    size = size_scale(last.label_scale).format(owned.size)
    verdicts: dict[Any, dict[Any, Any]] = {}
    for (foot, place), verdict in owned.verdicts.items():
        verdicts.setdefault(foot, {})[place] = verdict
    for pair in pairs.list_pairs(conn, kept.id):
        if (pair.last_id, pair.size, pair.width) == (last.id, size, owned.width):
            told = [one.verdicts for one in try_ons.list_try_ons(conn, pair_id=pair.id)]
            break
    else:
        pair = pairs.add_pair(conn, kept.id, last.id, size=size, width=owned.width, state="owned", by=by)
        people.pairs += 1
        told = []
    if verdicts and verdicts not in told:
        try_ons.add_try_on(conn, pair.id, on=by.at.date().isoformat(), verdicts=verdicts, by=by)
