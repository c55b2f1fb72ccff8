"""The table beneath a drawing: the same figures, as text in ruled rows."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from heelball.show.figures import DrawnFigure
from heelball.show.svg import line, text

#: From one row to the next [mm].
ROW: Final = 7.6

#: The least width that holds every row [mm].
LEDGER_WIDTH: Final = 248.0

# Columns by where they start, or where they end for figures [mm].
_COLUMNS: Final = (
    ("foot", 0.0, ""),
    ("place", 18.0, ""),
    ("boot, mm", 66.0, " end"),
    ("foot, mm", 94.0, " end"),
    ("difference", 128.0, " end"),
    ("in words", 136.0, ""),
)


def ledger(rows: Sequence[DrawnFigure], left: float, top: float, width: float) -> list[str]:
    """Set the rows as a ruled table.

    Parameters
    ----------
    rows
        The figures, in the order they are to stand.
    left, top, width
        Where on the page the table begins, and how wide its rules run [mm].

    Returns
    -------
    list of str
        Elements; the table is ``ROW * (len(rows) + 1)`` high.
    """
    elements = []
    for column, start, side in _COLUMNS:
        elements.append(text(f"entry head{side}", (left + start, top + 0.7 * ROW), column))
    for count, row in enumerate(rows, start=1):
        rule = top + count * ROW
        new_foot = count == 1 or row.foot != rows[count - 2].foot
        elements.append(line("rule" if new_foot else "faint-rule", (left, rule), (left + width, rule)))
        entries = (
            row.foot,
            row.place,
            f"{row.of_boot:.1f}",
            f"{row.of_foot:.1f}",
            signed(row.difference),
            row.words,
        )
        elements += [
            text(f"entry{side}", (left + start, rule + 0.7 * ROW), entry)
            for (_, start, side), entry in zip(_COLUMNS, entries, strict=True)
        ]
    bottom = top + (len(rows) + 1) * ROW
    return [*elements, line("rule", (left, bottom), (left + width, bottom))]


def signed(difference: float) -> str:
    """Write a difference to 0.1 mm with its sign.

    Examples
    --------
    >>> signed(2.04), signed(-0.75), signed(-0.01)
    ('+2.0', '−0.8', '0.0')
    """
    amount = f"{abs(difference):.1f}"
    if amount == "0.0":
        return amount
    return f"{'+' if difference > 0 else '−'}{amount}"
