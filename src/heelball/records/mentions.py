"""What others' rows say of a person: taken out where it is plain, told where it may be."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from sqlalchemy import Connection, Table, select, update

from heelball.records.found import rows_of
from heelball.records.rewording import Called, reworded
from heelball.records.runs_setting import LEARNED
from heelball.records.schema import (
    advice,
    changes,
    drafts,
    lasts,
    letters,
    makers,
    measured_pairs,
    pairs,
    settings,
    sittings,
    try_ons,
    wearers,
)

#: Where a fitter writes what comes to mind: a name may stand there, whoever's row it is.
_FREE: Final[tuple[tuple[Table, tuple[str, ...]], ...]] = (
    (makers, ("address", "note")),
    (lasts, ("note",)),
    (advice, ("origin",)),
    (measured_pairs, ("origin",)),
    (wearers, ("note",)),
    (sittings, ("note",)),
    (pairs, ("note",)),
    (try_ons, ("note",)),
    (letters, ("text", "note")),
    (drafts, ("fields",)),
    (settings, ("value",)),
)
_FREE_KEYS: Final = frozenset(name for _table, names in _FREE for name in names)

#: What one row of each is called where a fitter should look at it.
_ONE: Final = {
    "makers": "the maker",
    "lasts": "the last",
    "advice": "the advice on a last",
    "measured_pairs": "a measured pair",
    "wearers": "the wearer",
    "sittings": "a sitting",
    "pairs": "a pair",
    "try_ons": "a try-on",
    "letters": "a letter",
    "drafts": "a draft",
    "settings": "the setting",
}


def take_out_mentions(conn: Connection, who: Called) -> tuple[int, list[str]]:
    """Reword what others' rows and their history say of a person.

    Returns
    -------
    int
        How many rows were reworded.
    list of str
        Places that a fitter should look at: a word there may mean this person.
    """
    count = 0
    doubtful: list[str] = []
    for table, names in _FREE:
        for row in rows_of(conn, select(table)):
            if table is settings and row["name"] in LEARNED:
                # Nothing there was written by hand: a word in it is a last's or a maker's.
                continue
            new = reworded({name: row[name] for name in names}, who, _FREE_KEYS)
            differing = {name: new[name] for name in names if new[name] != row[name]}
            if differing:
                # A page that still shows the old text must not write it back unasked.
                raised = {"version": row["version"] + 1} if "version" in table.c else {}
                _put(conn, table, row, {**differing, **raised})
                count += 1
            doubtful += [
                f"{word!r} in the {name} of {_whose(conn, table, row)}"
                for name in names
                for word in who.doubtful_in(_flat(new[name]))
            ]
    told_of = [table.name for table, _names in _FREE]
    for row in rows_of(conn, select(changes).where(changes.c.table_name.in_(told_of))):
        sides = {side: row[side] for side in ("before", "after")}
        new = reworded(sides, who, _FREE_KEYS)
        if new != sides:
            _put(conn, changes, row, new)
            count += 1
    return count, doubtful


def _put(conn: Connection, table: Table, row: Mapping[str, Any], values: Mapping[str, Any]) -> None:
    (key,) = table.primary_key.columns
    conn.execute(update(table).where(key == row[key.name]).values(dict(values)))


def _flat(value: Any) -> str:
    return value if isinstance(value, str) else " ".join(_texts(value))


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for one in value.values():
            yield from _texts(one)
    elif isinstance(value, list):
        for one in value:
            yield from _texts(one)


def _whose(conn: Connection, table: Table, row: Mapping[str, Any]) -> str:
    """Return whose text it is, by what the fitter calls it."""
    for column, parent, name in (
        ("maker_id", makers, "name"),
        ("last_id", lasts, "code"),
        ("wearer_id", wearers, "code"),
    ):
        if table is not lasts and row.get(column) is not None:
            found = conn.execute(select(parent.c[name]).where(parent.c.id == row[column])).scalar()
            return f"{_ONE[table.name]} of {found}"
    return f"{_ONE[table.name]} {row.get('code') or row.get('name') or row.get('id')}"
