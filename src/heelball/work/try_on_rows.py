"""Rows of a try-ons file gathered into try-ons: what is told twice, late, or of no such pair is named."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date as Date
from difflib import get_close_matches
from fractions import Fraction
from operator import itemgetter
from typing import Final, TypeVar

from attrs import define, field

from heelball.errors import Problem, UnreadableText
from heelball.fit.wearer import PLACES, Place, Swelling, Verdict
from heelball.foot.vector import FEET, Foot
from heelball.last.values import Label, Last
from heelball.learn.try_on import TryOn
from heelball.package_data import defaults
from heelball.scales.catalogue import size_scale
from heelball.show.labels import offer_text
from heelball.units import parse_number
from heelball.work.fields import Fields, nearest, shown
from heelball.work.told_fit import MOST_HOURS
from heelball.work.wearer_file import parse_sock

T = TypeVar("T")

REQUIRED: Final = ("wearer", "last", "size", "foot")
#: What a report holds besides its words: rows that agree in all of it are one try-on.
_REPORT: Final = (
    "date", "wearer", "last", "size", "width", "sock", "swelling", "hours", "insole", "arrived",
)  # fmt: skip
ALLOWED: Final = (*_REPORT, "foot", *PLACES)

_VERDICTS: Final[tuple[Verdict, ...]] = ("little", "right", "much")
_SWELLINGS: Final[tuple[Swelling, ...]] = ("rest", "ordinary", "hot")
_FOOT_WORDS: Final = (*FEET, "both")

#: No insole is thicker [mm].
_THICKEST: Final = 20

#: A line longer than this holds no try-on: most likely a quotation mark was never closed.
LONGEST: Final = 10_000

#: So many problems are listed; beyond, they are counted.
LISTED: Final = 1_000


@define
class Draft:
    """A try-on as far as its rows have told."""

    wearer: str
    last: str
    label: Label
    day: Date | None
    sock: float
    swelling: Swelling
    insole: float
    hours: float | None
    place: str
    verdicts: dict[tuple[Foot, Place], Verdict] = field(factory=dict)
    told_at: dict[Foot, str] = field(factory=dict)

    def finished(self) -> TryOn:
        """Return the try-on."""
        return TryOn(
            self.wearer, self.last, self.label, self.verdicts, self.sock, self.swelling, self.insole,
            self.hours, self.day, self.place,
        )  # fmt: skip


class Reports:
    """The try-ons of one file, gathered row by row.

    Parameters
    ----------
    name
        What the file is called in sentences.
    lasts
        By code.
    today
        No report is from after it.
    """

    def __init__(self, name: str, lasts: Mapping[str, Last], today: Date) -> None:
        self._name, self._lasts, self._today = name, lasts, today
        self._problems: list[Problem] = []
        self._unlisted = 0
        self._drafts: dict[tuple[str, ...], Draft] = {}
        self._told: dict[tuple[str, str, Label, Date | None, Foot], str] = {}
        self._labels: dict[tuple[str, str, str], Label | None] = {}
        self._alike: dict[tuple[str, str], object] = {}
        self._header: Sequence[str] = ()
        self.rows = self.kept = 0

    @property
    def drafts(self) -> list[Draft]:
        """All try-ons, in the order of their first rows."""
        return list(self._drafts.values())

    def told(self) -> list[Problem]:
        """Return what was left out and why."""
        if not self._unlisted:
            return list(self._problems)
        found = f"{self._unlisted} rows more with something wrong"
        return [*self._problems, Problem(self._name, found, "rows as those above were wanted")]

    def begin(self, header: Sequence[str]) -> None:
        """Learn where the columns stand; a column that is not there reads as blank."""
        self._header = header
        at = {column: header.index(column) if column in header else len(header) for column in ALLOWED}
        self._report_cells = itemgetter(*(at[column] for column in _REPORT))
        self._word_cells = itemgetter(*(at[place] for place in PLACES))
        self._foot_at = at["foot"]

    def add(self, cells: list[str] | None, line: str, place: str) -> None:
        """Take in one row, or what is wrong with it."""
        self.rows += 1
        problems: list[Problem] = []
        self._take(cells, line, place, problems)
        if not problems:
            self.kept += 1
            return
        room = LISTED - len(self._problems)
        self._problems += problems[: max(room, 0)]
        if room <= 0:
            self._unlisted += 1

    def _take(self, cells: list[str] | None, line: str, place: str, problems: list[Problem]) -> None:
        wanted = f"{len(self._header)} cells, as in the header"
        if len(line) == LONGEST and not line.endswith("\n"):
            problems.append(Problem(place, "a very long line", wanted))
            return
        if "\0" in line or any("\ud800" <= letter <= "\udfff" for letter in line):
            found = "a null byte" if "\0" in line else "bytes that are not UTF-8"
            problems.append(Problem(place, found, "plain text saved as UTF-8"))
            return
        if cells is None:
            problems.append(Problem(place, "a quotation mark that is never closed", wanted))
            return
        if len(cells) != len(self._header):
            cut = not line.endswith("\n") and len(cells) < len(self._header)
            told = " at the end of the file: was it cut short?" if cut else ""
            problems.append(Problem(place, f"{len(cells)} cells{told}", wanted))
            return
        cells = [cell.strip() for cell in cells]
        cells.append("")
        report = self._report_cells(cells)
        foot = self._read("foot", cells[self._foot_at], place, problems, self._foot)
        words = self._words(self._word_cells(cells), place, problems)
        draft = self._drafts.get(report) or self._new(report, place, problems)
        if problems or draft is None or foot is None:
            return
        if not words:
            problems.append(Problem(place, "nothing told of any place", "one place at least"))
            return
        feet: tuple[Foot, ...] = FEET if foot == "both" else tuple(one for one in FEET if one == foot)
        keys = [(draft.wearer, draft.last, draft.label, draft.day, one) for one in feet]
        for key in keys:
            if key in self._told:
                found = f"the {key[-1]} foot again, told in {self._told[key]}"
                problems.append(Problem(place, found, "one report of a foot, label and day"))
        if problems:
            return
        self._drafts.setdefault(report, draft)
        for one, key in zip(feet, keys, strict=True):
            self._told[key] = place
            for where, word in words:
                draft.verdicts[one, where] = word

    def _words(
        self, cells: Sequence[str], place: str, problems: list[Problem]
    ) -> list[tuple[Place, Verdict]]:
        """Return the words of a row; blank is not told."""
        words: list[tuple[Place, Verdict]] = []
        for where, cell in zip(PLACES, cells, strict=True):
            if not cell:
                continue
            for word in _VERDICTS:
                if word == cell:
                    words.append((where, word))
                    break
            else:
                problems.append(Problem(f"{place}, column {where}", shown(cell), nearest(cell, _VERDICTS)))
        return words

    def _new(self, report: tuple[str, ...], place: str, problems: list[Problem]) -> Draft | None:
        """Return a try-on of which only its report is told yet."""
        cells = dict(zip(_REPORT, report, strict=True))
        day = self._read("date", cells["date"], place, problems, self._date)
        arrived = self._read("arrived", cells["arrived"], place, problems, self._date)
        wearer = self._read("wearer", cells["wearer"], place, problems, self._code)
        label = self._label(cells["last"], cells["size"], cells["width"], place, problems)
        sock = self._read("sock", cells["sock"], place, problems, self._sock)
        swelling = self._read("swelling", cells["swelling"], place, problems, self._swelling)
        hours = self._read("hours", cells["hours"], place, problems, self._hours)
        insole = self._read("insole", cells["insole"], place, problems, self._insole)
        if day is not None and day > self._today:
            problems.append(
                Problem(f"{place}, column date", f"{day}, still to come", f"a day up to {self._today}")
            )
        if day is not None and arrived is not None and day < arrived:
            found = f"{day}, before the pair arrived"
            problems.append(Problem(f"{place}, column date", found, f"{arrived} or later"))
        if problems or wearer is None or label is None:
            return None
        worn = defaults()["day"]["sock"]["medium"] if sock is None else sock
        return Draft(
            wearer,
            cells["last"],
            label,
            day,
            float(worn),
            swelling or "ordinary",
            insole or 0.0,
            hours,
            place,
        )

    def _read(
        self, column: str, cell: str, place: str, problems: list[Problem], read: Callable[[Fields], T]
    ) -> T | None:
        """Return what a cell says; the same text of a column is read once for the whole file."""
        if not cell and column not in REQUIRED:
            return None
        if (column, cell) in self._alike:
            known: T = self._alike[column, cell]  # type: ignore[assignment]
            return known
        here: list[Problem] = []
        value = read(Fields({column: cell} if cell else {}, place, here, kind="column"))
        problems += here
        if not here:
            self._alike[column, cell] = value
        return value

    def _label(self, code: str, size: str, width: str, place: str, problems: list[Problem]) -> Label | None:
        """Return the label a row names; None, with a problem, where its last does not have it."""
        named = (code, size, width)
        if named in self._labels:
            return self._labels[named]
        last = self._lasts.get(code)
        if last is None:
            found = f"an unknown last {shown(code)}" if code else "nothing"
            close = get_close_matches(code, list(self._lasts), n=1, cutoff=0.5)
            wanted = close[0] if close else "a last among the last files"
            problems.append(Problem(f"{place}, column last", found, wanted))
            return None
        scale = size_scale(last.label_scale)
        here: list[Problem] = []
        fields = Fields({"size": size} if size else {}, place, here, kind="column")
        number: Fraction | None = fields.parsed(
            "size", scale.parse, wanted="the size on the label", required=True
        )
        problems += here
        if number is None:
            return None
        label = Label(number, width or None)
        if label not in last.labels:
            found = f"{size} {width}".strip()
            problems.append(Problem(f"{place}, column size", f"no label {shown(found)}", offer_text(last)))
            return None
        self._labels[named] = label
        return label

    @staticmethod
    def _foot(fields: Fields) -> str | None:
        return fields.word("foot", _FOOT_WORDS)

    @staticmethod
    def _date(fields: Fields) -> Date | None:
        return fields.date(fields.names()[0])

    @staticmethod
    def _code(fields: Fields) -> str | None:
        return fields.code("wearer", wanted="the wearer's code")

    @staticmethod
    def _sock(fields: Fields) -> float | None:
        return fields.parsed("sock", parse_sock, wanted="thin, medium, thick or mm")

    @staticmethod
    def _swelling(fields: Fields) -> Swelling | None:
        return fields.word("swelling", _SWELLINGS)

    @staticmethod
    def _hours(fields: Fields) -> float | None:
        return fields.parsed("hours", _up_to(MOST_HOURS, "hours"), wanted="hours worn")

    @staticmethod
    def _insole(fields: Fields) -> float | None:
        return fields.parsed("insole", _up_to(_THICKEST, "mm"), wanted="mm of an added insole")


def _up_to(most: int, unit: str) -> Callable[[str], float]:
    """Return what reads a number from 0 to `most`."""

    def read(text: str) -> float:
        number = parse_number(text)
        if number > most:
            raise UnreadableText(shown(text), f"0 to {most} {unit}")
        return float(number)

    return read
