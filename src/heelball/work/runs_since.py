"""Try-ons told since runs were learned: heard at once by the last they are of (MODEL 9).

Each counts in its last alone, the wearer as the readings say; what they teach of others, of the maker
and of the wearer's taste waits until all try-ons are learned from again.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from attrs import frozen
from sqlalchemy import Connection, select

from heelball.fit.known_run import KnownRun
from heelball.last.values import Last
from heelball.records.runs_setting import keep_since, since_kept
from heelball.records.schema import try_ons
from heelball.records.values import TryOn
from heelball.work.runs_file import read_belief
from heelball.work.runs_json import belief_record, evidence_mark

#: Names asked for in one query.
_AT_ONCE: Final = 500


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

    def goes_on(self, last: Last, told: TryOn) -> bool:
        """Return whether one more report can be heard after these, as it would be among them.

        Two of one wearer share that wearer's foot, and are heard together or not rightly.
        """
        return self.evidence == evidence_mark(last) and told.wearer_id not in self.wearers


def since_learned(conn: Connection) -> dict[str, HeardSince]:
    """Return the lasts that were tried on since runs were learned, by code.

    One of whose reports was changed, taken out or brought back behind its back is left out: what
    was learned stands then.
    """
    kept = since_kept(conn)
    ids = [id for one in kept.values() for id in one["try_ons"]]
    if not ids:
        return {}
    columns = select(try_ons.c.id, try_ons.c.version, try_ons.c.wearer_id)
    there = {
        row.id: row
        for start in range(0, len(ids), _AT_ONCE)
        for row in conn.execute(columns.where(try_ons.c.id.in_(ids[start : start + _AT_ONCE])))
    }
    found = {}
    for code, one in kept.items():
        rows = [there.get(id) for id in one["try_ons"]]
        if any(row is None or row.version != one["try_ons"][row.id] for row in rows):
            continue
        belief = read_belief(one.get("belief"))
        if belief is None:
            continue
        whose = frozenset(row.wearer_id for row in rows if row is not None)
        found[code] = HeardSince(
            KnownRun(belief, one["pairs"]), one["try_ons"], whose, str(one.get("evidence"))
        )
    return found


def told_since(conn: Connection) -> dict[str, tuple[str, ...]]:
    """Return the rows' names of the try-ons heard since runs were learned, by the last's code."""
    return {code: tuple(one["try_ons"]) for code, one in since_kept(conn).items()}


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
    keep_since(conn, {name: one for name, one in since_kept(conn).items() if name != code})
