"""A pair from order to kept: each step is one write, and none is taken out of turn."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date as Date
from typing import Any

from heelball.errors import InputError
from heelball.records.lasts import find_last
from heelball.records.pair_life import Ending, on_arrival, on_closing
from heelball.records.pairs import (
    add_pair,
    change_pair,
    find_exchanged_for,
    find_pair,
    list_pairs,
    remove_pair,
)
from heelball.records.refused import Conflict
from heelball.records.schema import new_id
from heelball.records.store import Records
from heelball.records.values import Author, KeptLast, KeptPair
from heelball.records.wearers import find_wearer
from heelball.show.labels import size_text
from heelball.work.hear_at_once import hear_at_once
from heelball.work.keeping import core_last
from heelball.work.pair_labels import offered_label, readable_label


def pair_kept(records: Records, pair_id: str) -> KeptPair:
    """Return one pair, or raise NotFound."""
    with records.reading() as conn:
        return find_pair(conn, pair_id)


def pairs_of_wearer(records: Records, wearer_id: str) -> list[KeptPair]:
    """Return the pairs of one wearer, the last ordered first, or raise NotFound."""
    with records.reading() as conn:
        find_wearer(conn, wearer_id)
        return list_pairs(conn, wearer_id)


def new_pair_name() -> str:
    """Return a name for a pair to be: the form carries it, so that sent twice it is one order."""
    return new_id()


def order_pair(
    records: Records,
    wearer_id: str,
    last_id: str,
    size: str,
    width: str | None,
    answer: Mapping[str, Any] | None,
    by: Author,
    *,
    due_on: Date | None = None,
    note: str = "",
    name: str | None = None,
) -> KeptPair:
    """Write down a pair that was ordered today.

    Parameters
    ----------
    wearer_id, last_id
        Whose it is to be, and the last it is made on.
    size, width
        Of the label, as written; it must be one that the last is offered in.
    answer
        What was said when it was ordered.
    by
        Who orders, and when.
    due_on
        When it is expected; None where nobody said.
    name
        What the form called the pair: sent twice it is one order.

    Raises
    ------
    InputError
        Where the last is not offered in that label or no longer had, the day cannot be, or `name`
        is another pair's.
    NotFound
        Where there is no such wearer or last.
    """
    with records.writing() as conn:
        kept = find_last(conn, last_id)
        label = offered_label(kept, size, width)
        return add_pair(
            conn,
            wearer_id,
            last_id,
            size=size_text(label.size, kept.label_scale),
            width=label.width,
            due_on=None if due_on is None else due_on.isoformat(),
            answer=answer,
            note=note,
            id=name,
            by=by,
        )


def own_pair(
    records: Records,
    wearer_id: str,
    last_id: str,
    size: str,
    width: str | None,
    by: Author,
    *,
    note: str = "",
) -> KeptPair:
    """Write down a pair that a wearer brought; its label need not be offered any more.

    Raises
    ------
    InputError
        Where size or width are none of the last's scales.
    NotFound
        Where there is no such wearer or last.
    """
    with records.writing() as conn:
        kept = find_last(conn, last_id)
        label = readable_label(core_last(kept), size, width)
        stamped = size_text(label.size, kept.label_scale)
        return add_pair(
            conn, wearer_id, last_id, size=stamped, width=label.width, state="owned", note=note, by=by
        )


def arrive(records: Records, pair_id: str, seen: int, on: Date, by: Author) -> KeptPair:
    """Write down that an ordered pair came; by when it can go back follows from the maker's terms.

    Raises
    ------
    InputError
        Where it is not on order, or the day cannot be.
    NotFound, Conflict
        Where the pair is gone, or was changed since `seen`.
    """
    with records.writing() as conn:
        pair = find_pair(conn, pair_id)
        if _stands(pair, seen, {"state": "arrived", "arrived_on": on.isoformat()}):
            return pair
        days = find_last(conn, pair.last_id).exchange_days
        changes = on_arrival(pair, on, today=by.at.date(), exchange_days=days)
        return change_pair(conn, pair_id, seen, changes, by=by)


def close(records: Records, pair_id: str, seen: int, ending: Ending, on: Date, by: Author) -> KeptPair:
    """Write down that a pair that is here was kept or went back.

    Raises
    ------
    InputError
        Where it has not arrived or is closed already, or the day cannot be.
    NotFound, Conflict
        Where the pair is gone, or was changed since `seen`.
    """
    with records.writing() as conn:
        pair = find_pair(conn, pair_id)
        if _stands(pair, seen, {"state": ending, "closed_on": on.isoformat()}):
            return pair
        return change_pair(conn, pair_id, seen, on_closing(pair, ending, on, today=by.at.date()), by=by)


def exchange(
    records: Records,
    pair_id: str,
    seen: int,
    on: Date,
    size: str,
    width: str | None,
    by: Author,
    *,
    due_on: Date | None = None,
    answer: Mapping[str, Any] | None = None,
) -> tuple[KeptPair, KeptPair]:
    """Write down that a pair went back and another label of its last was ordered for it.

    Returns
    -------
    tuple of KeptPair
        The pair that went back, and the one ordered for it; both are written, or neither.

    Raises
    ------
    InputError
        Where the pair has not arrived or is closed already, the last is not offered in the label,
        or a day cannot be.
    NotFound, Conflict
        Where the pair is gone, or was changed since `seen`; of one exchanged for another label,
        what was kept meanwhile is the pair ordered for it.
    """
    with records.writing() as conn:
        pair = find_pair(conn, pair_id)
        if _stands(pair, seen, {"state": "exchanged", "closed_on": on.isoformat()}):
            new = find_exchanged_for(conn, pair_id)
            if new is not None:
                _same_label(new, find_last(conn, pair.last_id), size, width)
                return pair, new
        kept = find_last(conn, pair.last_id)
        changes = on_closing(pair, "exchanged", on, today=by.at.date())
        label = offered_label(kept, size, width)
        back = change_pair(conn, pair_id, seen, changes, by=by)
        new = add_pair(
            conn,
            pair.wearer_id,
            pair.last_id,
            size=size_text(label.size, kept.label_scale),
            width=label.width,
            ordered_on=on.isoformat(),
            due_on=None if due_on is None else due_on.isoformat(),
            in_exchange_for=pair.id,
            answer=answer,
            by=by,
        )
        return back, new


def mend(
    records: Records, pair_id: str, seen: int, changes: Mapping[str, str | None], by: Author
) -> KeptPair:
    """Change days or note that were written down wrong.

    Raises
    ------
    InputError
        Where the days would not go together.
    NotFound, Conflict
        Where the pair is gone, or was changed since `seen`.
    """
    with records.writing() as conn:
        return change_pair(conn, pair_id, seen, changes, by=by)


def take_back(records: Records, pair_id: str, seen: int, by: Author) -> KeptPair:
    """Take an order back before the pair came, or an own pair that was written down by mistake.

    Raises
    ------
    InputError
        Where it has arrived: it can only be kept or go back.
    NotFound, Conflict
        Where the pair is gone, or was changed since `seen`.
    """
    with records.writing() as conn:
        pair = find_pair(conn, pair_id)
        if pair.state not in ("ordered", "owned"):
            raise InputError.at("state", "the pair has arrived", "it kept, exchanged or returned")
        remove_pair(conn, pair_id, seen, by=by)
        hear_at_once(conn, pair.last_id)
        return pair


def _same_label(new: KeptPair, kept: KeptLast, size: str, width: str | None) -> None:
    """Refuse a label that is not the one ordered in exchange: the form was older than that order."""
    label = readable_label(core_last(kept), size, width)
    asked = {"size": size_text(label.size, kept.label_scale), "width": label.width}
    if (new.size, new.width) != (asked["size"], asked["width"]):
        raise Conflict(new, new.version, asked)


def _stands(pair: KeptPair, seen: int, wanted: Mapping[str, str]) -> bool:
    """Return whether what is wanted stands already: a form sent twice is one step.

    Raises
    ------
    Conflict
        Where something else was written since `seen`.
    """
    if all(getattr(pair, name) == value for name, value in wanted.items()):
        return True
    if pair.version != seen:
        raise Conflict(pair, seen, wanted)
    return False
