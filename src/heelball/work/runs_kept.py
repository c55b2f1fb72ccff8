"""Runs learned from try-ons and kept in the records: what of them is in force.

What is kept holds lasts, makers and habits, and nothing of any wearer: it survives an erase, and
goes with every backup and export.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date as Date
from datetime import datetime
from typing import Any, Final

from attrs import frozen
from sqlalchemy import Connection

from heelball.fit.known_run import KnownRun
from heelball.last.values import Last
from heelball.records.runs_setting import RUNS, RUNS_AT
from heelball.records.settings import get_setting, set_setting
from heelball.records.store import Records
from heelball.work.runs_file import kept_runs
from heelball.work.runs_json import evidence_mark

#: What is not kept: it is about persons.
_ABOUT_PERSONS: Final = ("wearers", "doubtful")


@frozen(eq=False)
class RunsInForce:
    """Runs that answers are given by.

    Parameters
    ----------
    known
        By the last's code; lasts whose advice or measures changed since are left out.
    learned_on
        The day they were learned.
    try_ons
        How many they were learned from.
    changed
        Codes of lasts that changed since.
    """

    known: Mapping[str, KnownRun]
    learned_on: Date
    try_ons: int
    changed: tuple[str, ...]


def runs_stamp(conn: Connection) -> str:
    """Return a text that is another one once runs were learned anew."""
    return str(get_setting(conn, RUNS_AT, ""))


def runs_in_force(conn: Connection, lasts: Iterable[Last]) -> RunsInForce | None:
    """Return the learned runs of some lasts; None where none were ever learned.

    Raises
    ------
    InputError
        Where what is kept is not what was written.
    """
    kept = get_setting(conn, RUNS)
    if kept is None:
        return None
    asked = {last.code: last for last in lasts}
    # A thousand beliefs take longer to look through than a page may wait for one of them.
    runs = kept_runs(kept, "the learned runs", only=asked)
    known, changed = {}, []
    for last in asked.values():
        if last.code not in runs.known:
            continue
        if runs.marks.get(last.code) == evidence_mark(last):
            known[last.code] = runs.known[last.code]
        else:
            changed.append(last.code)
    learned_on = datetime.fromisoformat(str(get_setting(conn, RUNS_AT))).date()
    return RunsInForce(known, learned_on, int(kept["try_ons"]), tuple(changed))


def known_runs(conn: Connection, lasts: Iterable[Last]) -> Mapping[str, KnownRun] | None:
    """Return what `fit` needs of the learned runs of some lasts."""
    found = runs_in_force(conn, lasts)
    return None if found is None else found.known


def keep_runs(records: Records, record: Mapping[str, Any], try_ons: int, *, now: datetime) -> None:
    """Put learned runs in force, without anything about persons."""
    kept = {key: value for key, value in record.items() if key not in _ABOUT_PERSONS}
    with records.writing() as conn:
        set_setting(conn, RUNS, {**kept, "try_ons": try_ons})
        set_setting(conn, RUNS_AT, now.isoformat())
