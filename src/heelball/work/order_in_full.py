"""One last's choice in full: for the order, for paper, and for whoever reads JSON or a drawing."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date as Date
from typing import Any

from attrs import frozen

from heelball.errors import InputError
from heelball.fit.answers import Answer, Choice
from heelball.fit.choice import answer
from heelball.fit.shelf import Shelves
from heelball.fit.wearer import Wearer
from heelball.records.store import Records
from heelball.records.values import KeptWearer
from heelball.show.drawn import drawing_of
from heelball.work.choice_json import choice_record
from heelball.work.day_control import Moment, on_day
from heelball.work.held import MOST_HELD, Holdings
from heelball.work.kept_core import kept_core


@frozen
class InFull:
    """One last's choice worked out in full, for paper and for an order; none where no last was named."""

    kept: KeptWearer
    wearer: Wearer
    answer: Answer
    choices: tuple[Choice, ...]


def in_full(
    records: Records,
    holdings: Holdings,
    wearer_id: str,
    last_id: str | None,
    *,
    today: Date,
    moment: Moment | None = None,
) -> InFull:
    """Return the choice from one last in full.

    Parameters
    ----------
    last_id
        The last; None for what is said of the feet alone.
    wearer_id, today, moment
        See `order_page.order_page`.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    InputError
        Where the last is not in the records, or no boot is chosen for this wearer.
    """
    held = holdings.hold(records, wearer_id, () if last_id is None else (last_id,), today=today)
    wearer = on_day(held.wearer, moment)
    found = held.holding.answer(wearer.day)
    if last_id is not None and not found.choices:
        wanted = "feet read on an adults' scale" if found.child else "a last that is judged"
        raise InputError.at("last", "no boot is chosen from it for this wearer", wanted)
    return InFull(held.kept, wearer, found, found.choices)


def asked_wearer(records: Records, wearer_id: str, moment: Moment | None = None) -> Wearer:
    """Return a wearer on one moment of a day, or on the wearer's own.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    """
    with records.reading() as conn:
        return on_day(kept_core(conn, wearer_id), moment)


def order_record(full: InFull) -> dict[str, Any]:
    """Return what was said at an order: one choice of ``heelball/choice/1``."""
    choices: list[dict[str, Any]] = choice_record(full.answer, full.wearer)["choices"]
    return choices[0]


def answer_record(
    records: Records,
    holdings: Holdings,
    wearer_id: str,
    last_ids: Sequence[str],
    *,
    today: Date,
    moment: Moment | None = None,
) -> dict[str, Any]:
    """Return the answer from the lasts held as ``heelball/choice/1``, each last in full.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    InputError
        Where there are too many lasts, or one is not in the records.
    """
    held = holdings.hold(records, wearer_id, last_ids, today=today)
    wearer = on_day(held.wearer, moment)
    lasts = [choice.last for choice in held.holding.answer(wearer.day).choices]
    return choice_record(
        answer(wearer, Shelves(lasts, held.known), today=today, detailed=MOST_HELD, feet=held.feet), wearer
    )


def drawing(full: InFull) -> str:
    """Return the drawing of a choice with its table, as an SVG file."""
    return drawing_of(full.answer, full.choices[0], full.wearer)
