"""Rows of an export brought into the records: what is there and equal stays, what differs is refused."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any, Final

from attrs import define, field
from sqlalchemy import Connection, Table, UniqueConstraint, func, insert, select, text

from heelball.errors import InputError, Problem, UnreadableText
from heelball.records.exchange.cells import Bundle, from_cell
from heelball.records.exchange.export import FITTERS_OWN
from heelball.records.found import rows_of
from heelball.records.runs_setting import LEARNED
from heelball.records.schema import (
    EXPORTED,
    changes,
    health_answers,
    pairs,
    readings,
    settings,
    sheets,
    wearers,
)
from heelball.records.soundness import called, flaws_of

Row = dict[str, Any]

#: Parents before children.
_ORDER: Final = (*EXPORTED, health_answers)

#: Tables that name themselves, and by which column.
_OF_ITS_OWN: Final = {readings: "of_id", pairs: "in_exchange_for"}

_AT_ONCE: Final = 500


@define
class Merged:
    """What an import brought.

    Attributes
    ----------
    added
        Rows added, by table.
    there
        How many rows were there already.
    left_out
        Who had been erased and stays so: a code and a day.
    remarks
        Further sentences.
    """

    added: dict[str, int] = field(factory=dict)
    there: int = 0
    left_out: list[str] = field(factory=list)
    remarks: list[str] = field(factory=list)


def ids_in(bundle: Bundle) -> set[str]:
    """Return the ids of all wearers that a bundle speaks of, and of all sheets."""
    found = {cells.get("id") for table in (wearers, sheets) for cells in bundle.cells_of(table)}
    for table in _ORDER:
        if "wearer_id" in table.c:
            found |= {cells.get("wearer_id") for cells in bundle.cells_of(table)}
    return {one for one in found if isinstance(one, str)}


def merge(conn: Connection, bundle: Bundle, *, erased: Mapping[str, str]) -> Merged:
    """Bring the rows of a bundle in, in the transaction of `conn`.

    Parameters
    ----------
    bundle
        Rows as cells, with the places they were read at.
    erased
        Wearers that were erased here, and sheets whose picture was, by id, and when: they stay out.

    Raises
    ------
    InputError
        With every row that cannot be read, differs from what is kept, or does not go with it.
    """
    problems: list[Problem] = []
    merged = Merged()
    rows = {table: list(_read(table, bundle, problems)) for table in _ORDER}
    if problems:
        raise InputError(problems)
    _leave_out(rows, erased, merged)
    new: dict[Table, list[tuple[str, Row]]] = {}
    for table in _ORDER:
        if table is changes:
            new[table] = _new_changes(conn, rows[table], merged)
        else:
            new[table] = list(_new_rows(conn, table, rows[table], merged, problems))
        problems += _taken(conn, table, new[table])
        problems += _lost(conn, table, new)
    if problems:
        raise InputError(problems)
    for table in _ORDER:
        _insert(conn, table, [row for _place, row in new[table]])
        if new[table]:
            merged.added[table.name] = len(new[table])
    return merged


def _read(table: Table, bundle: Bundle, problems: list[Problem]) -> Iterator[tuple[str, Row]]:
    """Yield the rows that can be read; the problems of the others are added."""
    seen: dict[Any, str] = {}
    (key,) = table.primary_key.columns
    for place, cells in bundle.rows.get(table.name, ()):
        row: Row = {}
        before = len(problems)
        for column in table.c:
            try:
                row[column.name] = from_cell(column, cells.get(column.name))
            except UnreadableText as refused:
                problems.append(refused.at(f"{place}, {column.name}"))
        if len(problems) == before:
            problems += [
                Problem(f"{place}, {flaw.column}", flaw.found, flaw.wanted) for flaw in flaws_of(table, row)
            ]
        if len(problems) > before:
            continue
        if row[key.name] in seen:
            found = f"the row of {seen[row[key.name]]} again"
            problems.append(Problem(f"{place}, {key.name}", found, "each row once"))
        seen.setdefault(row[key.name], place)
        yield place, row


def _leave_out(rows: dict[Table, list[tuple[str, Row]]], erased: Mapping[str, str], merged: Merged) -> None:
    if not erased:
        return
    merged.left_out += [
        f"{row['code']} was erased on {erased[row['id']]}"
        for _place, row in rows[wearers]
        if row["id"] in erased
    ]
    for _place, row in rows[sheets]:
        if row["id"] in erased:
            row |= {"agreed": False, "picture": None}
    for table, found in rows.items():
        owner = "id" if table is wearers else "wearer_id"
        if owner in table.c:
            rows[table] = [(place, row) for place, row in found if row[owner] not in erased]


def _new_rows(
    conn: Connection, table: Table, rows: list[tuple[str, Row]], merged: Merged, problems: list[Problem]
) -> Iterator[tuple[str, Row]]:
    """Yield the rows that are not there yet; those that differ are problems."""
    (key,) = table.primary_key.columns
    kept = _kept(conn, table, key.name, {row[key.name] for _place, row in rows})
    for place, row in rows:
        there = kept.get(row[key.name])
        if there is None:
            yield place, row
            continue
        if table is settings and row[key.name] in LEARNED:
            # Worked out from what is here: neither can be wrong, and `records learn` makes it anew.
            merged.there += 1
            continue
        differing = [name for name in row if row[name] != there[name] and not _is_fitters(table, name, row)]
        if differing:
            said = f"{', '.join(differing)} other than in the records ({called(table, there)})"
            problems.append(Problem(place, said, "the same, or a row that is not kept yet"))
        else:
            merged.there += 1


def _is_fitters(table: Table, name: str, row: Row) -> bool:
    """Return whether this is what a wearer who takes everything away does not get to see."""
    return name in FITTERS_OWN.get(table, ()) and not row[name]


def _new_changes(conn: Connection, rows: list[tuple[str, Row]], merged: Merged) -> list[tuple[str, Row]]:
    """Return the changes that are not there yet: known by what they say, since numbers are given anew."""
    if not rows:
        return []
    there = {_said(row) for row in rows_of(conn, select(changes))}
    taken = set(conn.execute(select(changes.c.id)).scalars())
    last = max(taken, default=0)
    new = []
    for place, row in sorted(rows, key=lambda one: int(one[1]["id"])):
        if _said(row) in there:
            merged.there += 1
            continue
        number = row["id"] if not taken else last + 1
        last = max(last, number)
        new.append((place, {**row, "id": number}))
    return new


def _said(row: Row) -> str:
    # What was undone here since is the same change.
    told = {name: value for name, value in row.items() if name not in ("id", "undone")}
    return json.dumps(told, sort_keys=True)


def _kept(conn: Connection, table: Table, key: str, wanted: set[Any]) -> dict[Any, Row]:
    ids = sorted(wanted)
    found: dict[Any, Row] = {}
    for start in range(0, len(ids), _AT_ONCE):
        some = select(table).where(table.c[key].in_(ids[start : start + _AT_ONCE]))
        found |= {row[key]: row for row in rows_of(conn, some)}
    return found


def _taken(conn: Connection, table: Table, rows: list[tuple[str, Row]]) -> Iterator[Problem]:
    """Yield the problems of rows with a code, name or number that another row has."""
    for names in _unique(table):
        columns = [table.c[name] for name in names]
        there = {tuple(row) for row in conn.execute(select(*columns))} if rows else set()
        for place, row in rows:
            values = tuple(row[name] for name in names)
            if values in there:
                found = f"{values[-1]!r}, which another row has"
                yield Problem(f"{place}, {names[-1]}", found, "one of its own")
            there.add(values)


def _unique(table: Table) -> Iterator[tuple[str, ...]]:
    for constraint in table.constraints:
        if isinstance(constraint, UniqueConstraint):
            yield tuple(column.name for column in constraint.columns)
    for one in table.indexes:
        if one.unique:
            yield tuple(column.name for column in one.columns)


def _lost(conn: Connection, table: Table, new: dict[Table, list[tuple[str, Row]]]) -> Iterator[Problem]:
    """Yield the problems of rows that name a row neither in the import nor in the records."""
    for key in table.foreign_keys:
        name, parent = key.parent.name, key.column.table
        coming = {row["id"] for _place, row in new[parent]}
        wanted = {row[name] for _place, row in new[table]} - coming - {None}
        there = _kept(conn, parent, "id", wanted)
        for place, row in new[table]:
            if row[name] in wanted and row[name] not in there:
                yield Problem(
                    f"{place}, {name}", f"{row[name]!r}, which names nothing", f"a row of {parent.name}"
                )


def _insert(conn: Connection, table: Table, rows: list[Row]) -> None:
    if not rows:
        return
    for some in _parents_first(rows, _OF_ITS_OWN.get(table)):
        conn.execute(insert(table), some)
    if table is changes and conn.dialect.name == "postgresql":
        # Numbers were given by hand: the server's own counting goes on behind them.
        last = conn.execute(select(func.max(changes.c.id))).scalar()
        conn.execute(text("SELECT setval(pg_get_serial_sequence('changes', 'id'), :last)"), {"last": last})


def _parents_first(rows: list[Row], key: str | None) -> Iterator[list[Row]]:
    """Yield rows in lots, each naming only rows of earlier lots.

    Raises
    ------
    InputError
        Where rows name each other in a ring.
    """
    if key is None:
        yield rows
        return
    waiting = {row["id"]: row for row in rows}
    while waiting:
        ready = [row for row in waiting.values() if row[key] not in waiting]
        if not ready:
            raise InputError.at(key, "rows that name each other in a ring", "an end to it")
        yield ready
        for row in ready:
            del waiting[row["id"]]
