"""Cells of a try-ons file read into what they mean, each text once for a whole file."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date as Date
from difflib import get_close_matches
from fractions import Fraction
from functools import lru_cache
from typing import Final, TypeVar

from attrs import frozen

from heelball.errors import InputError, UnreadableText
from heelball.fit.wearer import PLACES, SWELLINGS, VERDICTS, Place, Swelling, Verdict
from heelball.foot.vector import FEET
from heelball.last.values import Label, Last
from heelball.package_data import defaults
from heelball.scales.catalogue import size_scale
from heelball.show.labels import label_text, offer_text, size_text
from heelball.units import parse_number
from heelball.work.fields import Fields, shown
from heelball.work.told_fit import MOST_HOURS
from heelball.work.wearer_file import parse_sock

V = TypeVar("V")

#: Columns that are read together: alike in many rows, and known again there.
BOOT: Final = ("last", "size", "width")
WHEN: Final = ("date", "arrived")
STATE: Final = ("sock", "swelling", "insole", "hours")

REQUIRED: Final = ("wearer", "last", "size", "foot")
ALLOWED: Final = ("wearer", "foot", *BOOT, *WHEN, *STATE, *PLACES)

#: What a row speaks of, to positions in `FEET`.
_FEET: Final[dict[str, tuple[int, ...]]] = {foot: (i,) for i, foot in enumerate(FEET)} | {"both": (0, 1)}

#: No insole is thicker [mm].
_THICKEST: Final = 20

#: So many texts of each kind are known again; a million rows take seconds only by that.
_KNOWN_AGAIN: Final = 65536


#: For so many unknown lasts the nearest is looked for, which takes long among thousands.
_ASKED: Final = 100

#: What a foot was told to be like, place by place.
Words = tuple[tuple[Place, Verdict], ...]


@frozen(eq=False)
class Boot:
    """A label of a last: one object for each however its cells are written, so that it is known by itself."""

    last: str
    label: Label


@frozen
class When:
    """The day of a report and the day its pair came, where they are told."""

    day: Date | None
    arrived: Date | None


@frozen
class State:
    """What a foot wore in the boot [mm], how much it had swollen, and how long the boot was worn [h]."""

    sock: float
    swelling: Swelling
    insole: float
    hours: float | None


class Cells:
    """What reads the cells of one file.

    Parameters
    ----------
    lasts
        By code: every last a row may name.
    today
        No report is from after it.

    Attributes
    ----------
    boot, when, state, words, wearer, feet
        Each from its cells, in the order of `BOOT`, `WHEN`, `STATE` and `PLACES`. Each raises
        InputError where something is wrong; the places of its problems go on from the row's.
    """

    def __init__(self, lasts: Mapping[str, Last], today: Date) -> None:
        self._lasts, self._today = lasts, today
        self._asked = 0
        self._boots: dict[tuple[str, Label], Boot] = {
            (last.code, label): Boot(last.code, label) for last in lasts.values() for label in last.labels
        }
        again = lru_cache(_KNOWN_AGAIN)
        self.boot: Callable[..., Boot] = again(self._boot)
        self.when: Callable[..., When] = again(self._when)
        self.state: Callable[..., State] = again(_state)
        self.words: Callable[..., Words] = again(_words)
        self.wearer: Callable[..., str] = again(_wearer)
        self.feet: Callable[..., tuple[int, ...]] = again(_feet)

    def _boot(self, *cells: str) -> Boot:
        fields = _fields(BOOT, cells)
        code = fields.text("last", wanted="the code of a last", required=True)
        last = self._lasts.get(code or "")
        if last is None:
            if code is not None:
                fields.wrong("last", f"an unknown last {shown(code)}", self._meant(code))
            raise InputError(fields.problems)
        size = fields.parsed(
            "size", size_scale(last.label_scale).parse, wanted="the size on the label", required=True
        )
        width = fields.text("width", wanted="the width on the label")
        if size is None or fields.problems:
            raise InputError(fields.problems)
        boot = self._boots.get((last.code, Label(size, width)))
        if boot is None:
            stamped = f"{cells[1].strip()} {width or ''}".strip()
            fields.wrong("size", f"no label {shown(stamped)} of {last.code}", _offered(last, size))
        return _sound(boot, fields)

    def _meant(self, code: str) -> str:
        """Return what was wanted instead of an unknown last: for the first of them the nearest one."""
        self._asked += 1
        known = list(self._lasts) if self._asked <= _ASKED else []
        return next(iter(get_close_matches(code, known, n=1, cutoff=0.5)), "a last among the last files")

    def _when(self, *cells: str) -> When:
        fields = _fields(WHEN, cells)
        day, arrived = fields.date("date"), fields.date("arrived")
        for name, one in (("date", day), ("arrived", arrived)):
            if one is not None and one > self._today:
                fields.wrong(name, f"{one}, which is still to come", f"a day up to {self._today}")
        if day is not None and arrived is not None and day < arrived:
            fields.wrong("date", f"{day}, before the pair arrived", f"{arrived} or later")
        return _sound(When(day, arrived), fields)


def _offered(last: Last, size: Fraction) -> str:
    """Return what a last has instead of a label: that size in other widths, or the sizes beside it."""
    if size in last.by_size:
        near = [label_text(label, last) for label in last.by_size[size]]
    else:
        below = [one for one in last.by_size if one < size][-1:]
        above = [one for one in last.by_size if one > size][:1]
        near = [size_text(one, last.label_scale) for one in below + above]
    return f"{' or '.join(near)}, of {offer_text(last)}"


def _state(*cells: str) -> State:
    fields = _fields(STATE, cells)
    sock = fields.parsed("sock", parse_sock, wanted="thin, medium, thick or mm")
    swelling = fields.word("swelling", SWELLINGS, default="ordinary")
    insole = fields.parsed("insole", _up_to(_THICKEST, "mm"), wanted="mm of an added insole")
    hours = fields.parsed("hours", _up_to(MOST_HOURS, "hours"), wanted="hours worn")
    worn = defaults()["day"]["sock"]["medium"] if sock is None else sock
    return _sound(State(float(worn), swelling or "ordinary", insole or 0.0, hours), fields)


def _words(*cells: str) -> Words:
    fields = _fields(PLACES, cells)
    told = [(place, fields.word(place, VERDICTS)) for place in PLACES if fields.has(place)]
    if not told:
        raise InputError.at("", "nothing told of any place", "one place at least")
    return _sound(tuple((place, word) for place, word in told if word is not None), fields)


def _wearer(cell: str) -> str:
    fields = _fields(("wearer",), (cell,))
    return _sound(fields.code("wearer", wanted="the wearer's code"), fields)


def _feet(*cells: str) -> tuple[int, ...]:
    fields = _fields(("foot",), cells)
    word = fields.word("foot", tuple(_FEET))
    return _sound(None if word is None else _FEET[word], fields)


def _fields(columns: tuple[str, ...], cells: tuple[str, ...]) -> Fields:
    """Return the cells that are not blank."""
    row = {column: cell.strip() for column, cell in zip(columns, cells, strict=True) if cell.strip()}
    return Fields(row, "", [], kind="column")


def _sound(value: V | None, fields: Fields) -> V:
    """Return what cells mean, unless something is wrong with them."""
    if value is None or fields.problems:
        raise InputError(fields.problems)
    return value


def _up_to(most: int, unit: str) -> Callable[[str], float]:
    """Return what reads a number from 0 to `most`."""

    def read(text: str) -> float:
        number = parse_number(text)
        if number > most:
            raise UnreadableText(shown(text), f"0 to {most} {unit}")
        return float(number)

    return read
