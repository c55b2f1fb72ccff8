"""The rows of ``size_scales.csv``: what standards, handbooks and charts print, each with its source.

A check runs once for `each` of its rows, which keeps count of them, so that `test_every_row.py`
can say which printed figure no check has looked at. Rows of kind ``conflict`` disagree with the
others on purpose and are never given out.
"""

from __future__ import annotations

import csv
from fractions import Fraction
from pathlib import Path
from typing import Final

import pytest
from attrs import frozen

#: Millimetres in one of each unit that the rows are printed in.
_MM: Final = {"mm": Fraction(1), "cm": Fraction(10), "in": Fraction("25.4")}


@frozen
class Row:
    """One printed figure: under `input`, the source gives `output`, within `tolerance`."""

    line: int
    kind: str
    scale: str
    population: str
    input_name: str
    input_value: str
    input_unit: str
    output_name: str
    output_value: str
    output_unit: str
    tolerance: Fraction
    source: str
    source_seen: str

    @property
    def given(self) -> Fraction:
        """The input as a number, in mm where it is a length."""
        return Fraction(self.input_value) * _MM.get(self.input_unit, 1)

    @property
    def printed(self) -> Fraction:
        """The output as a number, in mm where it is a length."""
        return Fraction(self.output_value) * _MM.get(self.output_unit, 1)

    def agrees(self, ours: Fraction) -> bool:
        """Whether our figure (in mm where it is a length) is within the row's tolerance."""
        # Four decimals are printed of a third or a twelfth of an inch.
        rounding = Fraction(1, 20_000) if self.output_unit == "in" else Fraction(0)
        return abs(ours - self.printed) <= (self.tolerance + rounding) * _MM.get(self.output_unit, 1)

    def __str__(self) -> str:
        return f"{self.population}-{self.input_name}-{self.input_value}-{self.output_name}".replace(" ", "_")


def _read() -> tuple[Row, ...]:
    with Path(__file__).with_name("size_scales.csv").open(encoding="utf-8", newline="") as file:
        rows = []
        for line, printed in enumerate(csv.DictReader(file), start=2):
            printed.pop("note")
            rows.append(Row(line=line, tolerance=Fraction(printed.pop("tolerance") or 0), **printed))
        return tuple(rows)


ROWS: Final = _read()
_looked_at: set[int] = set()


def printed(scale: str, *, kind: str = "table", seen: str = "yes", of: str = "") -> list[Row]:
    """Return the rows of a scale.

    Parameters
    ----------
    scale, kind, seen
        As in the columns.
    of
        The output's name, where a check is about one quantity of several.
    """
    assert kind != "conflict", "rows that disagree on purpose are never expected values"
    rows = [
        row
        for row in ROWS
        if (row.scale, row.kind, row.source_seen) == (scale, kind, seen) and of in ("", row.output_name)
    ]
    assert rows, f"no rows: {scale}, {kind}, {seen}, {of}"
    return rows


def each(rows: list[Row]) -> pytest.MarkDecorator:
    """Run a test once for each row, and count the rows as looked at."""
    _looked_at.update(row.line for row in rows)
    return pytest.mark.parametrize("row", rows, ids=str)


def looked_at() -> frozenset[int]:
    """Return the lines of the file that checks run on."""
    return frozenset(_looked_at)
