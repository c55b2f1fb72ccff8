"""What a fitter or a program says of a wearer, held to the readers of wearer files before it is kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from heelball.errors import InputError, Problem
from heelball.work.fields import Fields
from heelball.work.wearer_file import read_day, read_signs


def check_code(code: str) -> None:
    """Refuse a code that could not stand in files and on paper.

    Raises
    ------
    InputError
        Where it cannot; the place is ``code``.
    """
    problems: list[Problem] = []
    Fields({"code": code}, "wearer", problems).code("code", wanted="a short code")
    if problems:
        raise InputError(Problem("code", one.found, one.wanted) for one in problems)


def check_day(day: Iterable[Mapping[str, Any]]) -> None:
    """Refuse a day that a wearer file could not hold.

    Raises
    ------
    InputError
        With every problem; the places are ``day, day 1, share`` and so on.
    """
    problems: list[Problem] = []
    read_day(Fields({"day": [dict(state) for state in day]}, "day", problems))
    if problems:
        raise InputError(problems)


def check_signs(signs: Mapping[str, Any]) -> None:
    """Refuse signs of health that a wearer file could not hold.

    Raises
    ------
    InputError
        With every problem; the places are ``signs, diabetes`` and so on.
    """
    problems: list[Problem] = []
    read_signs(Fields(dict(signs), "signs", problems))
    if problems:
        raise InputError(problems)
