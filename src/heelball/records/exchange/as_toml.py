"""The records as one TOML file: a table of arrays for each table, a field left out where it is null."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from typing import Any, Final

import tomli_w
from sqlalchemy import Table

from heelball.errors import Problem
from heelball.records.exchange.cells import TABLES, Bundle, Cell

SCHEMA: Final = "heelball/records/1"


def to_toml(tables: Sequence[Table], bundle: Bundle) -> bytes:
    """Return an export as TOML."""
    document: dict[str, Any] = {"schema": SCHEMA}
    for table in tables:
        rows = [_without_null(row) for row in bundle.cells_of(table)]
        if rows:
            document[table.name] = rows
    return tomli_w.dumps(document).encode()


def _without_null(row: Mapping[str, Cell]) -> dict[str, Cell]:
    return {name: cell for name, cell in row.items() if cell is not None}


def from_toml(text: str, name: str, bundle: Bundle, problems: list[Problem]) -> None:
    """Add the rows of an export in TOML to a bundle; what is wrong is added to the problems."""
    try:
        document = tomllib.loads(text)
    except (ValueError, RecursionError) as refused:
        problems.append(Problem(name, f"not TOML: {refused}", "a TOML file"))
        return
    if document.pop("schema", None) != SCHEMA:
        problems.append(Problem(f"{name}, schema", "another schema", f'schema = "{SCHEMA}"'))
        return
    for table, rows in document.items():
        if table not in TABLES:
            problems.append(Problem(name, f"an unknown table {table[:60]!r}", f"one of {', '.join(TABLES)}"))
        elif not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            problems.append(Problem(f"{name}, {table}", "no list of tables", f"tables [[{table}]]"))
        else:
            _add_rows(TABLES[table], rows, name, bundle, problems)


def _add_rows(
    table: Table, rows: list[dict[str, Any]], name: str, bundle: Bundle, problems: list[Problem]
) -> None:
    for number, row in enumerate(rows, start=1):
        place = f"{name}, {table.name} {number}"
        unknown = [field for field in row if field not in table.c]
        problems += [
            Problem(place, f"an unknown field {field[:60]!r}", "a column of the table") for field in unknown
        ]
        if not unknown:
            bundle.add(table.name, place, row)
