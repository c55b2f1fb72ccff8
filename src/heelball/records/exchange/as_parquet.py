"""The records as Parquet, one file a table."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Table

from heelball.errors import MissingExtra, Problem
from heelball.records.exchange.cells import Bundle, Kind, kind_of, table_of_columns

MAGIC: Final = b"PAR1"

#: More rows than this are no fitter's records.
_MOST_ROWS: Final = 5_000_000


def to_parquet(table: Table, bundle: Bundle) -> bytes:
    """Return one table as Parquet.

    Raises
    ------
    MissingExtra
        Where polars is not installed.
    """
    polars = _polars()
    rows = bundle.cells_of(table)
    kinds = _kinds(polars)
    frame = polars.DataFrame(
        {column.name: [row[column.name] for row in rows] for column in table.c},
        schema={column.name: kinds[kind_of(column)] for column in table.c},
    )
    file = BytesIO()
    frame.write_parquet(file, compression="zstd")
    return file.getvalue()


def from_parquet(path: Path, name: str, bundle: Bundle, problems: list[Problem]) -> None:
    """Add the rows of an exported table to a bundle; what is wrong is added to the problems.

    Raises
    ------
    MissingExtra
        Where polars is not installed.
    """
    polars = _polars()
    try:
        schema = polars.read_parquet_schema(path)
        table = table_of_columns(schema)
        if table is None:
            problems.append(Problem(name, "columns of no table", "an exported table"))
            return
        kinds = _kinds(polars)
        before = len(problems)
        problems += [
            Problem(f"{name}, column {column.name}", str(schema[column.name]), str(kinds[kind_of(column)]))
            for column in table.c
            if column.name in schema and schema[column.name] != kinds[kind_of(column)]
        ]
        count = polars.scan_parquet(path).select(polars.len()).collect().item()
        if count > _MOST_ROWS:
            problems.append(Problem(name, f"{count} rows", f"at most {_MOST_ROWS}"))
        if len(problems) > before:
            return
        rows = polars.read_parquet(
            path, columns=[column.name for column in table.c if column.name in schema]
        ).to_dicts()
    except polars.exceptions.PanicException:
        # Raised past every `except Exception`: what it was given is no Parquet at all.
        problems.append(Problem(name, "damaged Parquet", "a Parquet file as it was exported"))
        return
    except (polars.exceptions.PolarsError, OSError) as refused:
        said = str(refused).strip().splitlines()[0][:200] if str(refused).strip() else "unreadable"
        problems.append(Problem(name, f"damaged Parquet: {said}", "a Parquet file as it was exported"))
        return
    for number, row in enumerate(rows, start=1):
        bundle.add(table.name, f"{name}, row {number}", row)


def _polars() -> Any:
    try:
        import polars
    except ImportError as missing:
        raise MissingExtra("polars", "batch") from missing
    return polars


def _kinds(polars: Any) -> dict[Kind, Any]:
    return {
        "text": polars.String(),
        "json": polars.String(),
        "bytes": polars.String(),
        "whole": polars.Int64(),
        "number": polars.Float64(),
        "flag": polars.Boolean(),
    }
