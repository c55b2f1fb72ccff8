"""What was told beside a sheet's photograph, and which sheet is wanted, as typed into the pages' forms."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, cast, get_args

from attrs import frozen

from heelball.errors import InputError, Problem, UnreadableText
from heelball.foot.reading import Load
from heelball.foot.vector import FEET, Foot
from heelball.sheet.marking import PAPERS, Paper
from heelball.sheet.values import Circumstances, Tool
from heelball.units import parse_length, parse_number, range_text
from heelball.work.reading_fields import LOADS
from heelball.work.sheet_print import chosen_feet
from heelball.work.sheet_told import BOUNDS

# Where on a foot a tick may stand, from the heel edge: lowest and highest [mm].
_TICK: Final = (80.0, 300.0)


@frozen
class ToldBeside:
    """What was told beside a sheet: how it was drawn, its proof of scale, and the printed tape [mm]."""

    told: Circumstances
    girth: float | None
    instep: float | None


@frozen
class SheetWanted:
    """Which sheet is to be printed: the paper, whose pages, and a length [mm] where one is told."""

    paper: Paper
    feet: tuple[Foot, ...]
    foot_length: float | None


def read_beside(typed: Mapping[str, str], units: str) -> ToldBeside:
    """Return what was told beside a sheet.

    Parameters
    ----------
    typed
        By field: ``tool``, ``load``, ``alone``, ``bar_along``, ``bar_across``, ``card``, ``girth``,
        ``instep``; what is missing or empty was not told.
    units
        What lengths were typed in, ``mm`` or ``in``; the card's line is a per cent.

    Raises
    ------
    InputError
        With every field that cannot be read.
    """
    problems: list[Problem] = []
    tool = _word(typed, "tool", get_args(Tool), problems)
    load = _word(typed, "load", LOADS, problems)
    along, across, girth, instep = (
        _length(typed, name, BOUNDS[name], units, problems)
        for name in ("bar_along", "bar_across", "girth", "instep")
    )
    card = _percent(typed, problems)
    if not typed.get("bar_along") and across is not None:
        problems.append(Problem("bar_along", "the bar across alone", "the bar along the sheet too"))
    if problems:
        raise InputError(problems)
    told = Circumstances(
        tool=cast("Tool | None", tool),
        load=cast("Load", load or "standing"),
        alone=typed.get("alone") == "yes",
        bar=None if along is None else (along, across),
        card=card,
    )
    return ToldBeside(told, girth, instep)


def read_ticks(typed: Mapping[str, str], units: str) -> tuple[float, float]:
    """Return where the fitter puts the inner and the outer tick [mm from the heel edge].

    Raises
    ------
    InputError
        With each that cannot be read.
    """
    problems: list[Problem] = []
    inner, outer = (_length(typed, name, _TICK, units, problems) for name in ("inner", "outer"))
    problems += [
        Problem(name, "nothing", "how far the tick is from the heel edge")
        for name in ("inner", "outer")
        if not typed.get(name)
    ]
    if problems or inner is None or outer is None:
        raise InputError(problems)
    return inner, outer


def read_wanted(typed: Mapping[str, str], units: str) -> SheetWanted:
    """Return which sheet is to be printed.

    Parameters
    ----------
    typed
        By field: ``paper``, ``foot`` and ``foot_length``.
    units
        What lengths were typed in.

    Raises
    ------
    InputError
        With every field that cannot be read.
    """
    problems: list[Problem] = []
    paper = _word(typed, "paper", PAPERS, problems)
    foot = _word(typed, "foot", ("both", *FEET), problems)
    text = typed.get("foot_length", "")
    length = None
    if text:
        try:
            length = float(parse_length(text, units))
        except UnreadableText as refused:
            problems.append(refused.at("foot_length"))
    if problems:
        raise InputError(problems)
    return SheetWanted(cast("Paper", paper or "a4"), chosen_feet(foot or "both"), length)


def _word(typed: Mapping[str, str], name: str, words: tuple[str, ...], problems: list[Problem]) -> str | None:
    word = typed.get(name) or None
    if word is not None and word not in words:
        problems.append(Problem(name, f"{word} was chosen", "one of those listed"))
    return word


def _length(
    typed: Mapping[str, str], name: str, bounds: tuple[float, float], units: str, problems: list[Problem]
) -> float | None:
    text = typed.get(name, "")
    if not text:
        return None
    low, high = bounds
    try:
        length = float(parse_length(text, units))
    except UnreadableText as refused:
        problems.append(refused.at(name))
        return None
    if not low <= length <= high:
        problems.append(Problem(name, text, range_text(int(low), int(high), units)))
    return length


def _percent(typed: Mapping[str, str], problems: list[Problem]) -> float | None:
    text = typed.get("card", "").removesuffix("%").strip()
    if not text:
        return None
    low, high = BOUNDS["card"]
    try:
        percent = float(parse_number(text))
    except UnreadableText as refused:
        problems.append(refused.at("card"))
        return None
    if not low <= percent <= high:
        problems.append(Problem("card", f"{percent:g}", "the number beside the line, 90 to 105"))
    return percent
