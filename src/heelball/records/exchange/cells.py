"""What stands in one cell of an exported table, and the way back: nothing but plain values."""

from __future__ import annotations

import binascii
import json
from base64 import b64decode, b64encode
from collections.abc import Collection
from typing import Any, Final, Literal

from attrs import define, field
from sqlalchemy import JSON, Boolean, Column, Float, Integer, LargeBinary, Table

from heelball.errors import UnreadableText
from heelball.records.schema import EXPORTED, health_answers

Cell = str | int | float | bool | None
Kind = Literal["text", "whole", "number", "flag", "json", "bytes"]

#: Tables that may stand in an export: those of the records, or health alone.
TABLES: Final[dict[str, Table]] = {table.name: table for table in (*EXPORTED, health_answers)}

#: Columns that tables were given later: an export from before is read without them.
_LATER: Final = {"readings": {"sheet_id"}}

#: Larger than any whole number the records keep.
_MOST: Final = 2**63


@define
class Bundle:
    """Rows by table, as cells, each with the place it was read at.

    Attributes
    ----------
    rows
        Table name to (place, cells by column).
    """

    rows: dict[str, list[tuple[str, dict[str, Cell]]]] = field(factory=dict)

    def add(self, table: str, place: str, cells: dict[str, Cell]) -> None:
        """Add a row."""
        self.rows.setdefault(table, []).append((place, cells))

    def cells_of(self, table: Table) -> list[dict[str, Cell]]:
        """Return the rows of a table without their places."""
        return [cells for _place, cells in self.rows.get(table.name, ())]


def table_of_columns(names: Collection[str]) -> Table | None:
    """Return the table that has these columns, whatever their order; None where none has."""
    for table in TABLES.values():
        wanted = set(table.c.keys())
        if wanted - _LATER.get(table.name, set()) <= set(names) <= wanted:
            return table
    return None


def kind_of(column: Column[Any]) -> Kind:
    """Return what a column holds."""
    if isinstance(column.type, JSON):
        return "json"
    if isinstance(column.type, Boolean):
        return "flag"
    if isinstance(column.type, Integer):
        return "whole"
    if isinstance(column.type, LargeBinary):
        return "bytes"
    return "number" if isinstance(column.type, Float) else "text"


def to_cell(column: Column[Any], value: Any) -> Cell:
    """Return a kept value as it stands in a cell: JSON as its text, bytes in base64, all else as it is."""
    if isinstance(value, bytes):
        return b64encode(value).decode("ascii")
    if kind_of(column) != "json":
        return value  # type: ignore[no-any-return]
    if value is None and column.nullable:
        return None
    return _json_text(value)


def _json_text(value: Any) -> str:
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    # Half a pair of UTF-16 can stand in JSON as an escape, but in no file of UTF-8.
    return text if text.isprintable() or _is_utf8(text) else json.dumps(value, separators=(",", ":"))


def _is_utf8(text: str) -> bool:
    try:
        text.encode()
    except UnicodeEncodeError:
        return False
    return True


def from_cell(column: Column[Any], cell: object) -> Any:
    """Return the value that a cell stands for.

    Raises
    ------
    UnreadableText
        Where a cell is missing that must be there, or is not of the column's kind.
    """
    if cell is None:
        if not column.nullable:
            raise UnreadableText("nothing", _WANTED[kind_of(column)])
        return None
    return _READ[kind_of(column)](cell)


def _text(cell: object) -> str:
    if not isinstance(cell, str):
        raise UnreadableText(_shown(cell), _WANTED["text"])
    return cell


def _whole(cell: object) -> int:
    if isinstance(cell, bool) or not isinstance(cell, int) or abs(cell) >= _MOST:
        raise UnreadableText(_shown(cell), _WANTED["whole"])
    return cell


def _number(cell: object) -> float:
    if isinstance(cell, bool) or not isinstance(cell, int | float):
        raise UnreadableText(_shown(cell), _WANTED["number"])
    try:
        return float(cell)
    except OverflowError:
        raise UnreadableText("a number of too many digits", _WANTED["number"]) from None


def _flag(cell: object) -> bool:
    if not isinstance(cell, bool):
        raise UnreadableText(_shown(cell), _WANTED["flag"])
    return cell


def _json(cell: object) -> Any:
    try:
        return json.loads(_text(cell), parse_constant=_no_number)
    except (ValueError, RecursionError):
        raise UnreadableText(_shown(cell), _WANTED["json"]) from None


def _bytes(cell: object) -> bytes:
    try:
        return b64decode(_text(cell), validate=True)
    except (binascii.Error, ValueError):
        raise UnreadableText(_shown(cell), _WANTED["bytes"]) from None


def _no_number(name: str) -> Any:
    raise ValueError(name)


def _shown(cell: object) -> str:
    text = repr(cell) if isinstance(cell, str) else "a table" if isinstance(cell, dict) else str(cell)[:100]
    return text if len(text) <= 60 else text[:57] + "..."


_WANTED: Final[dict[Kind, str]] = {
    "text": "a text",
    "whole": "a whole number",
    "number": "a number",
    "flag": "true or false",
    "json": "JSON",
    "bytes": "a picture in base64",
}
_READ: Final = {
    "text": _text,
    "whole": _whole,
    "number": _number,
    "flag": _flag,
    "json": _json,
    "bytes": _bytes,
}
