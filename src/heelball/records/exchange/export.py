"""An export: everything, or what one wearer takes away, gathered in one moment and put in place whole."""

from __future__ import annotations

import os
from collections.abc import Collection, Sequence
from pathlib import Path
from typing import Any, Final, Literal

from sqlalchemy import Connection, Table, select

from heelball.errors import RecordsError
from heelball.records.exchange.as_csv import to_csv
from heelball.records.exchange.as_parquet import to_parquet
from heelball.records.exchange.as_toml import to_toml
from heelball.records.exchange.cells import Bundle, to_cell
from heelball.records.found import rows_of
from heelball.records.placing import (
    clear,
    in_words,
    make_folder,
    part_of,
    put_in_place,
    refuse_present,
    sync_folder,
)
from heelball.records.schema import (
    EXPORTED,
    changes,
    health_answers,
    lasts,
    makers,
    pairs,
    readings,
    sheets,
    sittings,
    try_ons,
    wearers,
)

Format = Literal["toml", "csv", "parquet"]
FORMATS: Final[tuple[Format, ...]] = ("toml", "csv", "parquet")

#: What a wearer takes away: what is the wearer's, and which lasts it speaks of.
TAKEN: Final = (makers, lasts, wearers, sittings, sheets, readings, pairs, try_ons, changes)

#: What a fitter notes of makers and lasts is not the wearer's.
FITTERS_OWN: Final = {makers: ("address", "note"), lasts: ("note",)}


def gather(conn: Connection) -> tuple[Sequence[Table], Bundle]:
    """Return everything but health, by table, rows by their primary keys."""
    return EXPORTED, _bundle({table: rows_of(conn, select(table)) for table in EXPORTED})


def gather_wearer(conn: Connection, wearer_id: str) -> tuple[Sequence[Table], Bundle]:
    """Return what one wearer takes away, health left out."""
    own: dict[Table, list[dict[str, Any]]] = {
        wearers: rows_of(conn, select(wearers).where(wearers.c.id == wearer_id)),
        **{
            table: rows_of(conn, select(table).where(table.c.wearer_id == wearer_id))
            for table in (sittings, sheets, readings, pairs, try_ons, changes)
        },
    }
    worn = {row["last_id"] for table in (pairs, try_ons) for row in own[table]}
    own[lasts] = _named(conn, lasts, worn)
    own[makers] = _named(conn, makers, {row["maker_id"] for row in own[lasts]})
    for table, names in FITTERS_OWN.items():
        own[table] = [{**row, **dict.fromkeys(names, "")} for row in own[table]]
    return TAKEN, _bundle({table: own[table] for table in TAKEN})


def gather_health(conn: Connection, wearer_id: str | None) -> tuple[Sequence[Table], Bundle]:
    """Return the health answers that were consented to, and nothing else: of one wearer, or of all."""
    query = select(health_answers).where(health_answers.c.consented_at != "")
    if wearer_id is not None:
        query = query.where(health_answers.c.wearer_id == wearer_id)
    return (health_answers,), _bundle({health_answers: rows_of(conn, query)})


def _named(conn: Connection, table: Table, ids: Collection[str]) -> list[dict[str, Any]]:
    return rows_of(conn, select(table).where(table.c.id.in_(sorted(ids))))


def _bundle(found: dict[Table, list[dict[str, Any]]]) -> Bundle:
    bundle = Bundle()
    for table, rows in found.items():
        # By Python's order of texts: two databases sort them differently.
        keys = [column.name for column in table.primary_key.columns]
        for row in sorted(rows, key=lambda row, keys=keys: [row[key] for key in keys]):  # type: ignore[misc]
            cells = {column.name: _cell(column, row[column.name]) for column in table.c}
            bundle.add(table.name, "", cells)
    return bundle


def _cell(column: Any, value: Any) -> Any:
    try:
        return to_cell(column, value)
    except ValueError as refused:
        raise RecordsError(
            f"What is kept in {column.table.name}, {column.name} is no JSON: {refused}.",
            "Look with: heelball records check",
        ) from refused


def write_export(path: Path, format_: Format, tables: Sequence[Table], bundle: Bundle) -> None:
    """Write an export under another name, for this user alone, and give it its name when it is whole.

    Parameters
    ----------
    path
        The file for TOML, the folder for CSV and Parquet; nothing may be there yet.
    format_
        Which.
    tables, bundle
        From one of the gathering functions.

    Raises
    ------
    InputError
        Where something of that name is there.
    RecordsError
        Where it cannot be written.
    MissingExtra
        For Parquet without polars.
    """
    path = path.absolute()
    refuse_present(path)
    part = part_of(path)
    with in_words(f"The export {path}"):
        make_folder(path.parent)
        clear(part)
        try:
            if format_ == "toml":
                _write(part, to_toml(tables, bundle))
            else:
                part.mkdir(0o700)
                for table in tables:
                    content = to_csv(table, bundle) if format_ == "csv" else to_parquet(table, bundle)
                    _write(part / f"{table.name}.{format_}", content)
                sync_folder(part)
            put_in_place(part, path)
        finally:
            clear(part)


def _write(path: Path, content: bytes) -> None:
    handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
