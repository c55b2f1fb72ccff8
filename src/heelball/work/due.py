"""Pairs by what is due: to come, to be tried on, to be kept or sent back by a day."""

from __future__ import annotations

from datetime import date as Date
from typing import Final

from attrs import frozen

from heelball.records.pair_life import STATE_WORDS
from heelball.records.pairs import ListedPair, count_pairs, list_with_names
from heelball.records.store import Records
from heelball.records.values import PairState

#: So many of the pairs of which nothing is due stand in the list.
LATEST: Final = 50

_OPEN: Final[tuple[PairState, ...]] = ("ordered", "arrived")
_CLOSED: Final[tuple[PairState, ...]] = ("kept", "exchanged", "returned", "owned")


@frozen
class DuePair:
    """A pair in a list, and what is to be done with it by when, in words.

    `late` tells that the day has passed; the words say so too.
    """

    listed: ListedPair
    what: str
    late: bool = False


@frozen
class Due:
    """All pairs by what is due; `others` counts those of which nothing is, however many are listed."""

    to_arrive: tuple[DuePair, ...]
    to_try_on: tuple[DuePair, ...]
    to_settle: tuple[DuePair, ...]
    rest: tuple[DuePair, ...]
    others: int


def due(records: Records, today: Date) -> Due:
    """Return the pairs by what is due: the overdue and the soonest first, undated ones behind them."""
    with records.reading() as conn:
        open_ = list_with_names(conn, states=_OPEN)
        rest = list_with_names(conn, states=_CLOSED, limit=LATEST)
        others = count_pairs(conn, _CLOSED)
    ordered = [one for one in open_ if one.pair.state == "ordered"]
    here = [one for one in open_ if one.pair.state == "arrived"]
    ordered.sort(key=lambda one: (one.pair.due_on or _LAST, one.pair.ordered_on or ""))
    here.sort(key=lambda one: (one.pair.send_back_by or _LAST, one.pair.arrived_on or ""))
    return Due(
        to_arrive=tuple(what_is_due(one, today) for one in ordered),
        to_try_on=tuple(what_is_due(one, today) for one in here if not one.tried),
        to_settle=tuple(what_is_due(one, today) for one in here if one.tried),
        rest=tuple(what_is_due(one, today) for one in rest),
        others=others,
    )


def pairs_of(records: Records, wearer_id: str, today: Date) -> tuple[DuePair, ...]:
    """Return one wearer's pairs, the last dated first, each with what is due."""
    with records.reading() as conn:
        return tuple(what_is_due(one, today) for one in list_with_names(conn, wearer_id=wearer_id))


def what_is_due(listed: ListedPair, today: Date) -> DuePair:
    """Return what is due of a pair, in words."""
    pair = listed.pair
    if pair.state == "ordered":
        return _to_arrive(listed, today)
    if pair.state != "arrived":
        closed = f" {pair.closed_on}" if pair.closed_on else ""
        return DuePair(listed, f"{STATE_WORDS[pair.state]}{closed}")
    if pair.send_back_by is None:
        doing = "keep it or send it back" if listed.tried else "try it on"
        return DuePair(listed, f"{doing}; here since {pair.arrived_on}, no day known to send it back by")
    days = (Date.fromisoformat(pair.send_back_by) - today).days
    if days < 0:
        past = f"could be sent back until {pair.send_back_by}, {_days(-days)} ago: ask the maker"
        return DuePair(listed, past if listed.tried else f"not tried on; {past}", late=True)
    by = f"{pair.send_back_by}, {_from_now(days)}"
    doing = f"keep it or send it back by {by}" if listed.tried else f"try it on; it can go back until {by}"
    return DuePair(listed, doing)


#: Behind every day that is written down.
_LAST: Final = "9999"


def _to_arrive(listed: ListedPair, today: Date) -> DuePair:
    pair = listed.pair
    ordered = f"ordered {pair.ordered_on}"
    if pair.due_on is None:
        return DuePair(listed, f"{ordered}; nobody said when it comes")
    days = (Date.fromisoformat(pair.due_on) - today).days
    if days < 0:
        late = f"{_days(-days)} late: it was expected {pair.due_on}, {ordered}; ask the maker"
        return DuePair(listed, late, late=True)
    return DuePair(listed, f"expected {pair.due_on}, {_from_now(days)}; {ordered}")


def _days(days: int) -> str:
    return "1 day" if days == 1 else f"{days} days"


def _from_now(days: int) -> str:
    return "today" if days == 0 else f"in {_days(days)}"
