"""Rows of a try-ons file gathered into reports: what is told twice, late, or of no such pair is named."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date as Date
from operator import itemgetter
from typing import Final, TypeVar

from attrs import frozen

from heelball.errors import InputError, Problem
from heelball.fit.wearer import PLACES
from heelball.foot.vector import FEET
from heelball.last.values import Last
from heelball.work.try_on_cells import ALLOWED, BOOT, STATE, WHEN, Boot, Cells, State, When
from heelball.work.try_on_hours import HoursWorn
from heelball.work.try_on_reports import Reports

V = TypeVar("V")

#: What rows of one report have in common.
_REPORT: Final = ("wearer", *BOOT, *WHEN, *STATE)

#: So many problems are listed; of what is wrong beyond, rows are counted.
LISTED: Final = 1_000

_ONCE: Final = "one report of a foot, label and day"
_MORE_HOURS: Final = "more hours on a later day, or the day another pair arrived"


@frozen
class _Report:
    """What rows of one report have in common."""

    wearer: str
    boot: Boot
    when: When
    state: State


class Rows:
    """The rows of one file, taken in or left out one by one.

    Parameters
    ----------
    name
        What the file is called in sentences.
    header
        The columns, each known and each once.
    lasts
        By code.
    today
        No report is from after it.

    Attributes
    ----------
    rows, kept
        How many rows say something, and how many of them were taken in.
    reports
        What they told.
    """

    def __init__(self, name: str, header: Sequence[str], lasts: Mapping[str, Last], today: Date) -> None:
        self._name = name
        self._cells = Cells(lasts, today)
        self._hours = HoursWorn()
        self._problems: list[Problem] = []
        self._unlisted = 0
        self.reports = Reports()
        self.rows = self.kept = 0
        # A blank cell is put behind every row: there a column is found that the file does not have.
        at = {column: header.index(column) if column in header else len(header) for column in ALLOWED}
        self._report_cells = itemgetter(*(at[column] for column in _REPORT))
        self._word_cells = itemgetter(*(at[place] for place in PLACES))
        self._foot_at = at["foot"]
        self._before: tuple[str, ...] = ()
        self._report: _Report | None = None

    def add(self, cells: list[str], line: int) -> None:
        """Take in the cells of a line, as many as the header has, or what is wrong with them."""
        cells.append("")
        wrong: list[Problem] = []
        report = self._report_of(self._report_cells(cells), wrong)
        feet = _read(self._cells.feet, (cells[self._foot_at],), wrong)
        words = _read(self._cells.words, self._word_cells(cells), wrong)
        if report is None or feet is None or words is None:
            # A spreadsheet writes blank lines as commas: no row.
            if any(cell.strip() for cell in cells):
                self.refuse(line, wrong)
            return
        number = self.reports.number(report.wearer, report.boot, report.when.day)
        wrong += self._against(report, number, feet, line)
        if wrong:
            self.refuse(line, wrong)
            return
        self.rows += 1
        self.kept += 1
        self.reports.add(number, feet, line, report.state, words)

    def _report_of(self, cells: tuple[str, ...], wrong: list[Problem]) -> _Report | None:
        """Return what report a row is of; rows of one mostly follow each other."""
        if self._report is not None and cells == self._before:
            return self._report
        whose, *named, date, arrived, sock, swelling, insole, hours = cells
        when = _read(self._cells.when, (date, arrived), wrong)
        wearer = _read(self._cells.wearer, (whose,), wrong)
        boot = _read(self._cells.boot, named, wrong)
        state = _read(self._cells.state, (sock, swelling, insole, hours), wrong)
        if wearer is None or boot is None or when is None or state is None:
            return None
        self._before, self._report = cells, _Report(wearer, boot, when, state)
        return self._report

    def _against(self, report: _Report, number: int, feet: Sequence[int], line: int) -> list[Problem]:
        """Return what rows before speak against a row; its hours are kept where they agree."""
        wrong = [
            Problem("", f"the {FEET[foot]} foot again, told in {self._place(before)}", _ONCE)
            for foot in feet
            if (before := self.reports.line(number, foot))
        ]
        day, hours = report.when.day, report.state.hours
        if day is None or hours is None:
            return wrong
        # Another pair of the same label is told by the day it came.
        pair = self.reports.number(report.wearer, report.boot, report.when.arrived)
        other = self._hours.against(pair, day, hours)
        if other is not None:
            found = f"{hours:g} by {day}, but {other[1]:g} by {other[0]} in {self._place(other[2])}"
            wrong.append(Problem(", column hours", found, _MORE_HOURS))
        if not wrong:
            self._hours.add(pair, day, hours, line)
        return wrong

    def refuse(self, line: int, wrong: Sequence[Problem]) -> None:
        """Leave out a row for what is wrong with it; places go on from that of its line."""
        self.rows += 1
        room = LISTED - len(self._problems)
        if room <= 0:
            self._unlisted += 1
        here = self._place(line)
        self._problems += [
            Problem(f"{here}{one.place}", one.found, one.wanted) for one in wrong[: max(room, 0)]
        ]

    def _place(self, line: int) -> str:
        return f"{self._name}, line {line}"

    def problems(self) -> list[Problem]:
        """Return what was left out and why."""
        if not self._unlisted:
            return list(self._problems)
        found = f"{self._unlisted} more rows with something wrong"
        return [*self._problems, Problem(self._name, found, "rows without")]


def _read(read: Callable[..., V], cells: Sequence[str], wrong: list[Problem]) -> V | None:
    """Return what cells mean; None, with problems added, where something is wrong with them."""
    try:
        return read(*cells)
    except InputError as refused:
        wrong += refused.problems
        return None
