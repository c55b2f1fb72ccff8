"""Entering a foot: each tap kept in the draft at once, with what is asked beside it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Final

from attrs import frozen

from heelball.records import drafts, gauge_marks, readings, sheets, sittings, wearers
from heelball.records.store import Records
from heelball.records.values import Author, Draft, KeptReading, KeptWearer, Sitting
from heelball.scales.size_scale import SizeScale
from heelball.show.mark_words import day_text, mark_text
from heelball.work.draft_fields import (
    SLOTS,
    Asked,
    Entry,
    Slot,
    asked,
    changed,
    entry,
    gauge_of,
)
from heelball.work.entry_checks import draft_reading, questions_beside, taken_before
from heelball.work.keeping import core_mark, core_reading, core_readings, standing

#: What is said once of a sitting, with what is usual.
SITTING: Final[Mapping[str, str]] = {
    "load": "standing",
    "sock": "thin",
    "method": "",
    "fitter": "",
    "taken": "",
    "note": "",
}

KINDS: Final = ("repeat", "correction")


@frozen
class Before:
    """A reading that was taken before of the same foot and measure, and how it is named."""

    id: str
    said: str


@frozen
class Line:
    """One reading of the page: what the draft holds, what is asked about it, what was read before."""

    entry: Entry
    mark: str
    question: str
    before: Sequence[Before]

    @property
    def slot(self) -> Slot:
        """Which reading it is."""
        return self.entry.slot

    @property
    def lacks_kind(self) -> bool:
        """Whether the fitter still has to say if it is new, a repeat or a correction."""
        return bool(self.entry.value and self.before and not self.entry.kind)


@frozen
class Entering:
    """All that the page of entering shows.

    `seen` is the draft's version and `number` the wearer's last reading: what is written must have
    seen both.
    """

    kept: KeptWearer
    fields: Mapping[str, str]
    seen: int
    number: int
    gauge: SizeScale | None
    asked: Asked | None
    lines: tuple[Line, ...]

    def line(self, slot: Slot) -> Line:
        """Return the line of one reading."""
        return next(line for line in self.lines if line.slot == slot)

    @property
    def holds(self) -> int:
        """How many readings the draft holds."""
        return sum(1 for line in self.lines if line.entry.value)


def look(records: Records, wearer_id: str, by: Author) -> Entering:
    """Return what is being entered for a wearer.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    """
    with records.reading() as conn:
        kept = wearers.find_wearer(conn, wearer_id)
        draft = drafts.find_draft(conn, wearer_id)
        taken = readings.list_readings(conn, wearer_id)
        at = {one.id: one for one in sittings.list_sittings(conn, wearer_id)}
        drawn = sheets.list_sheets(conn, wearer_id)
        marks = [core_mark(one) for one in gauge_marks.list_marks(conn)]
    fields = draft.fields
    counting = standing(taken)
    count = list(zip(counting, core_readings(counting, at.values(), drawn), strict=True))
    asked_of = questions_beside(fields, count, marks, kept.population, fitter=fitter_of(fields, by))
    return Entering(
        kept=kept,
        fields=fields,
        seen=draft.version,
        number=taken[-1].number if taken else 0,
        gauge=gauge_of(fields, kept.population),
        asked=asked(fields),
        lines=tuple(_line(fields, slot, asked_of, taken, at, by) for slot in SLOTS.values()),
    )


def fitter_of(fields: Mapping[str, str], by: Author) -> str:
    """Return whose hands measure: as said for the sitting, else whoever is at the bench."""
    return fields.get("fitter") or by.fitter


def _line(
    fields: Mapping[str, str],
    slot: Slot,
    asked_of: Mapping[str, str],
    taken: Sequence[KeptReading],
    at: Mapping[str, Sitting],
    by: Author,
) -> Line:
    one = entry(fields, slot)
    mark = mark_text(draft_reading(one, fields, fitter=fitter_of(fields, by), day=None)) if one.value else ""
    before = [Before(row.id, named(row, at.get(row.sitting_id))) for row in taken_before(taken, slot)]
    return Line(one, mark, asked_of.get(slot.name, ""), before)


def named(kept: KeptReading, sitting: Sitting | None) -> str:
    """Return how a kept reading is named: its mark, its scale and its day."""
    reading = core_reading(kept, sitting)
    mark = mark_text(reading)
    scale = "" if mark.endswith(reading.scale) else f" on {reading.scale}"
    return f"{mark}{scale}" + (f", {day_text(reading.date)}" if reading.date else "")


def step(
    records: Records,
    wearer_id: str,
    seen: int,
    change: Callable[[Mapping[str, str]], Mapping[str, str] | None],
    *,
    by: Author,
) -> Draft:
    """Keep one tap: what `change` makes of the draft's fields.

    A tap that was kept already, and is sent once more since its answer was lost, changes nothing.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    Conflict
        Where another hand tapped since the draft was seen.
    """
    with records.writing() as conn:
        draft = drafts.find_draft(conn, wearer_id)
        wanted = change(draft.fields)
        if wanted is None:
            return draft
        differing = {name: wanted.get(name) for name in {*draft.fields, *wanted}}
        return drafts.save_fields(conn, wearer_id, differing, seen=seen, by=by)


def with_kind(fields: Mapping[str, str], slot: Slot, said: str) -> dict[str, str]:
    """Return the draft with what the fitter says of a reading: ``new``, or a kind and the one it names."""
    kind, _, of = said.partition(":")
    if kind == "new":
        return changed(fields, {f"{slot.name}.kind": "new", f"{slot.name}.of": None})
    if kind not in KINDS or not of:
        return dict(fields)
    return changed(fields, {f"{slot.name}.kind": kind, f"{slot.name}.of": of})
