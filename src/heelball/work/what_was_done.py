"""What was done to a thing and its parts, in words, and what of it can be taken back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any, Final

from attrs import frozen
from sqlalchemy import Connection

from heelball.errors import RecordsError
from heelball.records import changes
from heelball.records.values import Author, Change

#: A row by its table's name and its own.
Row = tuple[str, str]

#: What is told at most.
MOST_TOLD: Final = 12

_CALLED: Final = {
    "makers": "maker",
    "lasts": "last",
    "advice": "advice",
    "measured_pairs": "measured pair",
    "letters": "letter",
    "gauge_marks": "mark",
}
#: What a column is called, where its own name would not do in a sentence.
_COLUMNS: Final = {
    "maker_id": "maker",
    "label_scale": "scale of the labels",
    "width_scale": "scale of the widths",
    "reference_width": "width of a label without one",
    "heel_mm": "heel",
    "publishes_advice": "whether advice is published",
    "exchange_days": "days to exchange",
    "order_sizes": "sizes to order",
    "rows": "table",
    "on": "day",
    "inside_length_mm": "inside length",
    "flex_line_mm": "flex line",
    "ball_girth_mm": "girth",
    "sd_mm": "how sure",
    "measured_mm": "what the ruler said",
    "basis": "what it goes by",
    "sent_on": "day sent",
    "answered_on": "day answered",
}
_SILENT: Final = ("id", "version", "changed_at")


@frozen
class Done:
    """One change in words: what was done, when and by whom; whether it can be taken back now."""

    change_id: int
    said: str
    at: datetime
    fitter: str
    can_undo: bool


def history_of(conn: Connection, rows: Iterable[Row]) -> tuple[Done, ...]:
    """Return what was done to rows, the last first.

    Parameters
    ----------
    rows
        A thing's own row and those of its parts.
    """
    told: list[tuple[Change, bool]] = []
    all_rows = list(rows)
    for table_name, row_id in all_rows:
        # Only the last thing that was done to a row can be taken back: the others lie under it. What
        # was added stays as long as it has parts; parts themselves are withdrawn.
        for number, change in enumerate(changes.list_changes_of(conn, table_name, row_id)):
            alone = len(all_rows) == 1 or "withdrawn_at" in (change.after or {})
            bare = change.before is not None or alone
            told.append((change, number == 0 and bare and not change.undone))
    told.sort(key=lambda one: -one[0].id)
    return tuple(
        Done(change.id, said(change), datetime.fromisoformat(change.at), change.fitter, last)
        for change, last in told[:MOST_TOLD]
    )


def take_back(conn: Connection, change_id: int, rows: Iterable[Row], by: Author) -> Change:
    """Undo a change to one of `rows`.

    Raises
    ------
    RecordsError
        Where the change is none of theirs, was undone already, or was written over since.
    """
    change = changes.find_change(conn, change_id)
    if (change.table_name, change.row_id) not in set(rows):
        raise RecordsError("That change was made to something else.", "Go back and load the page again.")
    return changes.undo(conn, change_id, by=by)


def said(change: Change) -> str:
    """Return a change in words: ``Advice added``, ``Last changed: sizes, toe``."""
    called = _CALLED.get(change.table_name, "entry").capitalize()
    called += _which(change.table_name, change.after or change.before or {})
    if change.before is None:
        return f"{called} added"
    if change.after is None:
        return f"{called} removed"
    differing = _differing(change.before, change.after)
    if "withdrawn_at" in differing:
        return f"{called} withdrawn" if change.after["withdrawn_at"] else f"{called} counts again"
    if "retired" in differing:
        return f"{called} retired" if change.after["retired"] else f"{called} taken up again"
    if "state" in differing:
        state = str(change.after["state"])
        return f"{called} back to a draft" if state == "draft" else f"{called} marked as {state}"
    names = ", ".join(_COLUMNS.get(name, name.replace("_", " ")) for name in differing)
    return f"{called} changed: {names}" if names else f"{called} written again"


def _which(table_name: str, row: Mapping[str, Any]) -> str:
    """Return which of several rows of a table it was."""
    if table_name == "gauge_marks":
        return f" {row['what']} {row['mark']}"
    if table_name == "measured_pairs":
        return f" {row['size']} {row['width'] or ''}".rstrip()
    if table_name == "advice" and row["order_sizes"] is not None:
        return f" {row['order_sizes']} from the {row['basis']}"
    return ""


def _differing(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[str]:
    return [name for name, value in after.items() if name not in _SILENT and before.get(name) != value]
