"""The records as CSV, one file a table, safe to open in a spreadsheet.

A text that a spreadsheet would take for a formula gets a guard, an apostrophe, before it; so does
one that starts with an apostrophe itself, and a text of no length where an empty cell means that
there is none. The guard is taken off when the file is read. Numbers stay numbers.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from typing import Any, Final

from sqlalchemy import Column, Table

from heelball.errors import Problem
from heelball.records.exchange.cells import Bundle, Cell, Kind, kind_of, table_of_columns

GUARD: Final = "'"
#: What starts a formula in one spreadsheet or another; the wide signs too, which some read as plain.
_FORMULA: Final = frozenset("=+-@\t\r\n" + "\uff1d\uff0b\uff0d\uff20" + GUARD)
_NEEDS_QUOTES: Final = re.compile(r'[",\r\n]|^\s|\s$')

#: A cell and what ends it. Possessive, so that a quote never closed costs no time to find.
_CELL: Final = re.compile(r'(?:"((?:[^"]++|"")*+)"|([^",\r\n]*+))(,|\r\n|\n|\r|\Z)')
_WHOLE: Final = re.compile(r"[+-]?\d{1,18}", re.ASCII)
_NUMBER: Final = re.compile(r"[+-]?(\d{1,400}\.?\d{0,400}|\.\d{1,400})([eE][+-]?\d{1,3})?", re.ASCII)
_FLAGS: Final = {"true": True, "false": False}


def to_csv(table: Table, bundle: Bundle) -> bytes:
    """Return one table as CSV, its header first."""
    columns = list(table.c)
    lines = [",".join(table.c.keys())]
    lines += [
        ",".join(_written(column, row[column.name]) for column in columns) for row in bundle.cells_of(table)
    ]
    return "".join(f"{line}\n" for line in lines).encode()


def _written(column: Column[Any], cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if not isinstance(cell, str):
        return repr(cell)
    if cell[:1] in _FORMULA if cell else column.nullable:
        cell = GUARD + cell
    return '"' + cell.replace('"', '""') + '"' if _NEEDS_QUOTES.search(cell) else cell


def table_of_header(text: str) -> Table | None:
    """Return the table whose export a CSV text is, by its header; None where it is another CSV."""
    try:
        return table_of_columns(next(_lines(text), []))
    except ValueError:
        return None


def from_csv(text: str, name: str, bundle: Bundle, problems: list[Problem]) -> None:
    """Add the rows of an exported table to a bundle; what is wrong is added to the problems."""
    table = table_of_header(text)
    if table is None:
        problems.append(Problem(f"{name}, line 1", "columns of no table", "an exported table"))
        return
    try:
        lines = _lines(text)
        header = next(lines)
        for number, cells in enumerate(lines, start=1):
            place = f"{name}, row {number}"
            if cells == [""]:
                continue
            if len(cells) != len(header):
                problems.append(Problem(place, f"{len(cells)} cells", f"{len(header)}, as in the header"))
                continue
            row = {
                column: _read(table.c[column], cell, place, problems)
                for column, cell in zip(header, cells, strict=True)
            }
            bundle.add(table.name, place, {column.name: row.get(column.name) for column in table.c})
    except ValueError as refused:
        problems.append(Problem(name, str(refused), "CSV as it was exported"))


def _read(column: Column[Any], cell: str, place: str, problems: list[Problem]) -> Cell:
    kind = kind_of(column)
    if not cell:
        return "" if kind == "text" and not column.nullable else None
    if kind in ("text", "json", "bytes"):
        return cell.removeprefix(GUARD)
    value = _plain(kind, cell.strip())
    if value is None:
        problems.append(Problem(f"{place}, column {column.name}", repr(cell[:60]), _WANTED[kind]))
    return value


def _plain(kind: Kind, cell: str) -> Cell:
    if kind == "flag":
        return _FLAGS.get(cell.lower())
    if kind == "whole":
        return int(cell) if _WHOLE.fullmatch(cell) else None
    number = float(cell) if _NUMBER.fullmatch(cell) else math.inf
    return number if math.isfinite(number) else None


_WANTED: Final[dict[Kind, str]] = {
    "whole": "a whole number",
    "number": "a number",
    "flag": "true or false",
}


def _lines(text: str) -> Iterator[list[str]]:
    """Yield the rows of a CSV text as their cells.

    Raises
    ------
    ValueError
        Where a quotation mark stands where none can.
    """
    # Not the csv module: its limit on a cell's length holds for the whole process.
    at = 0
    cells: list[str] = []
    while at < len(text) or cells:
        found = _CELL.match(text, at)
        if found is None:
            line = text.count("\n", 0, at) + 1
            raise ValueError(f"a quotation mark out of place in line {line}")
        quoted, bare, end = found.groups()
        cells.append(bare if quoted is None else quoted.replace('""', '"'))
        at = found.end()
        if end != ",":
            yield cells
            cells = []
