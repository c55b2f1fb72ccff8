"""What was told beside a sheet's photograph, as typed into a form."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, cast

from heelball.errors import InputError, Problem, UnreadableText
from heelball.foot.reading import Load
from heelball.sheet.values import Circumstances, Tool
from heelball.units import parse_length, parse_number

TOOLS: Final = ("pencil", "pen", "felt-pen")
LOADS: Final = ("standing", "one", "seated")

#: What may be typed: lowest and highest [mm; % for the card].
_BOUNDS: Final = {
    "bar_along": (120.0, 180.0),
    "bar_across": (120.0, 180.0),
    "card": (80.0, 115.0),
    "girth": (150.0, 350.0),
    "instep": (150.0, 350.0),
    "inner": (80.0, 300.0),
    "outer": (80.0, 300.0),
}


def read_circumstances(
    typed: Mapping[str, str], units: str
) -> tuple[Circumstances, float | None, float | None]:
    """Return what was told, and girth and instep from the printed tape [mm].

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
    tool = _word(typed, "tool", TOOLS, problems)
    load = _word(typed, "load", LOADS, problems)
    along, across, girth, instep = (
        _length(typed, name, units, problems) for name in ("bar_along", "bar_across", "girth", "instep")
    )
    card = _percent(typed, problems)
    if along is None and across is not None:
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
    return told, girth, instep


def read_ticks(typed: Mapping[str, str], units: str) -> tuple[float, float]:
    """Return where the fitter puts the inner and the outer tick [mm from the heel edge].

    Raises
    ------
    InputError
        With each that cannot be read.
    """
    problems: list[Problem] = []
    found = [_length(typed, name, units, problems) for name in ("inner", "outer")]
    problems += [
        Problem(name, "nothing", "how far the tick is from the heel edge")
        for name, length in zip(("inner", "outer"), found, strict=True)
        if length is None and not typed.get(name)
    ]
    inner, outer = found
    if problems or inner is None or outer is None:
        raise InputError(problems)
    return inner, outer


def _word(typed: Mapping[str, str], name: str, words: tuple[str, ...], problems: list[Problem]) -> str | None:
    word = typed.get(name) or None
    if word is not None and word not in words:
        problems.append(Problem(name, f"{word} was chosen", "one of those listed"))
    return word


def _length(typed: Mapping[str, str], name: str, units: str, problems: list[Problem]) -> float | None:
    text = typed.get(name, "")
    if not text:
        return None
    low, high = _BOUNDS[name]
    wanted = f"{low:g} to {high:g} mm"
    try:
        length = float(parse_length(text, "in" if units == "in" else "mm"))
    except UnreadableText as refused:
        problems.append(refused.at(name))
        return None
    if not low <= length <= high:
        problems.append(Problem(name, f"{length:g} mm", wanted))
    return length


def _percent(typed: Mapping[str, str], problems: list[Problem]) -> float | None:
    text = typed.get("card", "").removesuffix("%").strip()
    if not text:
        return None
    low, high = _BOUNDS["card"]
    try:
        percent = float(parse_number(text))
    except UnreadableText as refused:
        problems.append(refused.at("card"))
        return None
    if not low <= percent <= high:
        problems.append(Problem("card", f"{percent:g}", "the number beside the line, 90 to 105"))
    return percent


def read_bar(text: str) -> tuple[float, float | None]:
    """Return the bars as typed into one word: ``148.5`` or ``148.5,149`` [mm].

    Raises
    ------
    UnreadableText
        Where it is neither.
    """
    wanted = "ALONG or ALONG,ACROSS in mm, such as 148.5,149"
    parts = text.split(",")
    if len(parts) > 2:
        raise UnreadableText(text, wanted)
    try:
        lengths = [float(parse_length(part.strip(), "mm")) for part in parts]
    except UnreadableText:
        raise UnreadableText(text or "nothing", wanted) from None
    return lengths[0], lengths[1] if len(lengths) > 1 else None


def check_told(
    *,
    tool: str | None,
    load: str,
    alone: bool,
    bar: tuple[float, float | None] | None,
    card: float | None,
    girth: float | None,
    instep: float | None,
) -> Circumstances:
    """Return what was told on a command line.

    Raises
    ------
    InputError
        With every number that no print, card or foot gives.
    """
    along, across = bar or (None, None)
    given = {
        "bar_along": ("--bar", along),
        "bar_across": ("--bar", across),
        "card": ("--card", card),
        "girth": ("--girth", girth),
        "instep": ("--instep", instep),
    }
    problems = []
    for name, (option, value) in given.items():
        low, high = _BOUNDS[name]
        unit = "%" if name == "card" else "mm"
        if value is not None and not low <= value <= high:
            problems.append(Problem(option, f"{value:g} {unit}", f"{low:g} to {high:g} {unit}"))
    if problems:
        raise InputError(problems)
    return Circumstances(cast("Tool | None", tool), cast("Load", load), alone, bar, card)
