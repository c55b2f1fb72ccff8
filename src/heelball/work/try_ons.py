"""Try-ons of a pair: written down, mended, and what the core is told of the pairs a wearer has."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from attrs import asdict
from sqlalchemy import Connection

from heelball.errors import InputError
from heelball.fit.wearer import PLACES
from heelball.foot.vector import FEET
from heelball.records.pairs import find_pair
from heelball.records.refused import NotFound
from heelball.records.store import Records
from heelball.records.try_ons import add_try_on, change_try_on, find_try_on, list_try_ons, remove_try_on
from heelball.records.values import Author, TryOn
from heelball.work.hear_at_once import hear_at_once
from heelball.work.told_fit import ToldFit, read_told

_HAS: Final = ("kept", "owned")


def keep_try_on(
    records: Records, pair_id: str, written: Mapping[str, str], by: Author, *, name: str | None = None
) -> TryOn:
    """Write down how a pair fits, as it was told.

    Parameters
    ----------
    written
        The fields of `told_fit.read_told`.
    name
        Given to it by the form it came in: sent twice, it is kept once.

    Raises
    ------
    InputError
        With every problem; the place of each is the field's name.
    NotFound
        Where there is no such pair.
    """
    with records.writing() as conn:
        pair = find_pair(conn, pair_id)
        if pair.state == "ordered":
            raise InputError.at("state", "the pair is still on order", "the day it came first")
        told = read_told(written, pair, by.at.date())
        kept = add_try_on(conn, pair_id, **_columns(told), id=name, by=by)
        hear_at_once(conn, kept.last_id)
        return kept


def mend_try_on(
    records: Records,
    pair_id: str,
    try_on_id: str,
    seen: int,
    written: Mapping[str, str],
    by: Author,
) -> TryOn:
    """Change what was written down wrong of a try-on.

    Raises
    ------
    InputError
        With every problem; the place of each is the field's name.
    NotFound, Conflict
        Where the try-on is gone, or was changed since `seen`.
    """
    with records.writing() as conn:
        _of_pair(conn, pair_id, try_on_id)
        told = read_told(written, find_pair(conn, pair_id), by.at.date())
        mended = change_try_on(conn, try_on_id, seen, _columns(told), by=by)
        hear_at_once(conn, mended.last_id)
        return mended


def take_out_try_on(records: Records, pair_id: str, try_on_id: str, seen: int, by: Author) -> None:
    """Remove a try-on; undo brings it back.

    Raises
    ------
    NotFound, Conflict
        Where the try-on is gone, or was changed since `seen`.
    """
    with records.writing() as conn:
        taken_out = _of_pair(conn, pair_id, try_on_id)
        remove_try_on(conn, try_on_id, seen, by=by)
        hear_at_once(conn, taken_out.last_id)


def find_of_pair(records: Records, pair_id: str, try_on_id: str) -> TryOn:
    """Return a try-on of a pair.

    Raises
    ------
    NotFound
        Where the pair has none of that name.
    """
    with records.reading() as conn:
        return _of_pair(conn, pair_id, try_on_id)


def told_of_pair(records: Records, pair_id: str) -> list[TryOn]:
    """Return what was told of a pair, the earliest first.

    Raises
    ------
    NotFound
        Where there is no such pair.
    """
    with records.reading() as conn:
        find_pair(conn, pair_id)
        return list_try_ons(conn, pair_id=pair_id)


def written_try_on(kept: TryOn) -> dict[str, str]:
    """Return the fields of a try-on as a fitter would type them."""
    hours = "" if kept.hours is None else f"{kept.hours:g}"
    verdicts = {
        f"{foot}_{place}": kept.verdicts.get(foot, {}).get(place, "") for foot in FEET for place in PLACES
    }
    return {
        "on": kept.on,
        "hours": hours,
        "sock": kept.sock or "",
        "swelling": kept.swelling or "",
        **verdicts,
        "note": kept.note,
    }


def _of_pair(conn: Connection, pair_id: str, try_on_id: str) -> TryOn:
    kept = find_try_on(conn, try_on_id)
    if kept.pair_id != pair_id:
        raise NotFound("This try-on")
    return kept


def _columns(told: ToldFit) -> dict[str, Any]:
    return asdict(told, recurse=False)
