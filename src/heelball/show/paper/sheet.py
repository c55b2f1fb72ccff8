"""What the sheets with a drawing have in common: their head, their tables, the plate beside them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date as Date
from typing import Any, Final

from heelball.show.lengths import Units
from heelball.show.paper.measures import MeasureRow
from heelball.show.paper.names import CODE, cut
from heelball.show.plate import REDUCTION, Plate

#: What stands under every plate.
_SCALE: Final = (
    "At 1 : 2 if the bar is 50 mm by a ruler laid on this paper; a bar alone proves nothing, for it shrinks"
    " with the print."
)
#: What stands there where the drawing leaves no room.
_NO_ROOM: Final = "At 1 : 2 the drawing of these feet leaves no room for words on this paper: it is left out."


def titled(title: str, whose: str, made: str) -> dict[str, Any]:
    """Return the head of a sheet."""
    return {"title": title, "whose": whose, "made": made}


def made_text(day: Date, fitter: str | None) -> str:
    """Return when a sheet was made and, where given, by whom."""
    return f"{day.isoformat()}, by {cut(fitter, CODE)}" if fitter else day.isoformat()


def listed(title: str, texts: Sequence[str]) -> dict[str, Any]:
    """Return sentences under a heading."""
    return {"kind": "list", "title": title, "texts": texts}


def table(
    title: str,
    head: Sequence[str],
    rows: Sequence[Sequence[str]],
    notes: Sequence[str],
    *,
    wide: Sequence[int],
) -> dict[str, Any]:
    """Return a ruled table with notes beneath; the columns `wide` share the room the others leave."""
    widths = ["wide" if column in wide else "narrow" for column in range(len(head))]
    return {"kind": "table", "title": title, "head": head, "rows": rows, "notes": notes, "widths": widths}


def measures_table(
    title: str, measures: Sequence[MeasureRow], notes: Sequence[str], units: Units
) -> dict[str, Any]:
    """Return each measure of both feet: as read, and in mm or inches with its ±."""
    head = ("", "left", units, "right", units)
    rows = [
        (row.measure, row.left.read, row.left.figure, row.right.read, row.right.figure) for row in measures
    ]
    return table(title, head, rows, notes, wide=(1, 3))


def plate_told(plate: Plate | None, note: str) -> dict[str, Any]:
    """Return the drawing as the template places it, in mm on paper."""
    if plate is None:
        return {"plate": None, "plate_notes": [note] if note else []}
    drawn = {
        "svg": plate.svg,
        "words": plate.words,
        "width": plate.width / REDUCTION,
        "height": plate.height / REDUCTION,
        "no_room": _NO_ROOM,
    }
    return {"plate": drawn, "plate_notes": [note, _SCALE]}
