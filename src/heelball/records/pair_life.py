"""A pair's life as rules: which step may follow which, and which day may lie before which."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date as Date
from datetime import timedelta
from typing import Any, Final, Literal

from attrs import evolve

from heelball.errors import InputError, Problem
from heelball.records.values import KeptPair, PairState
from heelball.units import quoted

#: How a pair's time with the fitter ends.
Ending = Literal["kept", "exchanged", "returned"]

#: A state in a sentence about the pair.
STATE_WORDS: Final[dict[PairState, str]] = {
    "ordered": "on order",
    "arrived": "here",
    "kept": "kept",
    "exchanged": "exchanged",
    "returned": "returned",
    "owned": "the wearer's own",
}

#: The days of a pair in the order they come, and what each is called.
DAY_WORDS: Final[dict[str, str]] = {
    "ordered_on": "ordered",
    "due_on": "expected",
    "arrived_on": "arrived",
    "send_back_by": "to be sent back by",
    "closed_on": "closed",
}

#: Days that must have come before they can be written down.
_PAST: Final = ("ordered_on", "arrived_on", "closed_on")

#: A day that may not lie before another. A pair may well come before it was expected, and go back
#: late where the maker lets it.
_NOT_BEFORE: Final = (
    ("due_on", "ordered_on"),
    ("arrived_on", "ordered_on"),
    ("send_back_by", "arrived_on"),
    ("closed_on", "arrived_on"),
)

#: The days that a state needs, and those that it cannot have yet.
_NEEDS: Final[dict[PairState, tuple[str, ...]]] = {
    "ordered": ("ordered_on",),
    "arrived": ("ordered_on", "arrived_on"),
    "kept": ("ordered_on", "arrived_on", "closed_on"),
    "exchanged": ("ordered_on", "arrived_on", "closed_on"),
    "returned": ("ordered_on", "arrived_on", "closed_on"),
    "owned": (),
}
_CANNOT_HAVE: Final[dict[PairState, tuple[str, ...]]] = {
    "ordered": ("arrived_on", "send_back_by", "closed_on"),
    "arrived": ("closed_on",),
    "owned": tuple(DAY_WORDS),
}

#: No pair is older than this, so an earlier day is a slip of the pen.
_EARLIEST: Final = Date(1950, 1, 1)
#: Nothing is awaited longer than this.
_LATEST: Final = timedelta(days=3660)


def check_life(pair: KeptPair, today: Date) -> None:
    """Check that a pair's days and its state go together.

    Parameters
    ----------
    pair
        As it is to be kept.
    today
        What has happened cannot lie after it.

    Raises
    ------
    InputError
        With every problem found; the place of each is the field's name.
    """
    problems = list(_problems(pair, today))
    if problems:
        raise InputError(problems)


def _problems(pair: KeptPair, today: Date) -> Iterator[Problem]:
    days: dict[str, Date] = {}
    for name, words in DAY_WORDS.items():
        text = getattr(pair, name)
        if text is None:
            if name in _NEEDS[pair.state]:
                yield Problem(name, "no day", f"the day it was {words}")
            continue
        if name in _CANNOT_HAVE.get(pair.state, ()):
            yield Problem(name, f"{text}, but the pair is {STATE_WORDS[pair.state]}", "no such day yet")
            continue
        day = _day(text)
        if day is None:
            yield Problem(name, quoted(text), f"a day such as {today}")
        elif name in _PAST and day > today:
            yield Problem(name, f"{text}, which is still to come", f"a day up to {today}")
        elif day < _EARLIEST:
            yield Problem(name, f"{text}, which is long ago", f"a day from {_EARLIEST} on")
        elif day - today > _LATEST:
            yield Problem(name, f"{text}, which is far ahead", f"a day up to {today + _LATEST}")
        else:
            days[name] = day
    for later, earlier in _NOT_BEFORE:
        if later in days and earlier in days and days[later] < days[earlier]:
            found = f"{days[later]}, before the pair was {DAY_WORDS[earlier]}"
            yield Problem(later, found, f"{days[earlier]} or later")


def _day(text: str) -> Date | None:
    """Return a day as it is kept; None where it is written otherwise, or is none."""
    try:
        day = Date.fromisoformat(text)
    except ValueError:
        return None
    return day if day.isoformat() == text else None


def on_arrival(pair: KeptPair, on: Date, *, today: Date, exchange_days: int | None) -> dict[str, Any]:
    """Return what changes when an ordered pair arrives.

    Parameters
    ----------
    pair
        As it is kept.
    on, today
        The day it arrived, and the day this is written down.
    exchange_days
        By the maker's terms; without a day to send it back by where that is 0 or not known.

    Raises
    ------
    InputError
        Where it is not on order, or the day cannot be.
    """
    _must_be(pair, "ordered", "arrive")
    changes: dict[str, Any] = {
        "state": "arrived",
        "arrived_on": on.isoformat(),
        "send_back_by": send_back_by(on, exchange_days),
    }
    check_life(evolve(pair, **changes), today)
    return changes


def on_closing(pair: KeptPair, ending: Ending, on: Date, *, today: Date) -> dict[str, Any]:
    """Return what changes when a pair that is here is kept, exchanged or returned.

    Raises
    ------
    InputError
        Where it has not arrived or is closed already, or the day cannot be.
    """
    _must_be(pair, "arrived", {"kept": "be kept", "exchanged": "be exchanged", "returned": "go back"}[ending])
    changes: dict[str, Any] = {"state": ending, "closed_on": on.isoformat()}
    check_life(evolve(pair, **changes), today)
    return changes


def send_back_by(arrived_on: Date, exchange_days: int | None) -> str | None:
    """Return the last day a pair can go back; None where the maker takes none or nobody has asked.

    Examples
    --------
    >>> send_back_by(Date(2026, 3, 2), 14)
    '2026-03-16'
    """
    return (arrived_on + timedelta(days=exchange_days)).isoformat() if exchange_days else None


def _must_be(pair: KeptPair, state: PairState, verb: str) -> None:
    if pair.state != state:
        found = f"the pair is {STATE_WORDS[pair.state]} and cannot {verb}"
        raise InputError.at("state", found, f"a pair that is {STATE_WORDS[state]}")
