"""What is being tapped in, as the fields of a draft: readings in the gauge's order, a tap at a time.

Every function takes the fields as they are kept and returns them as they are to be kept; nothing
is ever filled in from the other foot or from what is known of feet.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Final, Literal

from attrs import frozen

from heelball.foot.reading import ReadingOf
from heelball.foot.vector import Foot, Population
from heelball.scales.catalogue import GAUGE_OF, size_scale
from heelball.scales.letters import LETTERS, format_letter, parse_letter
from heelball.scales.size_scale import SizeScale
from heelball.units import MILLIMETRES

Fields = Mapping[str, str]
Part = Literal["value", "line"]

#: What follows a whole size or a letter with a second tap.
QUARTERS: Final[Mapping[str, Fraction]] = {
    "0": Fraction(0),
    "1/4": Fraction(1, 4),
    "1/2": Fraction(1, 2),
    "3/4": Fraction(3, 4),
}

#: So many taps can be taken back.
_UNDONE_AT_MOST: Final = 40


@frozen
class Slot:
    """One reading to be taken: of which foot, and of what."""

    foot: Foot
    what: ReadingOf

    @property
    def name(self) -> str:
        """What the slot is called in a draft: ``right-length``."""
        return f"{self.foot}-{self.what}"


@frozen
class Entry:
    """What a draft holds of one reading; `kind` and `of` are empty until the fitter says them."""

    slot: Slot
    value: str = ""
    scale: str = ""
    line: str = ""
    kind: str = ""
    of: str = ""
    skipped: bool = False

    @property
    def is_letter(self) -> bool:
        """Whether it is a letter of the gauge, read at a line."""
        return self.slot.what == "breadth" and bool(self.value) and self.scale not in MILLIMETRES

    @property
    def lacks_line(self) -> bool:
        """Whether a letter still waits for the line it was read at."""
        return self.is_letter and not self.line


@frozen
class Asked:
    """What is asked next: a reading's mark, or the line of its letter."""

    slot: Slot
    part: Part


_RIGHT_FIRST: Final[tuple[Foot, ...]] = ("right", "left")
_ON_GAUGE: Final[tuple[ReadingOf, ...]] = ("length", "ball", "breadth")
_BY_TAPE: Final[tuple[ReadingOf, ...]] = ("girth", "heel", "instep")

#: The six readings of the gauge, in the order they are taken.
GAUGE_ORDER: Final = tuple(Slot(foot, what) for foot in _RIGHT_FIRST for what in _ON_GAUGE)

#: What is read with a tape or a ruler, and typed.
TAPE_ORDER: Final = tuple(Slot(foot, what) for foot in _RIGHT_FIRST for what in _BY_TAPE)

#: Every reading a sitting may hold, by its name.
SLOTS: Final[Mapping[str, Slot]] = {slot.name: slot for slot in (*GAUGE_ORDER, *TAPE_ORDER)}


def entry(fields: Fields, slot: Slot) -> Entry:
    """Return what a draft holds of one reading."""
    name = slot.name
    return Entry(
        slot,
        fields.get(name, ""),
        fields.get(f"{name}.scale", ""),
        fields.get(f"{name}.line", ""),
        fields.get(f"{name}.kind", ""),
        fields.get(f"{name}.of", ""),
        f"{name}.skipped" in fields,
    )


def entries(fields: Fields) -> tuple[Entry, ...]:
    """Return every reading the draft holds a mark of, in the gauge's order, then the tape's."""
    found = (entry(fields, slot) for slot in SLOTS.values())
    return tuple(one for one in found if one.value)


def gauge_of(fields: Fields, population: Population) -> SizeScale | None:
    """Return the gauge's scale: as chosen, else the population's; None where it has to be asked."""
    name = fields.get("scale") or GAUGE_OF.get(population)
    return None if name is None else size_scale(name)


def asked(fields: Fields) -> Asked | None:
    """Return what is asked next in the gauge's order; None where nothing is left."""
    for slot in GAUGE_ORDER:
        one = entry(fields, slot)
        if one.lacks_line:
            return Asked(slot, "line")
        if not one.value and not one.skipped:
            return Asked(slot, "value")
    return None


def whole_marks(what: ReadingOf, scale: SizeScale) -> tuple[str, ...]:
    """Return the marks that one tap picks: every letter, or every whole size of the gauge's scale."""
    if what == "breadth":
        return LETTERS
    first, last = math.ceil(scale.lowest), math.floor(scale.highest)
    return tuple(scale.format(Fraction(size)) for size in range(first, last + 1))


def quarter_marks(fields: Fields) -> tuple[Asked, dict[str, str]] | None:
    """Return what a second tap would still refine, and each mark it could become; None where nothing."""
    name, _, line = fields.get("open", "").partition(".")
    slot = SLOTS.get(name)
    if slot is None:
        return None
    one = entry(fields, slot)
    part: Part = "line" if line else "value"
    text = one.line if part == "line" else one.value
    if not text or not one.scale or one.scale in MILLIMETRES:
        return None
    if part == "value" and one.is_letter:
        position, _ = parse_letter(text)
        whole = Fraction(math.floor(position))
        return Asked(slot, part), {name: format_letter(whole + more) for name, more in QUARTERS.items()}
    scale = size_scale(one.scale)
    whole = Fraction(math.floor(scale.parse(text, quarters=True)))
    sizes = {name: whole + more for name, more in QUARTERS.items()}
    on_scale = {name: scale.format(size) for name, size in sizes.items() if size <= scale.highest}
    return Asked(slot, part), on_scale


def with_mark(fields: Fields, what: Asked, text: str, scale: str, *, whole: bool) -> dict[str, str]:
    """Return the draft with a mark or a line set; after a whole one its quarters are offered.

    A line stands beside a letter alone: without one nothing changes.
    """
    if what.part == "line" and not entry(fields, what.slot).is_letter:
        return dict(fields)
    name = what.slot.name if what.part == "value" else f"{what.slot.name}.line"
    changes: dict[str, str | None] = {name: text, "open": name if whole else None}
    if what.part == "value":
        changes |= {f"{what.slot.name}.scale": scale, f"{what.slot.name}.skipped": None}
    return changed(fields, changes)


def with_quarter(fields: Fields, quarter: str) -> dict[str, str] | None:
    """Return the draft with the quarter of the mark last tapped; None where none is offered."""
    offered = quarter_marks(fields)
    if offered is None or quarter not in offered[1]:
        return None
    what, marks = offered
    name = what.slot.name if what.part == "value" else f"{what.slot.name}.line"
    return changed(fields, {name: marks[quarter]})


def skipped(fields: Fields, slots: Iterator[Slot] | tuple[Slot, ...]) -> dict[str, str]:
    """Return the draft with readings left out: those that hold no mark are not asked again."""
    changes: dict[str, str | None] = {"open": None}
    changes |= {f"{slot.name}.skipped": "yes" for slot in slots if not fields.get(slot.name)}
    return changed(fields, changes)


def cleared(fields: Fields, slot: Slot) -> dict[str, str]:
    """Return the draft with all that is held of one reading taken out, to be asked again."""
    gone = [name for name in fields if name == slot.name or name.startswith(f"{slot.name}.")]
    return changed(fields, {**dict.fromkeys(gone), "open": None})


def changed(fields: Fields, changes: Mapping[str, str | None]) -> dict[str, str]:
    """Return the draft with fields set or, where None, taken out; `undone` takes this back."""
    before = {name: fields.get(name) for name, text in changes.items() if fields.get(name) != text}
    if not before:
        return dict(fields)
    kept = {name: text for name, text in fields.items() if name not in changes}
    kept |= {name: text for name, text in changes.items() if text is not None}
    taps = [*_taps(fields), before][-_UNDONE_AT_MOST:]
    return kept | {"undo": json.dumps(taps, separators=(",", ":"))}


def undone(fields: Fields) -> dict[str, str] | None:
    """Return the draft as it stood before the last tap; None where there is none to take back."""
    taps = _taps(fields)
    if not taps:
        return None
    *earlier, before = taps
    kept = {name: text for name, text in fields.items() if name not in before and name != "undo"}
    kept |= {name: text for name, text in before.items() if text is not None}
    return kept | ({"undo": json.dumps(earlier, separators=(",", ":"))} if earlier else {})


def _taps(fields: Fields) -> list[dict[str, str | None]]:
    return list(json.loads(fields.get("undo", "[]")))
