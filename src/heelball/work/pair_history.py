"""What was written of a pair, step by step, and each step taken back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from attrs import asdict, frozen
from sqlalchemy import Connection, select

from heelball.errors import InputError
from heelball.records.changes import find_change, list_changes_of, list_changes_of_wearer, undo
from heelball.records.found import rows_of
from heelball.records.lasts import find_last
from heelball.records.pair_life import STATE_WORDS
from heelball.records.pairs import find_exchanged_for, remove_pair
from heelball.records.refused import Conflict, NotFound
from heelball.records.run_evidence import change_measured, find_measured, withdraw_measured
from heelball.records.schema import changes as changes_table
from heelball.records.schema import pairs
from heelball.records.store import Records
from heelball.records.try_ons import list_try_ons
from heelball.records.values import Author, Change, KeptPair
from heelball.work.arrival_check import ARRIVAL
from heelball.work.hear_at_once import hear_at_once

#: So many of the pairs that were taken out lately are shown for undo.
TAKEN_OUT: Final = 5

_NAMED: Final = {
    "ordered_on": "the day it was ordered",
    "due_on": "the day it is expected",
    "arrived_on": "the day it arrived",
    "send_back_by": "the last day to send it back",
    "closed_on": "the day it was closed",
    "note": "the note",
}
_Row = Mapping[str, Any]


@frozen
class Step:
    """One write: when and by whom, what it did in words, and whether it can be taken back now."""

    id: int
    at: str
    fitter: str
    text: str
    undone: bool
    can_undo: bool


def history(conn: Connection, pair: KeptPair) -> tuple[Step, ...]:
    """Return what was written of a pair and its try-ons, the last first."""
    now: dict[str, _Row] = {pair.id: asdict(pair, recurse=False)}
    now |= {one.id: asdict(one, recurse=False) for one in list_try_ons(conn, pair_id=pair.id)}
    steps = []
    latest: set[str] = set()
    for change in list_changes_of_wearer(conn, pair.wearer_id):
        if not _is_of(change, pair.id):
            continue
        # Of a row that is out only the last write can be taken back: it took it out.
        last_of_row = change.row_id not in latest
        latest.add(change.row_id)
        stands = now.get(change.row_id)
        can = not change.undone and (
            (last_of_row and stands is None) if change.after is None else _same(stands, change.after)
        )
        if change.before is None and change.table_name == "pairs":
            # The pair itself is taken back by its own step, not from the history.
            can = False
        steps.append(Step(change.id, change.at, change.fitter, _text(change), change.undone, can_undo=can))
    return tuple(steps)


def undo_step(records: Records, pair_id: str, change_id: int, by: Author) -> None:
    """Take one write to a pair, or to one of its try-ons, back.

    With an exchange goes the order it made, with a check what it measured of the last.

    Raises
    ------
    NotFound
        Where the pair has no such write.
    InputError
        Where something was written over it since.
    """
    with records.writing() as conn:
        change = find_change(conn, change_id)
        if not _is_of(change, pair_id):
            raise NotFound("This change")
        if change.after is None and _undone_exchange(conn, change.before or {}):
            found = "the exchange it was ordered for was undone"
            raise InputError.at("undo", found, "that exchange again, on the page of the pair that went back")
        if change.table_name == "pairs" and change.before is not None and change.after is not None:
            _undo_order_of_exchange(conn, change, by)
            _undo_measuring(conn, change, by)
        try:
            undo(conn, change_id, by=by)
        except Conflict:
            found = "something was written over it since"
            raise InputError.at("undo", found, "what came after it undone first") from None
        # A pair that comes back, or goes, takes what was told of it along.
        hear_at_once(conn, (change.after or change.before or {})["last_id"])


@frozen
class TakenOut:
    """A pair that was taken out of the records, and the change that undo takes back."""

    pair_id: str
    change_id: int
    at: str
    label: str
    last_code: str


def taken_out(records: Records) -> tuple[TakenOut, ...]:
    """Return the pairs that were taken out last and are still out, the last first."""
    query = (
        select(changes_table)
        .where(
            changes_table.c.table_name == "pairs",
            changes_table.c.after.is_(None),
            changes_table.c.undone.is_(False),
        )
        .order_by(changes_table.c.id.desc())
        .limit(TAKEN_OUT)
    )
    found = []
    with records.reading() as conn:
        for row in rows_of(conn, query):
            before: _Row = row["before"]
            if list_changes_of(conn, "pairs", row["row_id"])[0].id != row["id"] or _undone_exchange(
                conn, before
            ):
                continue
            label = " ".join(part for part in (before["size"], before["width"]) if part)
            code = find_last(conn, before["last_id"]).code
            found.append(TakenOut(row["row_id"], row["id"], row["at"], label, code))
    return tuple(found)


def _undone_exchange(conn: Connection, gone: _Row) -> bool:
    """Whether a pair that is out was ordered for one that is no longer exchanged."""
    old = gone.get("in_exchange_for")
    return old is not None and not any(
        row["state"] == "exchanged" for row in rows_of(conn, select(pairs).where(pairs.c.id == old))
    )


def _undo_order_of_exchange(conn: Connection, change: Change, by: Author) -> None:
    """Take out the order that an exchange made, or bring it back where its undoing is undone."""
    before, after = change.before or {}, change.after or {}
    if after.get("state") == "exchanged" and before.get("state") != "exchanged":
        new = find_exchanged_for(conn, change.row_id)
        if new is None:
            return
        if new.state != "ordered" or list_try_ons(conn, pair_id=new.id):
            found = f"the pair ordered in exchange is {STATE_WORDS[new.state]}"
            raise InputError.at("undo", found, "what came after it undone first")
        remove_pair(conn, new.id, new.version, by=by)
    elif before.get("state") == "exchanged" and after.get("state") != "exchanged":
        for other in list_changes_of_wearer(conn, str(after["wearer_id"])):
            gone = other.table_name == "pairs" and other.after is None and not other.undone
            if gone and (other.before or {}).get("in_exchange_for") == change.row_id:
                undo(conn, other.id, by=by)
                return


def _undo_measuring(conn: Connection, change: Change, by: Author) -> None:
    """Let what a check measured count no longer, or what the check before it measured count again."""
    stood, stands = (_measured_id(row) for row in (change.before, change.after))
    if stands == stood:
        return
    if stands is not None:
        measured = find_measured(conn, stands)
        if measured.withdrawn_at is None:
            withdraw_measured(conn, stands, measured.version, by=by)
    if stood is not None:
        measured = find_measured(conn, stood)
        change_measured(conn, stood, measured.version, {"withdrawn_at": None}, by=by)


def _measured_id(row: _Row | None) -> str | None:
    answer = (row or {}).get("answer") or {}
    found: str | None = (answer.get(ARRIVAL) or {}).get("measured_id")
    return found


def _is_of(change: Change, pair_id: str) -> bool:
    row = change.after or change.before or {}
    if change.table_name == "pairs":
        return change.row_id == pair_id
    return change.table_name == "try_ons" and row.get("pair_id") == pair_id


def _same(now: _Row | None, after: _Row) -> bool:
    return now is not None and all(
        now[name] == value for name, value in after.items() if name in now and name != "version"
    )


def _text(change: Change) -> str:
    if change.table_name == "try_ons":
        return _try_on_text(change)
    return _pair_text(change.before, change.after)


def _try_on_text(change: Change) -> str:
    row = change.after or change.before or {}
    done = "written down" if change.before is None else "taken out" if change.after is None else "mended"
    return f"try-on of {row.get('on')} {done}"


def _pair_text(before: _Row | None, after: _Row | None) -> str:
    if after is None:
        return "taken out"
    state = STATE_WORDS[after["state"]]
    if before is None:
        day = f" {after['ordered_on']}" if after.get("ordered_on") else ""
        return f"written down: {state}{day}"
    if before["state"] != after["state"]:
        on = after.get("arrived_on" if after["state"] == "arrived" else "closed_on")
        if on is None or not _later(before, after):
            return f"put back to: {state}"
        return f"{'came' if after['state'] == 'arrived' else state}, {on}"
    if before.get("answer") != after.get("answer"):
        checked = ((after.get("answer") or {}).get(ARRIVAL)) is not None
        return "the boot that came checked" if checked else "the check taken back"
    mended = [words for name, words in _NAMED.items() if before.get(name) != after.get(name)]
    return f"{', '.join(mended)} mended" if mended else "written again"


_ORDER: Final = ("ordered", "arrived", "kept", "exchanged", "returned")


def _later(before: _Row, after: _Row) -> bool:
    """Whether a state follows the one before it, so that it was no undoing."""
    return before["state"] in _ORDER[:2] and _ORDER.index(after["state"]) > _ORDER.index(before["state"])
