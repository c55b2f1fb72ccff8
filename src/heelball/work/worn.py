"""The lasts of the pairs a kept wearer has, so that those pairs can be weighed beside the readings."""

from __future__ import annotations

from sqlalchemy import Connection

from heelball.fit.wearer import Wearer
from heelball.foot.posterior import FeetPosterior
from heelball.last.values import Last
from heelball.learn.owned import weigh
from heelball.records.lasts import find_last
from heelball.records.pairs import list_pairs
from heelball.records.store import Records
from heelball.work.lasts_on_hand import readable
from heelball.work.runs_kept import known_runs


def lasts_worn(conn: Connection, wearer_id: str) -> dict[str, Last]:
    """Return the lasts of a wearer's pairs by code, retired ones too; one that cannot be read is left out."""
    ids = dict.fromkeys(pair.last_id for pair in list_pairs(conn, wearer_id))
    found, _ = readable(find_last(conn, last_id) for last_id in ids)
    return {last.code: last for last in found}


def feet_worn(records: Records, wearer_id: str, wearer: Wearer) -> FeetPosterior:
    """Return what readings and pairs say of a kept wearer's feet."""
    with records.reading() as conn:
        lasts = lasts_worn(conn, wearer_id)
        known = known_runs(conn, lasts.values())
    return weigh(wearer, lasts, known)


def can_rank(wearer: Wearer) -> bool:
    """Return whether anything tells one foot from another: a reading, or a word about a pair."""
    return bool(wearer.readings) or any(pair.verdicts for pair in wearer.pairs)
