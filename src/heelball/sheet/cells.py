"""What a marker looks like: its dark cells, without asking OpenCV, which printing does not need."""

from __future__ import annotations

from typing import Final

from heelball.package_data import sheet_markers

#: Cells along a side: 5 that differ, and a dark one at either end.
CELLS: Final = 7


def dark_cells(number: int) -> tuple[tuple[int, int], ...]:
    """Return (column, row) of each dark cell of a marker, from its top left.

    Parameters
    ----------
    number
        Its number in the dictionary (`heelball.sheet.marking`).
    """
    inner = CELLS - 2
    pattern = sheet_markers()[number]
    dark = []
    for row in range(CELLS):
        for column in range(CELLS):
            within = 0 < row <= inner and 0 < column <= inner
            place = (inner - row) * inner + inner - column
            if not (within and pattern >> place & 1):
                dark.append((column, row))
    return tuple(dark)
