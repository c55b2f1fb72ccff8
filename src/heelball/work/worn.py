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
from heelball.work.kept_core import kept_core
from heelball.work.lasts_on_hand import readable
from heelball.work.runs_kept import known_runs


def lasts_worn(conn: Connection, wearer_id: str) -> dict[str, Last]:
    """Return the lasts of a wearer's pairs by code, retired ones too; one that cannot be read is left out."""
    ids = dict.fromkeys(pair.last_id for pair in list_pairs(conn, wearer_id))
    found, _ = readable(find_last(conn, last_id) for last_id in ids)
    return {last.code: last for last in found}


def feet_worn(conn: Connection, wearer_id: str, wearer: Wearer) -> FeetPosterior:
    """Return what readings and pairs say of a kept wearer's feet."""
    lasts = lasts_worn(conn, wearer_id)
    return weigh(wearer, lasts, known_runs(conn, lasts.values()))


def kept_feet(records: Records, wearer_id: str) -> tuple[Wearer, FeetPosterior]:
    """Return a kept wearer as it stands at this moment, and what is known of both feet.

    Raises
    ------
    NotFound, InputError
        As in `kept_core`.
    """
    with records.reading() as conn:
        wearer = kept_core(conn, wearer_id)
        return wearer, feet_worn(conn, wearer_id, wearer)


def can_rank(wearer: Wearer) -> bool:
    """Return whether anything tells one foot from another: a reading, or a word about a pair."""
    return bool(wearer.readings) or any(pair.verdicts for pair in wearer.pairs)
