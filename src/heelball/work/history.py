"""What was done to a wearer's records, in words, and taking it back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, Final

from attrs import frozen
from sqlalchemy import Connection

from heelball.records import changes, wearers
from heelball.records.refused import NotFound
from heelball.records.store import Records
from heelball.records.values import Author, Change, KeptWearer
from heelball.show.labels import MEASURE_WORDS
from heelball.show.mark_words import day_text, time_text
from heelball.units import MILLIMETRES
from heelball.work.csv_text import csv_text

#: What a row of each table is called.
_CALLED: Final = {
    "wearers": "wearer",
    "sittings": "sitting",
    "sheets": "sheet",
    "readings": "reading",
    "pairs": "pair",
    "try_ons": "try-on",
}

#: What a column is called; those not named here tell a fitter nothing.
_COLUMNS: Final = {
    "code": "code",
    "name": "name",
    "population": "foot gauge",
    "day": "day",
    "keeps_try_ons": "try-ons kept after an erase",
    "note": "note",
    "at": "time",
    "load": "load",
    "sock": "sock",
    "fitter": "fitter",
    "state": "state",
    "ordered_on": "ordered on",
    "due_on": "due on",
    "arrived_on": "arrived on",
    "send_back_by": "to be sent back by",
    "closed_on": "settled on",
    "on": "day",
    "hours": "hours worn",
    "swelling": "swelling",
    "verdicts": "verdicts",
}


@frozen
class Done:
    """One change in words: when, by whom, what, and whether it was taken back.

    `first` is the writing down of the wearer itself: who takes that back means an erase. `for_good`
    tells that nothing takes it back.
    """

    id: int
    when: str
    fitter: str
    said: str
    undone: bool
    first: bool
    for_good: bool = False


@frozen
class History:
    """All that was done to a wearer's records, the last first."""

    kept: KeptWearer
    done: tuple[Done, ...]


def history(records: Records, wearer_id: str) -> History:
    """Return what was done to a wearer's records.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    """
    with records.reading() as conn:
        kept = wearers.find_wearer(conn, wearer_id)
        found = changes.list_changes_of_wearer(conn, wearer_id)
    return History(kept, tuple(done(one) for one in found))


def history_csv(records: Records, wearer_id: str) -> str:
    """Return what was done to a wearer's records as rows: when, by whom, what, and whether undone.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    """
    rows = [
        [one.when, one.fitter, one.said, "undone" if one.undone else ""]
        for one in history(records, wearer_id).done
    ]
    return csv_text(("when", "fitter", "what", "undone"), rows)


def done(change: Change) -> Done:
    """Return a change in words."""
    at = datetime.fromisoformat(change.at)
    when = f"{day_text(at.date())}, {time_text(at)}"
    first = change.table_name == "wearers" and change.before is None
    return Done(
        change.id,
        when,
        change.fitter,
        _said(change),
        change.undone,
        first,
        changes.is_for_good(change),
    )


def _said(change: Change) -> str:
    called = _CALLED.get(change.table_name, "row")
    row = change.after or change.before or {}
    name = _named(change.table_name, row)
    if change.table_name in ("sittings", "sheets") and None in (change.before, change.after):
        more = ", picture kept" if change.before is None and row.get("agreed") else ""
        return f"{called}{name} {'written down' if change.before is None else 'taken out'}{more}"
    if change.before is None:
        kind = row.get("kind")
        more = f", a {kind}" if kind in ("repeat", "correction") else ""
        return f"{called} written down{name}{more}"
    if change.after is None:
        return f"{called} taken out{name}"
    if changes.is_for_good(change):
        return f"{called}{name}: picture taken out for good"
    before, after = change.before, change.after
    if before.get("withdrawn_at") != after.get("withdrawn_at"):
        return f"{called}{name} " + ("taken back" if after.get("withdrawn_at") else "counts again")
    return f"{called}{name if change.table_name != 'wearers' else ''}: {_differences(before, after)}"


def _named(table: str, row: Mapping[str, Any]) -> str:
    """Return what tells a row from others of its table, without what another row would have to tell."""
    if table == "readings":
        unit = f" {row['scale']}" if row["scale"] in MILLIMETRES else f" on {row['scale']}"
        line = f" at line {row['line']}" if row.get("line") else ""
        return f": {row['foot']} {MEASURE_WORDS[row['what']]} {row['value']}{line}{unit}"
    if table in ("pairs", "try_ons"):
        return f": {row['size']} {row.get('width') or ''}".rstrip()
    if table == "sheets":
        return f" of the {row['foot']} foot"
    if table == "sittings":
        return f" of {day_text(datetime.fromisoformat(row['at']).date())}"
    return ""


def _differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    said = [
        f"{words} from {_shown(before.get(name))} to {_shown(after.get(name))}"
        for name, words in _COLUMNS.items()
        if name in after and before.get(name) != after.get(name)
    ]
    return "; ".join(said) or "particulars changed"


def _shown(value: object) -> str:
    if value is None or value in ("", [], False):
        return "nothing"
    if isinstance(value, list):
        return ", ".join(str(one.get("name", "")) for one in value if isinstance(one, Mapping))
    if isinstance(value, Mapping):
        return "what was told"
    return "yes" if value is True else str(value)


def take_back(records: Records, wearer_id: str, change_id: int, *, by: Author) -> None:
    """Take one change of a wearer's records back.

    Raises
    ------
    NotFound, AlreadyUndone, Conflict, RecordsError
        As `heelball.records.changes.undo`; also where the change is not this wearer's.
    """
    with records.writing() as conn:
        changes.undo(conn, _mine(conn, wearer_id, change_id).id, by=by)


def _mine(conn: Connection, wearer_id: str, change_id: int) -> Change:
    """Return a change of this wearer's: one of somebody else's is not found from here."""
    found = changes.find_change(conn, change_id)
    if found.wearer_id != wearer_id:
        raise NotFound("This change")
    return found


def last_done(found: Sequence[Change]) -> tuple[Change, ...]:
    """Return what was done last, to be taken back at once: one change, or the readings of one sitting.

    Parameters
    ----------
    found
        The changes of a wearer, the last first.
    """
    open_ = [change for change in found if not (change.undone or changes.is_for_good(change))]
    if not open_ or (open_[0].table_name == "wearers" and open_[0].before is None):
        return ()
    first = open_[0]
    if first.table_name != "readings":
        return (first,)
    together = []
    for change in open_:
        if change.table_name != "readings" or change.at != first.at or _sitting(change) != _sitting(first):
            break
        together.append(change)
    return tuple(together)


def _sitting(change: Change) -> object:
    return (change.after or change.before or {}).get("sitting_id")


def take_last_back(records: Records, wearer_id: str, seen: int, *, by: Author) -> None:
    """Take back what was done last to a wearer's records, if it is what the fitter saw.

    Parameters
    ----------
    records, wearer_id
        Where, and whose.
    seen
        The number of the change that the page showed as the last.
    by
        Who takes it back, and when.

    Raises
    ------
    NotFound, AlreadyUndone, Conflict, RecordsError
        As `heelball.records.changes.undo`.
    """
    with records.writing() as conn:
        together = last_done(changes.list_changes_of_wearer(conn, wearer_id))
        if not together or together[0].id != seen:
            # Something was written since: what the fitter meant is looked for by its number.
            together = (_mine(conn, wearer_id, seen),)
        for change in together:
            changes.undo(conn, change.id, by=by)
