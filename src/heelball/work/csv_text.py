"""Rows for a spreadsheet: numbers stay numbers, and no text opens as a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from typing import Final

#: What starts a formula in one spreadsheet or another, wide signs too; and the guard itself.
_FORMULA: Final = frozenset("=+-@\t\r\n'" + "\uff1d\uff0b\uff0d\uff20")


def csv_text(header: Sequence[str], rows: Iterable[Sequence[str | float | None]]) -> str:
    """Return rows as CSV, header first.

    Parameters
    ----------
    header
        Names of the columns.
    rows
        Their cells; None is an empty one. A text that a spreadsheet would take for a formula gets
        an apostrophe before it.

    Examples
    --------
    >>> print(csv_text(["what", "mm"], [["=1+2", 199.0], ["ball", None]]), end="")
    what,mm
    '=1+2,199.0
    ball,
    """
    text = io.StringIO()
    sheet = csv.writer(text, lineterminator="\n")
    sheet.writerow(header)
    sheet.writerows([_guarded(cell) for cell in row] for row in rows)
    return text.getvalue()


def _guarded(cell: str | float | None) -> str | float | None:
    return f"'{cell}" if isinstance(cell, str) and cell[:1] in _FORMULA else cell
