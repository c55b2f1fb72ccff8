"""What was told of pairs, as the core and learning read it."""

from __future__ import annotations

from datetime import date as Date
from typing import Final, cast

from sqlalchemy import Connection

from heelball.errors import InputError, UnreadableText
from heelball.fit.day import ordinary_state
from heelball.fit.wearer import DayState, OwnedPair, Place, Swelling, Verdict
from heelball.foot.vector import Foot
from heelball.last.values import Label, Last
from heelball.learn.try_on import TryOn
from heelball.records.lasts import find_last
from heelball.records.pairs import list_pairs
from heelball.records.try_ons import list_try_ons
from heelball.records.values import TryOn as KeptTryOn
from heelball.scales.catalogue import size_scale
from heelball.work.wearer_file import parse_sock

_HAS: Final = ("kept", "owned")


def owned_pairs(conn: Connection, wearer_id: str) -> tuple[OwnedPair, ...]:
    """Return the pairs that a wearer has, kept here or brought along, with what was last told of each.

    What was told of a pair is its latest try-on; a place it does not speak of is left out.

    Raises
    ------
    InputError
        Where a pair is numbered as its last's scale is not.
    """
    latest = {one.pair_id: one for one in list_try_ons(conn, wearer_id=wearer_id)}
    found = []
    for pair in reversed(list_pairs(conn, wearer_id)):
        if pair.state not in _HAS:
            continue
        last = find_last(conn, pair.last_id)
        told = latest.get(pair.id)
        verdicts = {} if told is None else words_told(told)
        try:
            size = size_scale(last.label_scale).parse(pair.size)
        except UnreadableText as refused:
            raise InputError([refused.at(f"pair of {last.code}")]) from None
        found.append(OwnedPair(last.code, size, pair.width, verdicts))
    return tuple(found)


def words_told(kept: KeptTryOn) -> dict[tuple[Foot, Place], Verdict]:
    """Return what was told in a try-on, by foot and place."""
    return {
        (foot, place): verdict for foot, places in kept.verdicts.items() for place, verdict in places.items()
    }


def state_told(kept: KeptTryOn) -> DayState:
    """Return what was worn in a try-on and how the foot had swollen; what was not told is ordinary."""
    usual = ordinary_state()
    return DayState(
        kept.on,
        1.0,
        usual.sock if kept.sock is None else parse_sock(kept.sock),
        cast("Swelling", kept.swelling) if kept.swelling else usual.swelling,
        usual.insole,
    )


def as_heard(kept: KeptTryOn, last: Last, wearer: str) -> TryOn | None:
    """Return a try-on as learning hears it; None where it tells of nothing that can be judged.

    Parameters
    ----------
    last
        The last it is of, as it is now.
    wearer
        What learning knows the wearer by.
    """
    verdicts = words_told(kept)
    if not verdicts:
        return None
    try:
        label = Label(size_scale(last.label_scale).parse(kept.size), kept.width)
    except UnreadableText:
        # The last was numbered on another scale then.
        return None
    if label not in last.labels:
        return None
    state = state_told(kept)
    day = Date.fromisoformat(kept.on)
    return TryOn(
        wearer, last.code, label, verdicts, state.sock, state.swelling, state.insole, kept.hours, day,
        f"try-on {kept.on}",
    )  # fmt: skip
