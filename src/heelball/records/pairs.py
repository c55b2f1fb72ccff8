"""Pairs: ordered or brought along, with the days of their lives."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any, Final

from attrs import evolve, frozen
from sqlalchemy import Connection, func, select

from heelball.errors import InputError
from heelball.records.found import Row, find_row, rows_of
from heelball.records.pair_life import check_life
from heelball.records.schema import lasts, makers, pairs, try_ons, wearers
from heelball.records.values import Author, KeptPair, PairState
from heelball.records.writing import insert, remove, update

#: What can be changed of a pair; its states follow one another by `pair_life`.
_CHANGEABLE: Final = (
    "state",
    "ordered_on",
    "due_on",
    "arrived_on",
    "send_back_by",
    "closed_on",
    "answer",
    "note",
)


@frozen
class ListedPair:
    """A pair in a list: whose it is, on which last, and how many try-ons tell of it."""

    pair: KeptPair
    wearer_code: str
    wearer_name: str
    last_code: str
    maker: str
    tried: int


def find_pair(conn: Connection, id: str) -> KeptPair:
    """Return one pair.

    Raises
    ------
    NotFound
        Where there is none.
    """
    return _pair(find_row(conn, pairs, id))


def find_exchanged_for(conn: Connection, id: str) -> KeptPair | None:
    """Return the pair that was ordered in exchange for this one; None where none was."""
    rows = rows_of(conn, select(pairs).where(pairs.c.in_exchange_for == id))
    return _pair(rows[0]) if rows else None


def list_pairs(
    conn: Connection, wearer_id: str | None = None, *, last_id: str | None = None
) -> list[KeptPair]:
    """Return the pairs of one wearer, of one last, or all.

    The last ordered stands first, those brought along at the end.
    """
    query = select(pairs)
    if wearer_id is not None:
        query = query.where(pairs.c.wearer_id == wearer_id)
    if last_id is not None:
        query = query.where(pairs.c.last_id == last_id)
    found = [_pair(row) for row in rows_of(conn, query)]
    return sorted(found, key=lambda pair: (pair.ordered_on or "", pair.id), reverse=True)


def list_with_names(
    conn: Connection,
    *,
    states: Collection[PairState] | None = None,
    wearer_id: str | None = None,
    limit: int | None = None,
) -> list[ListedPair]:
    """Return pairs with whose they are and what they are made on, the last dated first.

    Parameters
    ----------
    states
        Only pairs in one of these; all where None.
    wearer_id
        Only this wearer's.
    limit
        How many at most.
    """
    tried = select(func.count()).where(try_ons.c.pair_id == pairs.c.id).scalar_subquery()
    query = (
        select(
            pairs,
            wearers.c.code.label("wearer_code"),
            wearers.c.name.label("wearer_name"),
            lasts.c.code.label("last_code"),
            makers.c.name.label("maker"),
            tried.label("tried"),
        )
        .join(wearers, wearers.c.id == pairs.c.wearer_id)
        .join(lasts, lasts.c.id == pairs.c.last_id)
        .join(makers, makers.c.id == lasts.c.maker_id)
    )
    if states is not None:
        query = query.where(pairs.c.state.in_(states))
    if wearer_id is not None:
        query = query.where(pairs.c.wearer_id == wearer_id)
    day = func.coalesce(pairs.c.closed_on, pairs.c.arrived_on, pairs.c.ordered_on, "")
    query = query.order_by(day.desc(), pairs.c.id).limit(limit)
    return [_listed(row) for row in rows_of(conn, query)]


def count_pairs(conn: Connection, states: Collection[PairState] | None = None) -> int:
    """Return how many pairs there are, or how many in some states."""
    query = select(func.count()).select_from(pairs)
    if states is not None:
        query = query.where(pairs.c.state.in_(states))
    return int(conn.execute(query).scalar_one())


def add_pair(
    conn: Connection,
    wearer_id: str,
    last_id: str,
    *,
    size: str,
    width: str | None,
    state: PairState = "ordered",
    ordered_on: str | None = None,
    due_on: str | None = None,
    in_exchange_for: str | None = None,
    answer: Mapping[str, Any] | None = None,
    note: str = "",
    id: str | None = None,
    by: Author,
) -> KeptPair:
    """Add a pair that was ordered, or one that the wearer brought (``owned``).

    Parameters
    ----------
    wearer_id, last_id
        Whose it is, and the last it is made on.
    size, width
        On its label.
    ordered_on
        The author's day where an ordered pair is given none.
    due_on
        When it is expected; None where nobody said.
    in_exchange_for
        The pair that went back for it.
    answer
        What was said when it was ordered.
    id
        What the form called it: sent twice it is one pair, and the one kept is returned.

    Raises
    ------
    InputError
        Where its days cannot be, or `id` is the name of a pair that is another one.
    NotFound
        Where there is no such wearer or last.
    """
    find_row(conn, wearers, wearer_id)
    find_row(conn, lasts, last_id)
    if id is not None:
        for kept in map(_pair, rows_of(conn, select(pairs).where(pairs.c.id == id))):
            same = (kept.wearer_id, kept.last_id, kept.size, kept.width) == (wearer_id, last_id, size, width)
            if not same:
                raise InputError.at("pair", "a form that stands for another pair", "the page opened anew")
            return kept
    today = by.at.date()
    row: dict[str, Any] = {
        "wearer_id": wearer_id,
        "last_id": last_id,
        "size": size,
        "width": width,
        "state": state,
        "ordered_on": ordered_on or (today.isoformat() if state == "ordered" else None),
        "due_on": due_on,
        "arrived_on": None,
        "send_back_by": None,
        "closed_on": None,
        "in_exchange_for": in_exchange_for,
        "answer": None if answer is None else dict(answer),
        "note": note,
    }
    check_life(KeptPair(id="", version=1, **row), today)
    if id is not None:
        row["id"] = id
    return insert(conn, pairs, row, by=by, into=_pair)


def change_pair(
    conn: Connection,
    id: str,
    seen: int,
    changes: Mapping[str, Any],
    *,
    by: Author,
) -> KeptPair:
    """Change a pair's state, days, answer or note.

    Raises
    ------
    NotFound, Conflict
        Where the pair is gone, or was changed since `seen`.
    InputError
        Where state and days would no longer go together.
    """
    kept = find_pair(conn, id)
    unknown = sorted(set(changes) - set(_CHANGEABLE))
    if unknown:
        raise InputError.at(unknown[0], "a change", f"one of {', '.join(_CHANGEABLE)}")
    # Of two fitters the second is told so first: what is wrong with the days may be the other's doing.
    if kept.version == seen:
        check_life(evolve(kept, **changes), by.at.date())
    return update(conn, pairs, id, seen, changes, by=by, into=_pair)


def remove_pair(conn: Connection, id: str, seen: int, *, by: Author) -> None:
    """Remove a pair that never came, or was written down by mistake, with its try-ons; undo brings it back.

    Raises
    ------
    NotFound, Conflict
        Where the pair is gone, or was changed since `seen`.
    """
    remove(conn, pairs, id, seen, by=by, into=_pair)


def _pair(row: Row) -> KeptPair:
    return KeptPair(**row)


def _listed(row: dict[str, Any]) -> ListedPair:
    own = {name: row.pop(name) for name in ("wearer_code", "wearer_name", "last_code", "maker", "tried")}
    return ListedPair(_pair(row), **own)
