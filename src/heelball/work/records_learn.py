"""The use case behind ``heelball records learn``: every try-on in the records, and how lasts run by them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from pathlib import Path

from attrs import frozen
from sqlalchemy import Connection

from heelball.errors import InputError
from heelball.fit.wearer import Wearer
from heelball.foot.evidence import is_child
from heelball.learn.against_advice import disagreements
from heelball.learn.learning import learn
from heelball.records.lasts import list_lasts
from heelball.records.store import open_records
from heelball.records.try_ons import first_written, list_try_ons
from heelball.records.values import KeptWearer
from heelball.records.wearers import list_wearers
from heelball.show.runs_note import runs_note
from heelball.work.figures_json import json_line
from heelball.work.hear_at_once import hear_at_once
from heelball.work.kept_core import kept_core
from heelball.work.lasts_on_hand import readable
from heelball.work.new_file import check_folder, write_new
from heelball.work.pairs_told import as_heard
from heelball.work.runs_json import runs_record
from heelball.work.runs_kept import keep_runs
from heelball.work.runs_since import told_since
from heelball.work.told import Told


@frozen(eq=False)
class LearnedHere:
    """What is printed of what was learned from the records, and remarks beside it."""

    told: Told
    remarks: tuple[str, ...]


def learn_here(where: str | None, *, now: datetime, out: Path | None = None) -> LearnedHere:
    """Learn from every try-on in the records, and keep how lasts run.

    Parameters
    ----------
    where
        The records, as for `open_records`.
    now
        The time.
    out
        Where to write the runs too, for `choose --runs`.

    Raises
    ------
    InputError
        Where there is no try-on to learn from, or the file cannot be written; nothing is kept then.
    RecordsError
        As for `open_records`.
    """
    if out is not None:
        check_folder(out, "--out")
    records = open_records(where, create=False, now=now)
    with records.reading() as conn:
        lasts, wrong = readable(list_lasts(conn))
        people = list_wearers(conn)
        found = _wearers(conn, people, wrong)
        kept = list_try_ons(conn)
        # What is read here may have been told after the command began, and is not told since.
        learned_at = max([now, *first_written(conn).values()])
        names = {one.id: one.code for one in list_lasts(conn)}
    by_code = {last.code: last for last in lasts}
    wearers = {code: one for code, one in found.items() if not is_child(one.readings)}
    codes = {one.id: one.code for one in people if one.code in wearers}
    unheard = {one.id for one in people if one.code not in wearers}
    told = [
        one
        for row in kept
        if row.wearer_id not in unheard
        and (last := by_code.get(names.get(row.last_id, ""))) is not None
        # Of someone erased nothing leads anywhere: each such report is somebody never measured.
        and (one := as_heard(row, last, codes.get(row.wearer_id or "", f"erased {row.id}"))) is not None
    ]
    if not told:
        raise InputError.at("the records", "no try-on that tells of a place", "at least one to learn from")
    runs = learn(lasts, wearers, told)
    record = runs_record(runs, by_code)
    if out is not None:
        write_new(out, json_line(record) + "\n", "--out")
    with records.writing() as conn:
        keep_runs(conn, record, len(told), learned_at=learned_at)
        meanwhile = told_since(conn)
        for last_id in {row.last_id for row in list_try_ons(conn) if row.id in meanwhile}:
            hear_at_once(conn, last_id)
    left = len(kept) - len(told)
    remarks = list(wrong)
    if left:
        remarks.append(
            f"{left} of {len(kept)} try-ons left out: a child's, of no place, or of a label not there now."
        )
    lines = runs_note(runs, by_code, disagreements(runs), len(told))
    return LearnedHere(Told(tuple(lines), needs_care=False), tuple(remarks))


def _wearers(conn: Connection, people: Iterable[KeptWearer], wrong: list[str]) -> dict[str, Wearer]:
    """Return wearers by code, and a sentence for each that cannot be read."""
    found = {}
    for one in people:
        try:
            found[one.code] = kept_core(conn, one.id)
        except InputError as refused:
            wrong.append(f"What {one.code} told is left out: {refused.problems[0]}.")
    return found
