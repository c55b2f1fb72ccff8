"""What was told beside a sheet's photograph, as typed on a command line."""

from __future__ import annotations

from typing import Final, cast

from heelball.errors import InputError, Problem, UnreadableText
from heelball.foot.reading import Load
from heelball.sheet.values import Circumstances, Tool
from heelball.units import parse_length

#: What may be told: lowest and highest [mm; % for the card]. A bar of half or twice its length is of a
#: print that is refused for its scale; beyond, the figure is of another unit.
BOUNDS: Final = {
    "bar_along": (75.0, 300.0),
    "bar_across": (75.0, 300.0),
    "card": (80.0, 115.0),
    "girth": (150.0, 350.0),
    "instep": (150.0, 350.0),
}


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
        low, high = BOUNDS[name]
        unit = "%" if name == "card" else "mm"
        if value is not None and not low <= value <= high:
            problems.append(Problem(option, f"{value:g} {unit}", f"{low:g} to {high:g} {unit}"))
    if problems:
        raise InputError(problems)
    return Circumstances(cast("Tool | None", tool), cast("Load", load), alone, bar, card)
