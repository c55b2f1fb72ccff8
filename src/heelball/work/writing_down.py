"""Writing a draft down: one sitting with its readings, in one transaction."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import cast

from heelball.errors import InputError, Problem
from heelball.foot.reading import Load, Reading
from heelball.records import drafts, readings, sittings
from heelball.records.readings import NewReading
from heelball.records.refused import Conflict
from heelball.records.store import Records
from heelball.records.values import Author, KeptReading, ReadingKind, Sitting
from heelball.work.draft_fields import Entry, entries
from heelball.work.entering import KINDS, SITTING, fitter_of
from heelball.work.entry_checks import draft_reading, taken_before
from heelball.work.keeping import core_reading, standing
from heelball.work.reading_fields import LOADS, check_letters


def write_down(records: Records, wearer_id: str, *, seen: int, number: int, by: Author) -> Sitting:
    """Turn the draft into one sitting with its readings, in one transaction, and clear it.

    Parameters
    ----------
    records, wearer_id
        Where, and whose.
    seen, number
        The draft's version and the number of the wearer's last reading that the fitter saw.
    by
        Who writes, and when.

    Raises
    ------
    InputError
        With every reading that cannot be written down yet, and why.
    NotFound
        Where there is no such wearer.
    Conflict
        Where another hand tapped, or wrote readings down, since the page was seen.
    """
    with records.writing() as conn:
        draft = drafts.find_draft(conn, wearer_id)
        if draft.version != seen:
            raise Conflict(draft, seen, {})
        fields = draft.fields
        taken = readings.list_readings(conn, wearer_id)
        _check(fields, taken, by)
        sitting = sittings.add_sitting(
            conn,
            wearer_id,
            at=read_taken(fields.get("taken", ""), by),
            load=load_of(fields),
            sock=fields.get("sock", SITTING["sock"]),
            fitter=fitter_of(fields, by),
            note=fields.get("note", ""),
            by=by,
        )
        new = [_new_reading(one, fields) for one in entries(fields)]
        readings.add_readings(conn, sitting.id, new, seen_number=number, by=by)
        drafts.clear_draft(conn, wearer_id, seen=seen, by=by)
    return sitting


def _new_reading(one: Entry, fields: Mapping[str, str]) -> NewReading:
    reading = draft_reading(one, fields, fitter="", day=None)
    return NewReading(
        foot=reading.foot,
        what=reading.what,
        scale=reading.scale,
        value=reading.value,
        line=reading.line,
        method=reading.method,
        kind=cast("ReadingKind", one.kind or "new"),
        of_id=one.of or None,
    )


def load_of(fields: Mapping[str, str]) -> Load:
    """Return how the feet are loaded in this sitting: standing unless it was said."""
    load = fields.get("load", SITTING["load"])
    return load if load in LOADS else "standing"


def read_taken(text: str, by: Author) -> datetime:
    """Return the time of a sitting as it was typed: ``2026-05-03 17:30``; now where nothing was.

    Raises
    ------
    InputError
        Where it is no time, or one to come.
    """
    if not text:
        return by.at
    wanted = "a day and a time that have been, such as 2026-05-03 17:30"
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        raise InputError.at("taken", repr(text), wanted) from None
    found = found if found.tzinfo else found.replace(tzinfo=by.at.tzinfo)
    if found > by.at or found.year < 1900:
        raise InputError.at("taken", repr(text), wanted)
    return found


def _check(fields: Mapping[str, str], taken: Sequence[KeptReading], by: Author) -> None:
    """Refuse a draft that cannot be written down as it stands."""
    problems: list[Problem] = []
    found = entries(fields)
    if not found:
        problems.append(Problem("draft", "no reading", "at least one"))
    corrected = {one.of for one in found if one.kind == "correction"}
    left = [core_reading(one) for one in standing(taken) if one.id not in corrected]
    drafted: list[Reading] = [
        draft_reading(one, fields, fitter=fitter_of(fields, by), day=None) for one in found
    ]
    for one in found:
        before = {row.id for row in taken_before(taken, one.slot)}
        if one.kind in KINDS and one.of not in before:
            said = f"the reading that this {one.kind} names stands no more"
            problems.append(Problem(one.slot.name, said, "new, or another one"))
        elif before and not one.kind:
            said = "read before, and not said whether this is new, a repeat or a correction"
            problems.append(Problem(one.slot.name, said, "one of them"))
    lines: list[Problem] = []
    check_letters([*left, *drafted], (), lines)
    problems += [Problem(one.place.partition(",")[0], one.found, one.wanted) for one in lines]
    if problems:
        raise InputError(problems)
