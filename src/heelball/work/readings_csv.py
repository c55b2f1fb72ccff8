"""Many wearers from one CSV: a reading a row, the rows of one wearer anywhere."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from datetime import date as Date
from functools import lru_cache
from io import StringIO
from operator import itemgetter
from pathlib import Path
from typing import Final

from attrs import define, field

from heelball.errors import Problem
from heelball.fit.wearer import Wearer
from heelball.foot.reading import Reading
from heelball.foot.vector import Foot, Population
from heelball.work.csv_header import header_problems
from heelball.work.documents import CSV_LIMIT, read_text
from heelball.work.fields import Fields, shown
from heelball.work.reading_fields import check_letters, meant_as_size, read_occasion, read_reading, refusal

POPULATIONS: Final[tuple[Population, ...]] = ("men", "women", "unstated")
REQUIRED: Final = ("wearer", "population", "foot", "what", "scale", "value")
ALLOWED: Final = (*REQUIRED, "line", "load", "method", "fitter", "date", "sitting", "sd_mm")

#: What a row says besides its value, and of the occasion. Few of either differ in a long file, so
#: each is read once and then known again; a million rows take seconds only by that.
_MARK: Final = ("foot", "what", "scale", "line", "load", "method", "sd_mm")
_OCCASION: Final = ("fitter", "date", "sitting")
_KNOWN_AGAIN: Final = 65536

#: How the csv module says what a person can mend.
_CSV_SAYS: Final = {
    "unexpected end of data": "a quotation mark that is never closed",
    f"field larger than field limit ({csv.field_size_limit()})": "a very long cell; is a quote not closed?",
}


def read_crew(path: Path, name: str, problems: list[Problem]) -> list[Wearer]:
    """Return the wearers of a readings file in the order of their first rows; problems are added.

    Parameters
    ----------
    path, name
        The file, and what it is called in sentences.
    problems
        The list that problems are added to.
    """
    text = read_text(path, name, CSV_LIMIT, problems)
    if text is None:
        return []
    rows = csv.reader(StringIO(text, newline=""), strict=True)
    del text
    before = len(problems)
    starts = 1
    try:
        header = [cell.strip() for cell in next(rows)]
        if not _header_serves(header, name, problems):
            return []
        crew = _Crew(header, problems)
        starts = rows.line_num + 1
        for cells in rows:
            if cells:
                crew.add(cells, f"{name}, line {starts}")
            starts = rows.line_num + 1
    except csv.Error as refused:
        found = _CSV_SAYS.get(str(refused), f"not CSV: {refused}")
        problems.append(Problem(f"{name}, line {starts}", found, "one reading a row"))
        return []
    wearers = list(crew.wearers())
    if not wearers and len(problems) == before:
        problems.append(Problem(name, "no reading", "at least one row under the header"))
    return wearers


def _header_serves(header: Sequence[str], name: str, problems: list[Problem]) -> bool:
    place = f"{name}, line 1"
    before = len(problems)
    if len(header) == 1 and (";" in header[0] or "\t" in header[0]):
        between = "semicolons" if ";" in header[0] else "tabs"
        problems.append(Problem(place, f"{between} between the columns", "commas"))
        return False
    problems += header_problems(header, place, ALLOWED, REQUIRED, f"a header with {', '.join(REQUIRED)}")
    return len(problems) == before


@define
class _Member:
    """A wearer as far as the rows have told."""

    population: Population | None = None
    readings: list[Reading] = field(factory=list)
    sized: set[Foot] = field(factory=set)


class _Crew:
    """The wearers of one file, gathered row by row.

    Parameters
    ----------
    header
        The columns, each known and each once.
    problems
        The list that problems are added to.
    """

    def __init__(self, header: Sequence[str], problems: list[Problem]) -> None:
        self._header = header
        self._problems = problems
        self._members: dict[str, _Member] = {}
        # A blank cell is put behind every row: there a column is found that the file does not have.
        at = {column: header.index(column) if column in header else len(header) for column in ALLOWED}
        self._value_at = at["value"]
        self._who_cells = itemgetter(at["wearer"], at["population"])
        self._mark_cells = itemgetter(*(at[column] for column in _MARK))
        self._occasion_cells = itemgetter(*(at[column] for column in _OCCASION))
        self._known: dict[tuple[str, str], _Member] = {}
        self._alike: dict[tuple[str, ...], Reading] = {}
        self._read_occasion = lru_cache(_KNOWN_AGAIN)(_read_occasion)

    def add(self, cells: list[str], place: str) -> None:
        """Take in one row."""
        if len(cells) != len(self._header):
            if any(cell.strip() for cell in cells):
                wanted = f"{len(self._header)}, as in the header"
                self._problems.append(Problem(place, f"{len(cells)} cells", wanted))
            return
        cells.append("")
        who = self._who_cells(cells)
        member = self._known.get(who) or self._meet(*who)
        value = cells[self._value_at].strip()
        marked = self._mark_cells(cells)
        alike = self._alike.get(marked) or self._read_mark(marked, value)
        occasion = self._read_occasion(*self._occasion_cells(cells))
        if (
            member is None
            or alike is None
            or occasion is None
            or not value.isprintable()
            or refusal(alike.what, alike.scale, value) is not None
        ):
            self._add_with_care(cells, place)
            return
        member.readings.append(
            Reading(
                alike.foot, alike.what, alike.scale, value, alike.line, alike.load, alike.method,
                *occasion, alike.sd_mm, place,
            )
        )  # fmt: skip

    def _read_mark(self, marked: tuple[str, ...], value: str) -> Reading | None:
        """Return a reading that is right but, in other rows, for its value; None where it is wrong."""
        reading = read_reading(_fields((*_MARK, "value"), (*marked, value), "", []))
        if reading is not None and len(self._alike) < _KNOWN_AGAIN:
            self._alike[marked] = reading
        return reading

    def _meet(self, wearer: str, population: str) -> _Member | None:
        """Return whose row it is, or None where that cannot be said."""
        problems: list[Problem] = []
        met = self._member_of(_fields(("wearer", "population"), (wearer, population), "", problems))
        if met is None or problems:
            return None
        self._known[wearer, population] = met
        return met

    def _member_of(self, fields: Fields) -> _Member | None:
        """Return whose row it is; its population stands from the first row that says it."""
        code = fields.code("wearer", wanted="the wearer's code")
        population = fields.word("population", POPULATIONS) if fields.has("population") else None
        if code is None:
            return None
        member = self._members.setdefault(code, _Member())
        member.population = member.population or population
        if population not in (None, member.population):
            found = f"{population} for {shown(code)}, {member.population} above"
            fields.wrong("population", found, "one population for one wearer")
        return member

    def _add_with_care(self, cells: list[str], place: str) -> None:
        """Take in a row that is not plainly right, with its problems."""
        if not any(cell.strip() for cell in cells):
            return
        fields = _fields((*self._header, ""), cells, place, self._problems)
        member = self._member_of(fields)
        reading = read_reading(fields)
        if member is None:
            return
        if reading is None:
            member.sized |= meant_as_size(fields)
        else:
            member.readings.append(reading)

    def wearers(self) -> Iterator[Wearer]:
        """Yield the wearers in the order of their first rows, with the problems of their letters."""
        for code, member in self._members.items():
            check_letters(member.readings, member.sized, self._problems, field="column line")
            yield Wearer(code, member.population or "unstated", tuple(member.readings))


def _fields(columns: Sequence[str], cells: Sequence[str], place: str, problems: list[Problem]) -> Fields:
    """Return the cells of a row that are not blank."""
    row = {column: cell for column, cell in zip(columns, cells, strict=True) if cell.strip()}
    return Fields(row, place, problems, kind="column")


def _read_occasion(*cells: str) -> tuple[str | None, Date | None, str | None] | None:
    """Return who measured, when, and at which sitting, or None where something is wrong with it."""
    problems: list[Problem] = []
    occasion = read_occasion(_fields(_OCCASION, cells, "", problems))
    return None if problems else occasion
