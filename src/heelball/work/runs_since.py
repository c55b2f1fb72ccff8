"""Try-ons told since runs were learned: heard at once by the last they are of (MODEL 9).

Each counts in its last alone, the wearer as the readings say; what they teach of others, of the maker
and of the wearer's taste waits until all try-ons are learned from again.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from attrs import frozen
from sqlalchemy import Connection

from heelball.fit.known_run import KnownRun
from heelball.records.runs_setting import RUNS_AT, keep_since, since_kept, there_of
from heelball.records.settings import get_setting
from heelball.records.try_ons import first_written
from heelball.work.runs_file import read_belief
from heelball.work.runs_json import belief_record


@frozen(eq=False)
class HeardSince:
    """One last's run with what was told since.

    Parameters
    ----------
    known
        The run.
    try_ons
        The reports told since: their versions, by the rows' names.
    wearers
        Whose they are.
    evidence
        The last's `evidence_mark` then.
    """

    known: KnownRun
    try_ons: Mapping[str, int]
    wearers: frozenset[str | None]
    evidence: str


def since_learned(conn: Connection) -> dict[str, HeardSince]:
    """Return the lasts that were tried on since runs were learned, by code.

    One of whose reports was changed, taken out or brought back behind its back is left out: what
    was learned stands then.
    """
    kept = since_kept(conn)
    ids = [id for one in kept.values() for id in one["try_ons"]]
    if not ids:
        return {}
    there = there_of(conn, ids)
    found = {}
    for code, one in kept.items():
        told = one["try_ons"]
        belief = read_belief(one.get("belief"))
        if belief is None or any(there.get(id, (None,))[0] != version for id, version in told.items()):
            continue
        whose = frozenset(there[id][1] for id in told)
        known = KnownRun(belief, one["pairs"])
        found[code] = HeardSince(known, told, whose, str(one.get("evidence")))
    return found


def told_since(conn: Connection, last_id: str | None = None) -> frozenset[str]:
    """Return the try-ons first written down since runs were learned, by the rows' names.

    Those that an import brought in with an earlier day are not among them: they wait to be learned from.
    """
    learned_at = get_setting(conn, RUNS_AT)
    if learned_at is None:
        return frozenset()
    since = datetime.fromisoformat(str(learned_at))
    return frozenset(id for id, at in first_written(conn, last_id).items() if at > since)


def put_since(conn: Connection, code: str, heard: HeardSince) -> None:
    """Put one last's run in force, with the try-ons it heard since runs were learned."""
    entry = {
        "pairs": heard.known.pairs,
        "try_ons": dict(heard.try_ons),
        "evidence": heard.evidence,
        "belief": belief_record(heard.known.belief),
    }
    keep_since(conn, {**since_kept(conn), code: entry})


def drop_since(conn: Connection, code: str) -> None:
    """Let one last go back to what was learned."""
    kept = since_kept(conn)
    if kept.pop(code, None) is not None:
        keep_since(conn, kept)
