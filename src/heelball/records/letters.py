"""Letters to makers: drafted, sent and waiting, answered, or dropped."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date as Date
from typing import Any, Final

from attrs import evolve
from sqlalchemy import Connection, select

from heelball.errors import InputError, Problem
from heelball.records.found import Row, find_row
from heelball.records.schema import letters, makers
from heelball.records.values import Author, Letter, LetterState
from heelball.records.writing import insert, update, written_time

#: The days that each state has.
_DAYS: Final[dict[LetterState, tuple[str, ...]]] = {
    "draft": (),
    "sent": ("sent_on",),
    "answered": ("sent_on", "answered_on"),
}
_DAY_WORDS: Final = {"sent_on": "the day it was sent", "answered_on": "the day the answer came"}


def find_letter(conn: Connection, id: str) -> Letter:
    """Return one letter.

    Raises
    ------
    NotFound
        Where there is none.
    """
    return _letter(find_row(conn, letters, id))


def list_letters(
    conn: Connection, *, state: LetterState | None = None, maker_id: str | None = None
) -> list[Letter]:
    """Return letters, the longest waiting first.

    Parameters
    ----------
    state, maker_id
        Only those in one state, or to one maker.
    """
    query = select(letters)
    if state is not None:
        query = query.where(letters.c.state == state)
    if maker_id is not None:
        query = query.where(letters.c.maker_id == maker_id)
    found = [_letter(dict(row)) for row in conn.execute(query).mappings()]
    return sorted(found, key=lambda letter: (letter.sent_on or "", letter.drafted_at, letter.id))


def add_letter(
    conn: Connection, maker_id: str, *, about: Sequence[str], text: str, note: str = "", by: Author
) -> Letter:
    """Add the draft of a letter.

    Parameters
    ----------
    about
        Codes of the lasts it asks about.

    Raises
    ------
    NotFound
        Where there is no such maker.
    """
    find_row(conn, makers, maker_id)
    row = {
        "maker_id": maker_id,
        "state": "draft",
        "about": list(about),
        "text": text,
        "drafted_at": written_time(by),
        "sent_on": None,
        "answered_on": None,
        "note": note,
    }
    return insert(conn, letters, row, by=by, into=_letter)


def change_letter(
    conn: Connection,
    id: str,
    seen: int,
    changes: Mapping[str, Any],
    *,
    by: Author,
) -> Letter:
    """Change a letter: its text, note, or how far it has come.

    Raises
    ------
    NotFound, Conflict
        Where it is gone, or was changed since `seen`.
    InputError
        Where its days and its state do not go together, or the text of a letter that is out
        would change.
    """
    kept = find_letter(conn, id)
    wanted = dict(changes)
    if "about" in wanted:
        wanted["about"] = list(wanted["about"])
    _check(kept, evolve(kept, **{**wanted, "about": tuple(wanted.get("about", kept.about))}), by.at.date())
    return update(conn, letters, id, seen, wanted, by=by, into=_letter)


def _check(before: Letter, after: Letter, today: Date) -> None:
    problems = []
    if after.state in ("sent", "answered") and before.state != "draft" and after.text != before.text:
        problems.append(Problem("text", "another text than was sent", "the text as it was sent"))
    days: dict[str, Date] = {}
    for name, words in _DAY_WORDS.items():
        day = getattr(after, name)
        if after.state != "dropped" and name not in _DAYS[after.state]:
            if day is not None:
                problems.append(Problem(name, f"{day}, but the letter is no further", "no such day yet"))
        elif day is None:
            if after.state != "dropped":
                problems.append(Problem(name, "no day", words))
        elif Date.fromisoformat(day) > today:
            problems.append(Problem(name, f"{day}, which is still to come", f"a day up to {today}"))
        else:
            days[name] = Date.fromisoformat(day)
    if len(days) == len(_DAY_WORDS) and days["answered_on"] < days["sent_on"]:
        found = f"{days['answered_on']}, before it was sent"
        problems.append(Problem("answered_on", found, f"{days['sent_on']} or later"))
    if problems:
        raise InputError(problems)


def _letter(row: Row) -> Letter:
    return Letter(**{**row, "about": tuple(row["about"])})
