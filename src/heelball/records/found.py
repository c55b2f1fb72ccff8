"""Rows found by their names, and words folded for a search."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from typing import Any, Final

from sqlalchemy import Connection, Select, Table, select

from heelball.records.columns import may_be_kept
from heelball.records.refused import NotFound

Row = Mapping[str, Any]

#: What each table's row is called where it is not found.
_CALLED: Final = {
    "wearers": "This wearer",
    "sittings": "This sitting",
    "sheets": "This sheet",
    "readings": "This reading",
    "makers": "This maker",
    "lasts": "This last",
    "advice": "This advice",
    "measured_pairs": "This measured pair",
    "pairs": "This pair",
    "try_ons": "This try-on",
    "letters": "This letter",
    "gauge_marks": "This mark of the gauge",
    "changes": "This change",
}

# Letters that are not a plain letter and a mark on it; an apostrophe parts no word.
_PLAIN: Final = str.maketrans(
    dict.fromkeys("'`\u00b4\u02bc\u2018\u2019", "")
    | {"ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "\u0131": "i", "ŋ": "n"}
)


def find_row(conn: Connection, table: Table, id: str | int) -> dict[str, Any]:
    """Return one row.

    Parameters
    ----------
    table, id
        The table, and the row's name in it: its only primary key.

    Raises
    ------
    NotFound
        Where there is none.
    """
    (key,) = table.primary_key.columns
    # What cannot be kept cannot be looked for either: it stands in an address that someone made up.
    if may_be_kept(id):
        for row in rows_of(conn, select(table).where(key == id)):
            return row
    raise NotFound(_CALLED.get(table.name, "This"))


def rows_of(conn: Connection, query: Select[Any]) -> list[dict[str, Any]]:
    """Return what a query finds, each row by its columns' names."""
    return [dict(row) for row in conn.execute(query).mappings()]


def folded(text: str) -> str:
    """Return the words of `text` as a search compares them: no case, no accents, single spaces."""
    apart = unicodedata.normalize("NFKD", text.casefold().translate(_PLAIN))
    bare = "".join(sign for sign in apart if not unicodedata.combining(sign))
    return " ".join("".join(sign if sign.isalnum() else " " for sign in bare).split())
