"""One small schema reader for everything a person writes, TOML tables and CSV rows alike.

Every problem is collected with its place, so that a person mends a file once, not ten times.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date as Date
from datetime import datetime
from difflib import get_close_matches
from fractions import Fraction
from typing import Any, Final, TypeVar

from heelball.errors import InputError, Problem, UnreadableText
from heelball.units import parse_number, quoted

T = TypeVar("T")
W = TypeVar("W", bound=str)

#: So much of a value is shown in a sentence about it.
_SHOWN: Final = 60

#: An integer of more bits than this is no measure of anything, and need not be written out.
_MOST_BITS: Final = 200

#: A code has to fit a line of paper.
_LONGEST_CODE: Final = 64

#: What would break a line of paper or a terminal; a tab is a blank.
_CONTROL: Final = re.compile(r"[\0-\x08\x0a-\x1f\x7f-\x9f\u2028\u2029]")
#: More decimals than anybody writes by hand.
_MACHINE_WRITTEN: Final = re.compile(r"\d{1,6}\.\d+", re.ASCII)
#: Three digits behind a point may be thousands. Pages write lengths to a thousandth themselves, without
#: noughts at the end: what ends in one was typed.
_TYPED_TWO_WAYS: Final = re.compile(r"(?P<number>(?P<front>[1-9]\d{0,2})\.(?P<back>\d\d0))\s*\D*", re.ASCII)
#: Zero-width joiner and non-joiner: several scripts spell with them.
_JOINING: Final = re.compile("[\u200c\u200d]")
_PLAIN_NAME: Final = re.compile(r"[\w.-]{1,40}")


def nearest(word: str, known: Sequence[str]) -> str:
    """Return what was wanted instead of an unknown word: the nearest known one, else all."""
    close = get_close_matches(word.lower(), known, n=1, cutoff=0.6)
    return close[0] if close else "one of " + ", ".join(known)


def shown(value: object) -> str:
    """Return a value as it is named in a sentence, cut where it is long."""
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int) and value.bit_length() > _MOST_BITS:
        return "a number of too many digits"
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= _SHOWN else text[: _SHOWN - 3] + "..."


def field_name(name: str) -> str:
    """Return what a field that a person named is called in sentences."""
    return name if _PLAIN_NAME.fullmatch(name) else quoted(name)


class Fields:
    """The named fields of one table or row, taken one by one.

    Parameters
    ----------
    values
        What was written.
    place
        Where it stands, for sentences.
    problems
        The list that problems are added to.
    kind
        What a field is called there before its name, such as ``column``; may be empty.
    """

    def __init__(
        self, values: Mapping[str, Any], place: str, problems: list[Problem], *, kind: str = ""
    ) -> None:
        self._values = values
        self._taken: set[str] = set()
        self._kind = kind + " " if kind else ""
        self.place = place
        self.problems = problems

    def wrong(self, name: str, found: str, wanted: str) -> None:
        """Add a problem of one field."""
        self.problems.append(Problem(f"{self.place}, {self._kind}{name}", found, wanted))

    def has(self, name: str) -> bool:
        """Return whether a field was written."""
        return name in self._values

    def names(self) -> tuple[str, ...]:
        """Return the names of all fields that were written, in their order."""
        return tuple(self._values)

    def take(self, name: str) -> Any:
        """Return a field as it stands, or None, and mark it as known."""
        self._taken.add(name)
        return self._values.get(name)

    def text(self, name: str, *, wanted: str, required: bool = False) -> str | None:
        """Return a field as text; numbers are taken as they are written."""
        value = self.take(name)
        if value is None:
            if required:
                self.wrong(name, "nothing", wanted)
            return None
        text = written(value)
        if text is None:
            self.wrong(name, shown(value), wanted)
            return None
        if not text:
            self.wrong(name, "an empty text", wanted)
            return None
        control = _CONTROL.search(text)
        if control is not None:
            found = "a null byte" if control[0] == "\0" else f"a control character in {shown(text)}"
            self.wrong(name, found, wanted)
            return None
        return text

    def code(self, name: str, *, wanted: str, default: str | None = None) -> str | None:
        """Return a short name that stands in outputs and on paper; `default` where none was written."""
        if not self.has(name) and default is not None:
            self._taken.add(name)
            text: str | None = default
        else:
            text = self.text(name, wanted=wanted, required=True)
        if text is not None and (len(text) > _LONGEST_CODE or not text.isprintable()):
            self.wrong(name, quoted(text), f"at most {_LONGEST_CODE} printable characters")
            return None
        return text

    def word(self, name: str, known: Sequence[W], *, default: W | None = None) -> W | None:
        """Return a field that must be one of some words; None where it is wrong or required and missing."""
        if not self.has(name) and default is not None:
            self._taken.add(name)
            return default
        text = self.text(name, wanted=f"one of {', '.join(known)}", required=True)
        if text is None:
            return None
        for one in known:
            if one == text:
                return one
        self.wrong(name, shown(text), nearest(text, known))
        return None

    def flag(self, name: str) -> bool:
        """Return a field that is true or false; false where it is missing."""
        value = self.take(name)
        if value is None:
            return False
        if not isinstance(value, bool):
            self.wrong(name, shown(value), "true or false")
            return False
        return value

    def number(
        self, name: str, *, low: float, high: float, unit: str, above: bool = False, required: bool = False
    ) -> float | None:
        """Return a number between two ends [in `unit`], or None; `above` leaves the low end out."""
        value = self.take(name)
        ends = f"more than {low:g} and at most {high:g}" if above else f"{low:g} to {high:g}"
        wanted = f"{ends} {unit}".strip()
        if value is None:
            if required:
                self.wrong(name, "nothing", wanted)
            return None
        number = _finite(value)
        if number is None or number < low or number > high or (above and number <= low):
            self.wrong(name, shown(value), wanted)
            return None
        return number

    def parsed(self, name: str, read: Callable[[str], T], *, wanted: str, required: bool = False) -> T | None:
        """Return a field read by a function that may refuse the text."""
        text = self.text(name, wanted=wanted, required=required)
        if text is None:
            return None
        try:
            return read(text)
        except UnreadableText as refused:
            self.wrong(name, refused.found, refused.wanted)
            return None

    def date(self, name: str) -> Date | None:
        """Return a date, written as 2026-05-03 or as a TOML date."""
        value = self.take(name)
        if value is None:
            return None
        if isinstance(value, datetime):
            return value.date()
        if isinstance(value, Date):
            return value
        try:
            return Date.fromisoformat(value.strip() if isinstance(value, str) else "")
        except ValueError:
            self.wrong(name, shown(value), "a date such as 2026-05-03")
            return None

    def table(self, name: str) -> Fields | None:
        """Return a table within this one, or None."""
        value = self.take(name)
        if value is None:
            return None
        if not isinstance(value, dict):
            self.wrong(name, shown(value), f"a table [{name}]")
            return None
        return Fields(value, f"{self.place}, [{name}]", self.problems)

    def tables(self, name: str, *, one_allowed: bool = False) -> list[Fields]:
        """Return the tables of a list ``[[name]]``, numbered from 1 in sentences."""
        value = self.take(name)
        if value is None:
            return []
        if one_allowed and isinstance(value, dict):
            return [Fields(value, f"{self.place}, [{name}]", self.problems)]
        if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
            found = f"a table [{name}]" if isinstance(value, dict) else shown(value)
            self.wrong(name, found, f"tables [[{name}]]")
            return []
        return [
            Fields(one, f"{self.place}, {name} {number}", self.problems)
            for number, one in enumerate(value, start=1)
        ]

    def done(self) -> None:
        """Add a problem for every field that is not known, offering the nearest that is."""
        for name in self._values:
            if name not in self._taken:
                self.wrong(field_name(name), "an unknown field", nearest(name, sorted(self._taken)))


def written(value: object) -> str | None:
    """Return a text or a number as it was written, without blanks around it; None for anything else."""
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    if isinstance(value, float):
        return str(value) if math.isfinite(value) else None
    return str(value) if value.bit_length() <= _MOST_BITS else None


def _finite(value: object) -> float | None:
    """Return a written number as a float, or None where it is none or not finite."""
    text = written(value)
    if text is None:
        return None
    if not isinstance(value, str) or _MACHINE_WRITTEN.fullmatch(text):
        return float(text)
    try:
        return float(parse_number(text))
    except UnreadableText:
        return None


def ask_which(text: str) -> None:
    """Ask about a number typed at the bench that could be decimals or thousands: it is never guessed.

    Raises
    ------
    UnreadableText
        With both ways to write it.
    """
    both = _TYPED_TWO_WAYS.fullmatch(text.strip())
    if both is not None:
        decimals = both["number"].rstrip("0").rstrip(".")
        thousands = both["front"] + both["back"]
        found = f"{quoted(both['number'])} could be decimals or thousands"
        raise UnreadableText(found, f"{decimals} or {thousands}")


def parse_signed(text: str) -> Fraction:
    """Read a number that may stand below zero: ``-1/2``, ``-1 1/2``.

    Raises
    ------
    UnreadableText
        Where it is not a number.

    Examples
    --------
    >>> parse_signed("-1 1/2")
    Fraction(-3, 2)
    """
    plain = text.strip().replace("\N{MINUS SIGN}", "-")
    try:
        return -parse_number(plain[1:]) if plain.startswith("-") else parse_number(plain.removeprefix("+"))
    except UnreadableText:
        raise UnreadableText(quoted(text), "a number such as 1, -0.5 or -1 1/2") from None


def check_name(name: str, field: str = "name") -> None:
    """Refuse a name that would stand on a page or on paper as another one, or as none.

    Marks that turn the direction of writing, breaks and signs without a shape are refused; those
    that only join or part letters are part of some names.

    Parameters
    ----------
    name, field
        The name, empty where none is given, and the field it was typed into.

    Raises
    ------
    InputError
        Where it cannot stand.
    """
    shaped = _JOINING.sub("", name)
    if not shaped.isprintable() or bool(shaped) != bool(name):
        found = "signs that cannot be seen, or that turn the writing round"
        raise InputError.at(field, found, "a name as it stands on paper")
