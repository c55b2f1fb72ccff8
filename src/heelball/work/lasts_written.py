"""What a fitter writes down of lasts and makers, each step a transaction of its own."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypeVar

from sqlalchemy import Connection

from heelball.errors import InputError, Problem, UnreadableText
from heelball.records import lasts, makers, run_evidence
from heelball.records.pairs import list_pairs
from heelball.records.store import Records
from heelball.records.values import Author, KeptAdvice, KeptLast, KeptMeasured, Maker
from heelball.scales.catalogue import size_scale
from heelball.scales.size_scale import SizeScale
from heelball.work.evidence_form import read_advice_form, read_measured_form
from heelball.work.fields import check_name
from heelball.work.last_form import read_last_form
from heelball.work.lasts_kept import check_of, rows_of_last
from heelball.work.what_was_done import take_back

T = TypeVar("T")


def new_last(records: Records, typed: Mapping[str, str], *, units: str, by: Author) -> KeptLast:
    """Add a last from what was typed, and its maker where that is a new one.

    Raises
    ------
    InputError
        With every problem; the place of each is the field's name.
    """
    columns = read_last_form(typed, units=units)
    with records.writing() as conn:
        maker_id = _maker_of(conn, columns.pop("maker"), by)
        return _beside_columns(lambda: lasts.add_last(conn, maker_id, columns.pop("code"), **columns, by=by))


def edit_last(
    records: Records, last_id: str, seen: int, typed: Mapping[str, str], *, units: str, by: Author
) -> KeptLast:
    """Change a last's own fields; its advice and measured pairs have to go with them.

    Raises
    ------
    InputError, NotFound, Conflict
        As in `new_last`; where it is gone, or was changed since `seen`.
    """
    with records.writing() as conn:
        kept = lasts.find_last(conn, last_id)
        columns = read_last_form(typed, units=units, kept=kept)
        _check_pairs(conn, kept, columns["label_scale"])
        columns["maker_id"] = _maker_of(conn, columns.pop("maker"), by)
        return _beside_columns(lambda: lasts.change_last(conn, last_id, seen, columns, by=by))


def _check_pairs(conn: Connection, kept: KeptLast, label_scale: str) -> None:
    """Raise where a pair can be read on a last's scale and not on another that it is to have."""
    if label_scale == kept.label_scale:
        return
    scale = size_scale(label_scale)
    for pair in list_pairs(conn, last_id=kept.id):
        if _is_on(size_scale(kept.label_scale), pair.size) and not _is_on(scale, pair.size):
            found = f"{scale.title}, and a pair of this last is kept as {pair.size}"
            raise InputError.at("label_scale", found, "a scale that has it, or a last of its own")


def _is_on(scale: SizeScale, size: str) -> bool:
    try:
        scale.parse(size)
    except UnreadableText:
        return False
    return True


def retire_last(records: Records, last_id: str, seen: int, *, retired: bool, by: Author) -> KeptLast:
    """Leave a last out of what is offered, or take it up again.

    Raises
    ------
    NotFound, Conflict
        Where it is gone, or was changed since `seen`.
    """
    with records.writing() as conn:
        return lasts.retire_last(conn, last_id, seen, retired=retired, by=by)


def write_advice(
    records: Records,
    last_id: str,
    typed: Mapping[str, str],
    *,
    by: Author,
    advice_id: str | None = None,
    seen: int = 0,
) -> KeptAdvice:
    """Write down what a maker says of a last, or mend an advice that was written down wrong.

    Parameters
    ----------
    typed
        As in `read_advice_form`.
    advice_id, seen
        The advice to mend, and its version as it was seen; None for a new one.

    Raises
    ------
    InputError, NotFound, Conflict
        With every problem; where it is gone, or was changed since `seen`.
    """
    with records.writing() as conn:
        columns = read_advice_form(typed, lasts.find_last(conn, last_id), by.at.date())
        if advice_id is None:
            return run_evidence.add_advice(conn, last_id, **columns, by=by)
        check_of(last_id, run_evidence.find_advice(conn, advice_id))
        return run_evidence.change_advice(conn, advice_id, seen, columns, by=by)


def write_measured(
    records: Records,
    last_id: str,
    typed: Mapping[str, str],
    *,
    units: str,
    by: Author,
    pair_id: str | None = None,
    seen: int = 0,
) -> KeptMeasured:
    """Write down what was measured on a pair, or mend it.

    Parameters
    ----------
    typed, units
        As in `read_measured_form`.
    pair_id, seen
        The measured pair to mend, and its version as it was seen; None for a new one.

    Raises
    ------
    InputError, NotFound, Conflict
        With every problem; where it is gone, or was changed since `seen`.
    """
    with records.writing() as conn:
        columns = read_measured_form(typed, lasts.find_last(conn, last_id), by.at.date(), units=units)
        if pair_id is None:
            return run_evidence.add_measured(conn, last_id, **columns, by=by)
        check_of(last_id, run_evidence.find_measured(conn, pair_id))
        return run_evidence.change_measured(conn, pair_id, seen, columns, by=by)


def withdraw_advice(records: Records, advice_id: str, seen: int, by: Author) -> KeptAdvice:
    """Let an advice count no longer; raise NotFound or Conflict as the repository does."""
    with records.writing() as conn:
        return run_evidence.withdraw_advice(conn, advice_id, seen, by=by)


def withdraw_measured(records: Records, pair_id: str, seen: int, by: Author) -> KeptMeasured:
    """Let a measured pair count no longer; raise NotFound or Conflict as the repository does."""
    with records.writing() as conn:
        return run_evidence.withdraw_measured(conn, pair_id, seen, by=by)


def undo_at_last(records: Records, last_id: str, change_id: int, by: Author) -> bool:
    """Take back a change to a last, its advice or its measured pairs.

    Returns
    -------
    bool
        Whether the last is still there.

    Raises
    ------
    RecordsError
        Where it cannot be taken back.
    InputError
        Where a pair could not be read on the scale it would have again.
    """
    with records.writing() as conn:
        advice = run_evidence.list_advice(conn, last_id)
        measured = run_evidence.list_measured(conn, last_id)
        before = lasts.find_last(conn, last_id)
        there = take_back(conn, change_id, rows_of_last(last_id, advice, measured), by).after is not None
        if there:
            _check_pairs(conn, before, lasts.find_last(conn, last_id).label_scale)
        return there


def new_maker(records: Records, name: str, address: str, note: str, by: Author) -> Maker:
    """Add a maker; raise InputError where there is no name, or another maker has it."""
    check_name(name)
    with records.writing() as conn:
        return makers.add_maker(conn, name, address=address, note=note, by=by)


def edit_maker(records: Records, maker_id: str, seen: int, changes: Mapping[str, str], by: Author) -> Maker:
    """Change a maker; raise InputError, NotFound or Conflict as the repository does."""
    check_name(changes.get("name", ""))
    with records.writing() as conn:
        return makers.change_maker(conn, maker_id, seen, changes, by=by)


def undo_at_maker(records: Records, maker_id: str, change_id: int, by: Author) -> bool:
    """Take back a change to a maker; return whether it is still there."""
    with records.writing() as conn:
        return take_back(conn, change_id, [("makers", maker_id)], by).after is not None


def _maker_of(conn: Connection, name: str, by: Author) -> str:
    check_name(name, "maker")
    known = makers.find_by_name(conn, name)
    return (known or _beside_columns(lambda: makers.add_maker(conn, name, by=by), {"name": "maker"})).id


def _beside_columns(write: Callable[[], T], renamed: Mapping[str, str] | None = None) -> T:
    """Write, and put what the store refuses beside the field of the form."""
    try:
        return write()
    except InputError as wrong:
        places = renamed or {}
        raise InputError(
            Problem(places.get(one.place, one.place.replace(" ", "_")), one.found, one.wanted)
            for one in wrong.problems
        ) from None
