"""The order page: which label of which last to order, for the wearer's day or for one moment of it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date as Date
from typing import Final

from attrs import frozen

from heelball.fit.choice import answer
from heelball.fit.wearer import DayState, Wearer
from heelball.records.store import Records
from heelball.records.values import KeptWearer
from heelball.show.lengths import Units
from heelball.work.day_control import Moment, on_day
from heelball.work.held import MOST_HELD, Held, Holdings, held_lasts
from heelball.work.kept_core import kept_core
from heelball.work.lasts_on_hand import readable
from heelball.work.order_detail import Detail, detail_of
from heelball.work.order_feet import Feet, feet_words
from heelball.work.order_list import Listed, listed
from heelball.work.ranking_process import Ranked, RankingProcess, RankingStopped

#: Of the lasts behind those that are held, so many are listed when asked for.
MORE_LISTED: Final = 80


@frozen
class OrderAnswer:
    """What the order page shows of one wearer's answer.

    Parameters
    ----------
    kept, wearer, moment
        Whose it is, the wearer with the day that was answered for, and the moment set; None for
        the wearer's own day.
    own_day
        The wearer's own day.
    feet
        What is said before any boot.
    rows, detail
        The lasts held, best first, and the one looked at; None where there is none.
    child, serves
        Whether no boot is chosen because a foot was read on a child's scale; whether any label
        of a held last serves.
    left_out
        Sentences: lasts that could not be judged, and why.
    """

    kept: KeptWearer
    wearer: Wearer
    moment: Moment | None
    own_day: tuple[DayState, ...]
    feet: Feet
    rows: tuple[Listed, ...]
    detail: Detail | None
    child: bool
    serves: bool
    left_out: tuple[str, ...]


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
    holdings: Holdings,
    wearer_id: str,
    *,
    today: Date,
    moment: Moment | None = None,
    more: bool = False,
    look_at: str | None = None,
    units: Units = "mm",
) -> OrderPage:
    """Look through all lasts for one wearer and return the page.

    Parameters
    ----------
    wearer_id
        Whose page it is.
    today
        For the age of readings.
    moment
        What all lasts are ranked for; None for the wearer's own day.
    more
        Whether lasts behind those that are held are listed too.
    look_at
        The last to be told in full; None, or one that is not held: the first.
    units
        What lengths are written in.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    """
    with records.reading() as conn:
        wearer = kept_core(conn, wearer_id)
    if not wearer.readings:
        # Nothing to rank by: every last would be ranked for the mean foot.
        held = holdings.hold(records, wearer_id, (), today=today)
        return OrderPage(_answered(held, moment, None, units))
    asked = on_day(wearer, moment)
    ranked = Ranked((), 0)
    trouble: tuple[str, ...] = ()
    try:
        ranked = ranking.rank(asked, MOST_HELD + (MORE_LISTED if more else 0), today=today)
    except RankingStopped as stopped:
        trouble = (stopped.message, stopped.remedy)
    held = holdings.hold(records, wearer_id, ranked.last_ids[:MOST_HELD], today=today)
    shown = _answered(held, moment, look_at, units, left_out=ranked.left_out)
    behind = _behind(records, ranked.last_ids[MOST_HELD:], asked, units)
    return OrderPage(shown, ranked.lasts, behind, trouble)


def recomputed(
    records: Records,
    holdings: Holdings,
    wearer_id: str,
    last_ids: Sequence[str],
    *,
    today: Date,
    moment: Moment | None = None,
    look_at: str | None = None,
    units: Units = "mm",
) -> OrderAnswer:
    """Return the answer from the lasts that are held, for another day or another last looked at.

    Parameters
    ----------
    last_ids
        The lasts held, `MOST_HELD` at most.
    wearer_id, today, moment, look_at, units
        See `order_page`.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    InputError
        Where there are too many lasts, or one is not in the records.
    """
    held = holdings.hold(records, wearer_id, last_ids, today=today)
    return _answered(held, moment, look_at, units)


def _answered(
    held: Held,
    moment: Moment | None,
    look_at: str | None,
    units: Units,
    *,
    left_out: Sequence[str] = (),
) -> OrderAnswer:
    codes = {last.id: code for code, last in held.lasts.items()}
    code = codes.get(look_at or "")
    wearer = on_day(held.wearer, moment)
    found = held.holding.answer(wearer.day, look_at=code)
    looked = next((choice for choice in found.choices if choice.detailed), None)
    return OrderAnswer(
        kept=held.kept,
        wearer=wearer,
        moment=moment,
        own_day=held.wearer.day,
        feet=feet_words(found, wearer, units),
        rows=listed(found.choices, held.lasts, units),
        detail=None
        if looked is None
        else detail_of(found, looked, wearer, held.lasts[looked.last.code], units),
        child=found.child,
        serves=found.serves,
        left_out=(*held.left_out, *left_out),
    )


def _behind(records: Records, last_ids: Sequence[str], wearer: Wearer, units: Units) -> tuple[Listed, ...]:
    """Return the lasts behind those that are held, as lines alone."""
    if not last_ids:
        return ()
    with records.reading() as conn:
        kept = held_lasts(conn, last_ids)
    lasts, _ = readable(kept)
    found = answer(wearer, lasts, detailed=0)
    return listed(found.choices, {last.code: last for last in kept}, units)
