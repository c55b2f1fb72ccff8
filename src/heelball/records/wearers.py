"""Wearers: found in a second by any part of name or code."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from sqlalchemy import Connection, case, func, select

from heelball.errors import InputError
from heelball.foot.vector import Population
from heelball.records.columns import may_be_kept
from heelball.records.found import Row, find_row, folded, rows_of
from heelball.records.refused import Conflict
from heelball.records.schema import wearers
from heelball.records.values import Author, KeptWearer
from heelball.records.writing import insert, remove, update, written_time

#: How many a search gives at most: a page of them; who wants fewer types one more letter.
MOST_FOUND: Final = 50

#: More words than anyone's name has; SQLite takes no thousand of them.
_MOST_WORDS: Final = 12


def find_wearer(conn: Connection, id: str) -> KeptWearer:
    """Return one wearer.

    Raises
    ------
    NotFound
        Where there is none.
    """
    return _wearer(find_row(conn, wearers, id))


def find_by_code(conn: Connection, code: str) -> KeptWearer | None:
    """Return the wearer of a code; None where there is none."""
    if may_be_kept(code):
        for row in rows_of(conn, select(wearers).where(wearers.c.code == code)):
            return _wearer(row)
    return None


def list_wearers(conn: Connection) -> list[KeptWearer]:
    """Return all wearers, by name and then code."""
    query = select(wearers).order_by(wearers.c.sought, wearers.c.code)
    return [_wearer(row) for row in rows_of(conn, query)]


def search_wearers(conn: Connection, words: str, limit: int = MOST_FOUND) -> list[KeptWearer]:
    """Return the wearers who have every one of `words` somewhere in name or code.

    Case and accents make no difference, nor does the order. Whoever's code it is comes first, then
    those in whom a word starts with the first of them, then the others, each by name.

    Parameters
    ----------
    words
        What was typed; nothing at all finds the first ones by name. Words beyond a dozen are
        not looked at.
    limit
        How many at most.
    """
    parts = folded(words).split()[:_MOST_WORDS]
    query = select(wearers).where(*(wearers.c.sought.contains(part, autoescape=True) for part in parts))
    if parts:
        rank = case(
            (wearers.c.sought.endswith("/" + "".join(parts), autoescape=True), 0),
            ((" " + wearers.c.sought).contains(f" {parts[0]}", autoescape=True), 1),
            else_=2,
        )
        query = query.order_by(rank)
    query = query.order_by(wearers.c.sought, wearers.c.code).limit(limit)
    return [_wearer(row) for row in rows_of(conn, query)]


def count_wearers(conn: Connection) -> int:
    """Return how many wearers there are."""
    return conn.execute(select(func.count()).select_from(wearers)).scalar_one()


def add_wearer(
    conn: Connection,
    code: str,
    *,
    name: str = "",
    population: Population = "unstated",
    day: Sequence[Mapping[str, Any]] = (),
    keeps_try_ons: bool = False,
    note: str = "",
    by: Author,
) -> KeptWearer:
    """Add a wearer.

    Parameters
    ----------
    code
        What paper and outputs call the wearer: no other has it.
    day
        States of the day, as in a wearer file.
    keeps_try_ons
        Whether the wearer agreed that try-ons stay, without identity, after an erase.

    Raises
    ------
    InputError
        Where there is no code, or another wearer has it.
    """
    code = _own_code(conn, code, None)
    row = {
        "code": code,
        "name": name,
        "sought": _sought(name, code),
        "population": population,
        "day": [dict(state) for state in day],
        "keeps_try_ons": keeps_try_ons,
        "note": note,
        "made_at": written_time(by),
        "changed_at": written_time(by),
    }
    return insert(conn, wearers, row, by=by, into=_wearer)


def change_wearer(
    conn: Connection,
    id: str,
    seen: int,
    changes: Mapping[str, Any],
    *,
    by: Author,
) -> KeptWearer:
    """Change a wearer: any of code, name, population, day, keeps_try_ons, note.

    Raises
    ------
    NotFound, Conflict
        Where the wearer is gone, or was changed since `seen`.
    InputError
        Where the new code is empty or another wearer's.
    """
    kept = find_wearer(conn, id)
    wanted = dict(changes)
    if "code" in wanted:
        wanted["code"] = _own_code(conn, wanted["code"], id)
    if "day" in wanted:
        wanted["day"] = [dict(state) for state in wanted["day"]]
    if "code" in wanted or "name" in wanted:
        wanted["sought"] = _sought(wanted.get("name", kept.name), wanted.get("code", kept.code))
    try:
        return update(conn, wearers, id, seen, wanted, by=by, into=_wearer)
    except Conflict as told:
        # What search looks in is nothing to choose between.
        raise Conflict(told.theirs, seen, changes) from None


def remove_wearer(conn: Connection, id: str, seen: int, *, by: Author) -> None:
    """Remove a wearer with sittings, readings and pairs; undo brings them back, health and drafts not.

    Raises
    ------
    NotFound, Conflict
        Where the wearer is gone, or was changed since `seen`.
    """
    remove(conn, wearers, id, seen, by=by, into=_wearer)


def _own_code(conn: Connection, code: str, of: str | None) -> str:
    """Return a code without spaces around it, that no other wearer has."""
    code = code.strip()
    if not code:
        raise InputError.at("code", "nothing", "a code of the wearer's own")
    other = find_by_code(conn, code)
    if other is not None and other.id != of:
        raise InputError.at("code", f"{code}, which another wearer has", "a code of its own")
    return code


def _sought(name: str, code: str) -> str:
    """Return what a search looks in; sorted by it, wearers stand by name.

    The code is in it without signs and spaces: W-12 is found as w12, and as w 12.
    """
    return f"{folded(name)} /{folded(code).replace(' ', '')}"


def _wearer(row: Row) -> KeptWearer:
    values = dict(row)
    del values["sought"]
    return KeptWearer(**{**values, "day": tuple(values["day"])})
