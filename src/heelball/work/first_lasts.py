"""Which of all kept lasts stand first for a kept wearer."""

from __future__ import annotations

from datetime import date as Date

from heelball.records.store import Records
from heelball.work.day_control import Moment, on_day
from heelball.work.kept_core import kept_core
from heelball.work.ranking_process import RankingProcess
from heelball.work.worn import can_rank


def first_lasts(
    records: Records,
    ranking: RankingProcess,
    wearer_id: str,
    count: int,
    *,
    today: Date,
    moment: Moment | None = None,
) -> tuple[str, ...]:
    """Return the ids of the lasts that stand first, at most `count`; none without a reading.

    Parameters
    ----------
    ranking
        The process that ranks all lasts.
    today
        For the age of readings.
    moment
        The moment it is asked for; None for the wearer's own day.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    ProcessStopped
        Where the lasts cannot be ranked.
    """
    with records.reading() as conn:
        wearer = on_day(kept_core(conn, wearer_id), moment)
    # Without a reading every last would be ranked for the mean foot.
    return ranking.rank(wearer, count, today=today).last_ids if can_rank(wearer) else ()
