"""Bringing files into the records: exports, and what a person wrote of wearers and lasts."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import nullcontext
from datetime import datetime
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, select

from heelball.errors import InputError, Problem
from heelball.records.alone import alone
from heelball.records.exchange.cells import Bundle
from heelball.records.exchange.merging import Merged, ids_in, merge
from heelball.records.ledger import Ledger, kept_entries
from heelball.records.schema import lasts, wearers
from heelball.records.soundness import astray
from heelball.records.store import open_records
from heelball.records.values import Author
from heelball.records.where import data_folder
from heelball.work.records_check import unread
from heelball.work.records_files import sort_out
from heelball.work.records_lasts import bring_last
from heelball.work.records_people import People, bring_people

#: Records that were put back on a new machine have a ledger and no key.
_NO_KEY: Final = (
    "The key of the ledger of erasures is not here, so nobody could tell whether someone of these was erased."
)

#: So many problems are told; whoever mends those first sees the rest.
_TOLD: Final = 200


def bring_in(where: str | Path | None, paths: Sequence[Path], *, now: datetime) -> list[str]:
    """Bring files into the records, all of them or nothing, and return what to say of it.

    Parameters
    ----------
    where, now
        As for `open_records`; records are made where there are none.
    paths
        Files, and folders of them: exports, wearer files, readings CSVs, last files.

    Raises
    ------
    InputError
        With every problem found: what cannot be read, and what says something else than the
        records. Nothing is written then.
    RecordsError
        Where the records cannot be opened or written.
    """
    problems: list[Problem] = []
    brought = sort_out(paths, problems)
    _refuse(problems)
    by = Author("", now)
    records = open_records(where, now=now)
    folder = records.folder or data_folder()
    try:
        with alone(folder) if records.folder else nullcontext(), records.writing() as conn:
            merged = _merge(conn, brought.bundle, Ledger(folder))
            made = [bring_last(conn, path, problems, by=by) for path in brought.lasts]
            _refuse(problems)
            people = bring_people(conn, brought.wearers, problems, by=by)
            _refuse(problems)
            _look_over(conn, brought.bundle, people)
    finally:
        records.close()
    return _told(merged, sum(one is not None for one in made), people)


def _refuse(problems: list[Problem]) -> None:
    if problems:
        more = len(problems) - _TOLD
        rest = [Problem("and more", f"{more} further problems", "these mended first")] if more > 0 else []
        raise InputError([*problems[:_TOLD], *rest])


def _merge(conn: Connection, bundle: Bundle, ledger: Ledger) -> Merged:
    if not bundle.rows:
        return Merged()
    entries = {**kept_entries(conn), **ledger.entries()}
    if entries and not ledger.has_key:
        merged = merge(conn, bundle, erased={})
        merged.remarks.append(_NO_KEY)
        return merged
    return merge(conn, bundle, erased=ledger.erased_among(ids_in(bundle), entries))


def _look_over(conn: Connection, bundle: Bundle, people: People) -> None:
    """Refuse what can be kept but not be read again."""
    if not bundle.rows and not people.ids:
        return
    found = list(astray(conn)) if bundle.rows else []
    ids = {
        table: {str(cells["id"]) for cells in bundle.cells_of(table) if cells.get("id")}
        & set(conn.execute(select(table.c.id)).scalars())
        for table in (wearers, lasts)
    }
    found += unread(conn, wearer_ids=ids[wearers] | people.ids, last_ids=ids[lasts])
    _refuse([_problem(one) for one in found])


def _problem(sentence: str) -> Problem:
    place, _, rest = sentence.partition(": ")
    said, _, wanted = rest.partition("; wanted ")
    return Problem(place, said, wanted or "what the bench can read")


def _told(merged: Merged, made: int, people: People) -> list[str]:
    lines = [f"{count} rows of {table} brought in." for table, count in merged.added.items()]
    if merged.there:
        lines.append(f"{merged.there} rows were there already.")
    lines += [f"{one}, and was left out." for one in merged.left_out]
    for count, one, many in (
        (made, "last", "lasts"),
        (people.wearers, "wearer", "wearers"),
        (people.readings, "reading", "readings"),
        (people.pairs, "pair", "pairs"),
    ):
        if count:
            lines.append(f"{count} {one if count == 1 else many} brought in.")
    return [*(lines or ["Everything was there already."]), *merged.remarks, *people.remarks]
