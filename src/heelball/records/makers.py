"""Makers: who makes the boots, and where to write to."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, select

from heelball.errors import InputError
from heelball.records.found import Row, find_row, folded
from heelball.records.schema import makers
from heelball.records.values import Author, Maker
from heelball.records.writing import insert, remove, update


def find_maker(conn: Connection, id: str) -> Maker:
    """Return one maker.

    Raises
    ------
    NotFound
        Where there is none.
    """
    return _maker(find_row(conn, makers, id))


def find_by_name(conn: Connection, name: str) -> Maker | None:
    """Return the maker of a name; None where there is none."""
    row = conn.execute(select(makers).where(makers.c.name == name.strip())).mappings().one_or_none()
    return None if row is None else _maker(dict(row))


def list_makers(conn: Connection) -> list[Maker]:
    """Return all makers by name."""
    found = [_maker(dict(row)) for row in conn.execute(select(makers)).mappings()]
    return sorted(found, key=lambda maker: (folded(maker.name), maker.name))


def add_maker(conn: Connection, name: str, *, address: str = "", note: str = "", by: Author) -> Maker:
    """Add a maker.

    Parameters
    ----------
    name
        No other maker has it.
    address
        Where a letter goes, in lines.

    Raises
    ------
    InputError
        Where there is no name, or another maker has it.
    """
    row = {"name": _own_name(conn, name, None), "address": address, "note": note}
    return insert(conn, makers, row, by=by, into=_maker)


def change_maker(
    conn: Connection,
    id: str,
    seen: int,
    changes: Mapping[str, Any],
    *,
    by: Author,
) -> Maker:
    """Change a maker: any of name, address, note.

    Raises
    ------
    NotFound, Conflict
        Where the maker is gone, or was changed since `seen`.
    InputError
        Where the new name is empty or another maker's.
    """
    wanted = dict(changes)
    if "name" in wanted:
        wanted["name"] = _own_name(conn, wanted["name"], id)
    return update(conn, makers, id, seen, wanted, by=by, into=_maker)


def remove_maker(conn: Connection, id: str, seen: int, *, by: Author) -> None:
    """Remove a maker that has no lasts, and the letters to it.

    Raises
    ------
    NotFound, Conflict
        Where the maker is gone, or was changed since `seen`.
    StillNeeded
        Where a last names it.
    """
    remove(conn, makers, id, seen, by=by, into=_maker)


def _own_name(conn: Connection, name: str, of: str | None) -> str:
    """Return a name without spaces around it, that no other maker has."""
    name = name.strip()
    if not name:
        raise InputError.at("name", "nothing", "the maker's name")
    other = find_by_name(conn, name)
    if other is not None and other.id != of:
        raise InputError.at("name", f"{name}, which is kept already", "a name of its own")
    return name


def _maker(row: Row) -> Maker:
    return Maker(**row)
