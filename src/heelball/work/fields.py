"""One small schema reader for everything a person writes, TOML tables and CSV rows alike.

Every problem is collected with its place, so that a person mends a file once, not ten times.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from datetime import date as Date
from datetime import datetime
from difflib import get_close_matches
from fractions import Fraction
from typing import Any, TypeVar

from heelball.errors import Problem, UnreadableText
from heelball.units import parse_number

T = TypeVar("T")


def nearest(word: str, known: Sequence[str]) -> str:
    """Return what was wanted instead of an unknown word: the nearest known one, else all."""
    close = get_close_matches(word.lower(), known, n=1, cutoff=0.6)
    return close[0] if close else "one of " + ", ".join(known)


def shown(value: object) -> str:
    """Return a value as it is named in a sentence, cut where it is long."""
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "..."


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
    """

    def __init__(self, values: Mapping[str, Any], place: str, problems: list[Problem]) -> None:
        self._values = values
        self._taken: list[str] = []
        self.place = place
        self.problems = problems

    def wrong(self, name: str, found: str, wanted: str) -> None:
        """Add a problem of one field."""
        self.problems.append(Problem(f"{self.place}, {name}", found, wanted))

    def has(self, name: str) -> bool:
        """Return whether a field was written."""
        return name in self._values

    def take(self, name: str) -> Any:
        """Return a field as it stands, or None, and mark it as known."""
        self._taken.append(name)
        return self._values.get(name)

    def text(self, name: str, *, wanted: str, required: bool = False) -> str | None:
        """Return a field as text; numbers are taken as they are written."""
        value = self.take(name)
        if value is None:
            if required:
                self.wrong(name, "nothing", wanted)
            return None
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            self.wrong(name, shown(value), wanted)
            return None
        text = str(value).strip()
        if not text:
            self.wrong(name, "an empty text", wanted)
            return None
        if "\0" in text:
            self.wrong(name, "a null byte", wanted)
            return None
        return text

    def word(self, name: str, known: Sequence[str], *, default: str | None = None) -> str | None:
        """Return a field that must be one of some words; None where it is wrong or required and missing."""
        if not self.has(name) and default is not None:
            self.take(name)
            return default
        text = self.text(name, wanted=f"one of {', '.join(known)}", required=True)
        if text is None or text in known:
            return text
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

    def number(self, name: str, *, low: float, high: float, unit: str, above: bool = False) -> float | None:
        """Return a number between two ends [in `unit`], or None; `above` leaves the low end out."""
        value = self.take(name)
        if value is None:
            return None
        wanted = f"{'more than ' if above else ''}{low:g} to {high:g} {unit}".strip()
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
            return Date.fromisoformat(str(value).strip())
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
            self.wrong(name, shown(value), f"tables [[{name}]]")
            return []
        return [Fields(one, f"{self.place}, {name} {i}", self.problems) for i, one in enumerate(value, start=1)]

    def done(self) -> None:
        """Add a problem for every field that is not known, offering the nearest that is."""
        for name in self._values:
            if name not in self._taken:
                self.wrong(name, "an unknown field", nearest(name, sorted(set(self._taken))))


def _finite(value: object) -> float | None:
    """Return a written number as a float, or None where it is none or not finite."""
    if isinstance(value, bool):
        return None
    if isinstance(value, int | float):
        number = float(value)
    elif isinstance(value, str):
        try:
            number = float(parse_number(value))
        except UnreadableText:
            return None
    else:
        return None
    return number if math.isfinite(number) else None


def parse_signed(text: str) -> Fraction:
    """Read a number that may stand below zero: ``-1/2``.

    Raises
    ------
    UnreadableText
        Where it is not a number.
    """
    plain = text.strip()
    if plain.startswith("-"):
        return -parse_number(plain[1:])
    return parse_number(plain.removeprefix("+"))
