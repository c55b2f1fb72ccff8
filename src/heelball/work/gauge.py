"""The fitter's own gauge: rulers laid on its marks, and what they say of all that is read on it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date as Date
from typing import Any, Final

import numpy as np
from attrs import frozen

from heelball.errors import InputError, Problem
from heelball.foot.calibration import calibrated
from heelball.foot.marks import mark_of
from heelball.foot.prior import FEET_SIZE, OFFSETS, STATE_SIZE, offset_prior, vague_prior
from heelball.foot.reading import GaugeMark, Reading
from heelball.gaussian.normal import Gaussian
from heelball.last.description import Figure
from heelball.records import gauge_marks
from heelball.records.store import Records
from heelball.records.values import Author, KeptMark
from heelball.work.csv_text import csv_text
from heelball.work.evidence_form import read_day_typed
from heelball.work.fields import Fields
from heelball.work.keeping import core_mark
from heelball.work.last_form import read_length, written_length
from heelball.work.reading_fields import read_gauge_mark
from heelball.work.toml_text import toml_text
from heelball.work.what_was_done import Done, history_of, take_back

#: Columns of the marks as a table, after those of ``[[gauge]]``.
_COLUMNS: Final = ("scale", "what", "mark", "line", "measured_mm")
_LONGEST_INITIALS: Final = 20


@frozen
class MarkLine:
    """One ruler on the gauge, and what our formula says of that mark [mm]."""

    kept: KeptMark
    formula: float

    @property
    def more(self) -> float:
        """How much more than the formula the mark denotes [mm]."""
        return self.kept.measured_mm - self.formula


@frozen
class GaugePage:
    """What the bench knows of its gauge.

    Parameters
    ----------
    standing, withdrawn
        The marks that count, and those that do no longer.
    denotes
        By slide: how much more than the formula a mark denotes, and how sure that is [mm].
    unmeasured
        The same before any ruler was laid on it.
    history
        What was done, the last first.
    """

    standing: tuple[MarkLine, ...]
    withdrawn: tuple[MarkLine, ...]
    denotes: Mapping[str, Figure]
    unmeasured: Mapping[str, Figure]
    history: tuple[Done, ...]


def gauge_page(records: Records) -> GaugePage:
    """Return all that is known of the gauge."""
    with records.reading() as conn:
        kept = gauge_marks.list_marks(conn, withdrawn=True)
        history = history_of(conn, [("gauge_marks", mark.id) for mark in kept])
    lines = [MarkLine(mark, formula_mm(core_mark(mark))) for mark in kept]
    standing = tuple(line for line in lines if line.kept.withdrawn_at is None)
    return GaugePage(
        standing,
        tuple(line for line in lines if line.kept.withdrawn_at is not None),
        _denotes(offsets([core_mark(line.kept) for line in standing])),
        _denotes(offset_prior()),
        history,
    )


def offsets(marks: Sequence[GaugeMark]) -> Gaussian:
    """Return the gauge's three offsets given the rulers laid on it: the formula less the truth."""
    if not marks:
        return offset_prior()
    behind = np.eye(STATE_SIZE)[FEET_SIZE:]
    # What a ruler says of the gauge is the same whoever's feet stand before it.
    return calibrated(vague_prior(), marks).image(behind)


def standing_marks(records: Records) -> list[KeptMark]:
    """Return the marks that count."""
    with records.reading() as conn:
        return gauge_marks.list_marks(conn)


def formula_mm(mark: GaugeMark) -> float:
    """Return what our formula says that a mark of the gauge denotes [mm]."""
    reading = Reading("left", mark.what, mark.scale, mark.mark, mark.line)
    return mark_of(reading, (), "unstated").value


def _denotes(known: Gaussian) -> dict[str, Figure]:
    sd = np.sqrt(np.diag(known.cov))
    return {what: Figure(-float(known.mean[i]), float(sd[i])) for i, what in enumerate(OFFSETS)}


def lay_ruler(records: Records, typed: Mapping[str, str], *, units: str, by: Author) -> KeptMark:
    """Write down what a ruler said of one mark.

    Raises
    ------
    InputError
        With every problem; the place of each is the field's name.
    """
    columns = _read_mark(typed, units, by.at.date())
    with records.writing() as conn:
        return gauge_marks.add_mark(conn, **columns, by=by)


def change_mark(
    records: Records, mark_id: str, seen: int, typed: Mapping[str, str], *, units: str, by: Author
) -> KeptMark:
    """Change what was written down wrong of a mark.

    Raises
    ------
    InputError, NotFound, Conflict
        As in `lay_ruler`; where it is gone, or was changed since `seen`.
    """
    columns = _read_mark(typed, units, by.at.date())
    with records.writing() as conn:
        return gauge_marks.change_mark(conn, mark_id, seen, columns, by=by)


def find_mark(records: Records, mark_id: str) -> KeptMark:
    """Return one mark, or raise NotFound."""
    with records.reading() as conn:
        return gauge_marks.find_mark(conn, mark_id)


def withdraw_mark(records: Records, mark_id: str, seen: int, by: Author) -> KeptMark:
    """Let a mark count no longer, as when the gauge was mended.

    Raises
    ------
    NotFound, Conflict
        Where it is gone, or was changed since `seen`.
    """
    with records.writing() as conn:
        return gauge_marks.withdraw_mark(conn, mark_id, seen, by=by)


def undo_at_gauge(records: Records, change_id: int, by: Author) -> None:
    """Take back a change to a mark.

    Raises
    ------
    RecordsError
        Where it cannot be taken back.
    """
    with records.writing() as conn:
        rows = [("gauge_marks", mark.id) for mark in gauge_marks.list_marks(conn, withdrawn=True)]
        take_back(conn, change_id, rows, by)


def written_mark(kept: KeptMark, units: str) -> dict[str, str]:
    """Return the fields of a kept mark as a fitter would type them."""
    return {
        "scale": kept.scale,
        "what": kept.what,
        "mark": kept.mark,
        "line": kept.line or "",
        "measured_mm": written_length(kept.measured_mm, units),
        "on": kept.on or "",
        "fitter": kept.fitter,
    }


def marks_toml(marks: Iterable[KeptMark]) -> str:
    """Return marks as the tables ``[[gauge]]`` of a wearer file."""
    return toml_text({"gauge": [_table(mark) for mark in marks]})


def marks_csv(marks: Iterable[KeptMark]) -> str:
    """Return marks as CSV, with day and fitter; no cell of text opens as a formula."""
    rows = ([getattr(mark, name) for name in (*_COLUMNS, "on", "fitter")] for mark in marks)
    return csv_text([*_COLUMNS, "date", "fitter"], rows)


def _table(mark: KeptMark) -> dict[str, Any]:
    table = {name: getattr(mark, name) for name in _COLUMNS}
    return {name: value for name, value in table.items() if value is not None}


def _read_mark(typed: Mapping[str, str], units: str, today: Date) -> dict[str, Any]:
    problems: list[Problem] = []
    table: dict[str, Any] = {name: typed[name] for name in _COLUMNS[:4] if typed.get(name, "")}
    length = read_length(typed, "measured_mm", units, problems)
    if length is not None:
        table["measured_mm"] = length
    found: list[Problem] = []
    mark = read_gauge_mark(Fields(table, "gauge", found))
    refused = {problem.place for problem in problems}
    for one in found:
        place = one.place.removeprefix("gauge, ")
        if place not in refused:
            problems.append(Problem(place, one.found, one.wanted))
    on = read_day_typed(typed, "on", today, problems)
    fitter = typed.get("fitter", "")
    if len(fitter) > _LONGEST_INITIALS:
        problems.append(Problem("fitter", f"{len(fitter)} characters", f"{_LONGEST_INITIALS} at most"))
    if problems or mark is None:
        raise InputError(problems)
    return {
        "scale": mark.scale,
        "what": mark.what,
        "mark": mark.mark,
        "line": mark.line,
        "measured_mm": mark.measured_mm,
        "on": on,
        "fitter": fitter,
    }
