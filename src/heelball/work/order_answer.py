"""One wearer's answer from the lasts held on the order page, in words, for any day."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date as Date
from datetime import datetime
from functools import partial

from attrs import frozen

from heelball.fit.wearer import DayState, Wearer
from heelball.records.store import Records
from heelball.records.values import KeptWearer
from heelball.show.lengths import Units
from heelball.work.bench_process import BenchProcess
from heelball.work.day_control import Moment, on_day
from heelball.work.held import Holdings
from heelball.work.order_detail import Detail, detail_of
from heelball.work.order_feet import Feet, feet_words
from heelball.work.order_list import Listed, listed
from heelball.work.worn import can_rank


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

    @property
    def known(self) -> bool:
        """Whether anything tells this wearer's feet from others'."""
        return can_rank(self.wearer)


@frozen
class Asked:
    """What an order page asks.

    Parameters
    ----------
    wearer_id, last_ids
        Whose feet, and the lasts held: `held.MOST_HELD` at most.
    today
        For the age of readings.
    moment
        The moment set; None for the wearer's own day.
    look_at
        The last to be told in full; None, or one that is not held: the first.
    units
        What lengths are written in.
    """

    wearer_id: str
    last_ids: Sequence[str]
    today: Date
    moment: Moment | None = None
    look_at: str | None = None
    units: Units = "mm"


class AnswerProcess(BenchProcess):
    """The process that answers order pages; it keeps the wearers ready whose day is tried out.

    Parameters
    ----------
    records, clock
        See `BenchProcess`.
    """

    def __init__(self, records: Records, clock: Callable[[], datetime]) -> None:
        super().__init__(records, clock, _answering, answers="The answer")

    def answer(self, asked: Asked) -> OrderAnswer:
        """Return the answer from the lasts held.

        Raises
        ------
        NotFound
            Where there is no such wearer.
        InputError
            Where there are too many lasts, or one is not in the records.
        ProcessStopped
            Where neither this process nor a fresh one answers.
        """
        found: OrderAnswer = self.ask(asked)
        return found


def _answering(records: Records) -> Callable[[Asked], OrderAnswer]:
    return partial(answered, records, Holdings())


def answered(records: Records, holdings: Holdings, asked: Asked) -> OrderAnswer:
    """Return the answer from the lasts held.

    Raises
    ------
    NotFound, InputError
        See `AnswerProcess.answer`.
    """
    held = holdings.hold(records, asked.wearer_id, asked.last_ids, today=asked.today)
    codes = {last.id: code for code, last in held.lasts.items()}
    wearer = on_day(held.wearer, asked.moment)
    found = held.holding.answer(wearer.day, look_at=codes.get(asked.look_at or ""))
    looked = next((choice for choice in found.choices if choice.detailed), None)
    return OrderAnswer(
        kept=held.kept,
        wearer=wearer,
        moment=asked.moment,
        own_day=held.wearer.day,
        feet=feet_words(found, wearer, asked.units),
        rows=listed(found.choices, held.lasts, asked.units),
        detail=None
        if looked is None
        else detail_of(found, looked, wearer, held.lasts[looked.last.code], asked.units),
        child=found.child,
        serves=found.serves,
        left_out=held.left_out,
    )
