"""Taking the records out, all of them or one wearer's, as files that `records import` reads."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from sqlalchemy import Connection

from heelball.errors import MissingExtra
from heelball.records.exchange.export import Format, gather, gather_health, gather_wearer, write_export
from heelball.records.placing import refuse_present
from heelball.records.refused import NotFound
from heelball.records.store import open_records
from heelball.records.wearers import find_by_code


def export(
    where: str | Path | None,
    to: Path,
    *,
    format_: Format | None = None,
    wearer: str | None = None,
    health: bool = False,
    now: datetime,
) -> list[str]:
    """Write an export and return what to say of it.

    Parameters
    ----------
    where, now
        As for `open_records`.
    to
        A file for TOML, a folder for CSV and Parquet; nothing may be there yet.
    format_
        Which; None for TOML where the name ends so, else CSV.
    wearer
        The code of the one wearer who takes it away; None for everything.
    health
        Health answers that were consented to, and nothing else, instead of all but those.

    Raises
    ------
    NotFound
        Where nobody has that code.
    InputError, RecordsError, MissingExtra
        As for `write_export`.
    """
    refuse_present(to)
    chosen: Format = format_ or ("toml" if to.suffix.lower() == ".toml" else "csv")
    if chosen == "parquet":
        _need_polars()
    records = open_records(where, create=False, now=now)
    try:
        with records.reading() as conn:
            wearer_id = None if wearer is None else _id_of(conn, wearer)
            if health:
                tables, bundle = gather_health(conn, wearer_id)
            elif wearer_id is None:
                tables, bundle = gather(conn)
            else:
                tables, bundle = gather_wearer(conn, wearer_id)
    finally:
        records.close()
    write_export(to, chosen, tables, bundle)
    rows = sum(len(found) for found in bundle.rows.values())
    lines = [f"Exported {rows} rows to {to}."]
    if not health:
        lines.append("Health answers are not in it; --health writes them to a place of their own.")
    return lines


def _id_of(conn: Connection, code: str) -> str:
    kept = find_by_code(conn, code)
    if kept is None:
        raise NotFound(f"A wearer {code}")
    return kept.id


def _need_polars() -> None:
    try:
        import polars  # noqa: F401 - before anything is read
    except ImportError as missing:
        raise MissingExtra("polars", "batch") from missing
