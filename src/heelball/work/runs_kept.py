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
from heelball.learn.one_more import belief_of
from heelball.records.runs_setting import RUNS, RUNS_AT, keep_since
from heelball.records.settings import get_setting, set_setting
from heelball.work.runs_file import kept_runs
from heelball.work.runs_json import evidence_mark
from heelball.work.runs_since import since_learned

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
    since
        The try-ons told since of each last, by the rows' names: those are heard in `known` too.
    """

    known: Mapping[str, KnownRun]
    learned_on: Date
    try_ons: int
    changed: tuple[str, ...]
    since: Mapping[str, tuple[str, ...]]


def runs_stamp(conn: Connection) -> str:
    """Return a text that is another one once runs were learned anew, or a try-on was told since."""
    heard = {code: dict(one.try_ons) for code, one in since_learned(conn).items()}
    return f"{get_setting(conn, RUNS_AT, '')} {heard}"


def runs_in_force(
    conn: Connection, lasts: Iterable[Last], *, judged: str | None = None
) -> RunsInForce | None:
    """Return the learned runs of some lasts; None where none were ever learned.

    Parameters
    ----------
    judged
        A wearer whose words are heard beside the runs: what that wearer told since is left out of them.

    Raises
    ------
    InputError
        Where what is kept is not what was written.
    """
    kept = get_setting(conn, RUNS)
    if kept is None:
        return None
    asked = {last.code: last for last in lasts}
    known, changed = _as_learned(kept, asked)
    since = {
        code: one
        for code, one in since_learned(conn).items()
        if code in asked and one.evidence == evidence_mark(asked[code])
    }
    known |= {code: one.known for code, one in since.items() if judged not in one.wearers}
    learned_on = datetime.fromisoformat(str(get_setting(conn, RUNS_AT))).date()
    told = {code: tuple(one.try_ons) for code, one in since.items()}
    return RunsInForce(known, learned_on, int(kept["try_ons"]), changed, told)


def _as_learned(kept: Any, asked: Mapping[str, Last]) -> tuple[dict[str, KnownRun], tuple[str, ...]]:
    """Return the runs of some lasts as they were learned, and the codes of those that changed since."""
    # A thousand beliefs take longer to look through than a page may wait for one of them.
    runs = kept_runs(kept, "the learned runs", only=asked)
    as_they_are = {code for code in runs.known if runs.marks[code] == evidence_mark(asked[code])}
    changed = tuple(code for code in asked if code in runs.known and code not in as_they_are)
    return {code: run for code, run in runs.known.items() if code in as_they_are}, changed


def known_runs(conn: Connection, lasts: Iterable[Last]) -> Mapping[str, KnownRun] | None:
    """Return what `fit` needs of the learned runs of some lasts."""
    found = runs_in_force(conn, lasts)
    return None if found is None else found.known


def learned_run(conn: Connection, last: Last) -> KnownRun | None:
    """Return what one last's run was when runs were learned, what was told since left out.

    Returns
    -------
    KnownRun or None
        Its own evidence where it was not there then; None where no runs were learned, or it changed
        since and waits to be learned again.

    Raises
    ------
    InputError
        Where what is kept is not what was written.
    """
    kept = get_setting(conn, RUNS)
    if kept is None:
        return None
    known, changed = _as_learned(kept, {last.code: last})
    return None if changed else known.get(last.code) or KnownRun(belief_of(last), 0)


def keep_runs(conn: Connection, record: Mapping[str, Any], try_ons: int, *, learned_at: datetime) -> None:
    """Put learned runs in force, without anything about persons; none has heard anything since."""
    kept = {key: value for key, value in record.items() if key not in _ABOUT_PERSONS}
    set_setting(conn, RUNS, {**kept, "try_ons": try_ons})
    set_setting(conn, RUNS_AT, learned_at.isoformat())
    keep_since(conn, {})
