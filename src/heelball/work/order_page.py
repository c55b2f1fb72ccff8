"""The order page: which label of which last to order, for the wearer's day or for one moment of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from attrs import evolve, frozen

from heelball.fit.choice import answer
from heelball.fit.shelf import Shelves
from heelball.fit.wearer import Wearer
from heelball.learn.owned import weigh
from heelball.records.store import Records
from heelball.show.lengths import Units
from heelball.work.bench_process import ProcessStopped
from heelball.work.day_control import on_day
from heelball.work.held import MOST_HELD, held_lasts
from heelball.work.kept_core import kept_core
from heelball.work.lasts_on_hand import readable
from heelball.work.order_answer import AnswerProcess, Asked, OrderAnswer
from heelball.work.order_list import Listed, listed
from heelball.work.ranking_process import Ranked, RankingProcess
from heelball.work.runs_kept import known_runs
from heelball.work.worn import can_rank, lasts_worn

#: Of the lasts behind those that are held, so many are listed when asked for.
MORE_LISTED: Final = 80


@frozen
class OrderPage:
    """The whole page: the answer, and how many lasts stand behind those that are held.

    `trouble` is a sentence where the lasts could not be ranked, else empty.
    """

    answer: OrderAnswer
    lasts: int = 0
    more: tuple[Listed, ...] = ()
    trouble: tuple[str, ...] = ()

    @property
    def behind(self) -> int:
        """How many lasts are neither held nor listed."""
        return self.lasts - len(self.answer.rows) - len(self.more)


def order_page(
    records: Records,
    ranking: RankingProcess,
    answering: AnswerProcess,
    asked: Asked,
    *,
    more: bool = False,
) -> OrderPage:
    """Look through all lasts for one wearer and return the page.

    Parameters
    ----------
    ranking, answering
        The processes that rank all lasts and answer from those that stand first.
    asked
        For whom and which day; its lasts are those that stand first.
    more
        Whether lasts behind those that are held are listed too.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    ProcessStopped
        Where the answer cannot be worked out.
    """
    with records.reading() as conn:
        own = kept_core(conn, asked.wearer_id)
    if not can_rank(own):
        # Nothing to rank by: every last would be ranked for the mean foot.
        return OrderPage(answering.answer(evolve(asked, last_ids=())))
    wearer = on_day(own, asked.moment)
    ranked = Ranked((), 0)
    trouble: tuple[str, ...] = ()
    try:
        ranked = ranking.rank(wearer, MOST_HELD + (MORE_LISTED if more else 0), today=asked.today)
    except ProcessStopped as stopped:
        trouble = (stopped.message, stopped.remedy)
    found = answering.answer(evolve(asked, last_ids=ranked.last_ids[:MOST_HELD]))
    found = evolve(found, left_out=(*found.left_out, *ranked.left_out))
    behind = _behind(records, asked.wearer_id, ranked.last_ids[MOST_HELD:], wearer, asked.units)
    return OrderPage(found, ranked.lasts, behind, trouble)


def _behind(
    records: Records, wearer_id: str, last_ids: Sequence[str], wearer: Wearer, units: Units
) -> tuple[Listed, ...]:
    """Return the lasts behind those that are held, as lines alone."""
    if not last_ids:
        return ()
    with records.reading() as conn:
        kept, worn = held_lasts(conn, last_ids), lasts_worn(conn, wearer_id)
        lasts, _ = readable(kept)
        known = known_runs(conn, [*lasts, *worn.values()])
    found = answer(wearer, Shelves(lasts, known), detailed=0, feet=weigh(wearer, worn, known))
    return listed(found.choices, {last.code: last for last in kept}, units)
