"""A last's own fields as a fitter types them at the bench, through the reader of last files."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any, Final

from heelball.errors import InputError, Problem, UnreadableText
from heelball.records.values import KeptLast
from heelball.units import parse_length
from heelball.work.fields import ask_which, shown
from heelball.work.keeping import last_table
from heelball.work.last_file import last_of

#: What the table of a last is called within this file.
_NAME: Final = "last"
_PLAIN: Final = (
    "code",
    "maker",
    "label_scale",
    "sizes",
    "width_scale",
    "reference_width",
    "stiffness",
    "toe",
    "closing",
)
_SAID: Final = {"yes": True, "no": False}
_WIDTH: Final = re.compile(r"[A-Za-z]{1,6}|[2-6][A-Za-z]", re.ASCII)
#: Widths in a row without commas, as a sentence shows them.
_UNPARTED: Final = re.compile(rf"'(?:{_WIDTH.pattern})(?:[\s;/.+]+(?:{_WIDTH.pattern}))+'", re.ASCII)
_WIDTH_WANTED: Final = 'a width and its sizes, such as "D: 6-14 by 1/2"'


def read_last_form(typed: Mapping[str, str], *, units: str, kept: KeptLast | None = None) -> dict[str, Any]:
    """Return the columns of a last from what was typed; ``maker`` holds the maker's name.

    Parameters
    ----------
    typed
        By field; what is missing counts as empty.
    units
        What lengths were typed in, ``mm`` or ``in``.
    kept
        The last as it is kept: its advice and measured pairs have to go with the new fields.

    Raises
    ------
    InputError
        With every problem; the place of each is the field's name.
    """
    problems: list[Problem] = []
    table: dict[str, Any] = {name: text for name in _PLAIN if (text := typed.get(name, ""))}
    widths = _read_widths(typed.get("widths", ""), problems)
    heel = read_length(typed, "heel_mm", units, problems)
    terms = _read_terms(typed, problems)
    table |= {name: value for name, value in (("widths", widths), ("heel_mm", heel)) if value is not None}
    if terms:
        table["terms"] = terms
    if kept is not None:
        known = last_table(kept)
        table |= {name: known[name] for name in ("advice", "measured") if name in known}
    found: list[Problem] = []
    last = last_of(table, _NAME, found)
    refused = {problem.place for problem in problems}
    problems += [one for one in map(_beside_its_field, found) if one.place not in refused]
    if problems or last is None:
        raise InputError(problems)
    return {
        **{name: table.get(name) for name in _PLAIN},
        "width_scale": last.width_scale,
        "stiffness": last.stiffness,
        "toe": last.toe,
        "closing": last.closing,
        "widths": widths,
        "heel_mm": last.heel_height,
        "publishes_advice": last.terms.publishes_advice,
        "exchange_days": last.terms.exchange_days,
        "note": typed.get("note", ""),
    }


def written_last(kept: KeptLast, units: str) -> dict[str, str]:
    """Return the fields of a kept last as a fitter would type them."""
    said = {None: "", True: "yes", False: "no"}
    return {
        **{name: getattr(kept, name) or "" for name in _PLAIN},
        "widths": widths_text(kept.widths),
        "heel_mm": written_length(kept.heel_mm, units),
        "publishes_advice": said[kept.publishes_advice],
        "exchange_days": "" if kept.exchange_days is None else str(kept.exchange_days),
        "note": kept.note,
    }


def widths_text(widths: Any) -> str:
    r"""Return widths as they are typed: in a row, or one a line with the sizes of each.

    Examples
    --------
    >>> widths_text(["B", "D"])
    'B, D'
    >>> widths_text({"B": "8-12", "D": "6-14 by 1/2"})
    'B: 8-12\nD: 6-14 by 1/2'
    """
    if not widths:
        return ""
    if isinstance(widths, Mapping):
        return "\n".join(f"{width}: {sizes}" for width, sizes in widths.items())
    return ", ".join(str(width) for width in widths)


def read_length(typed: Mapping[str, str], name: str, units: str, problems: list[Problem]) -> float | None:
    """Return a length that was typed in `units` [mm]; None where nothing was, or it is unreadable."""
    text = typed.get(name, "")
    if not text:
        return None
    # Whoever writes the unit means it, whatever the switch says.
    own = next((unit for unit in ("mm", "cm", "in") if text.endswith(unit)), units)
    try:
        ask_which(text)
        return round(float(parse_length(text, own)), 3)
    except UnreadableText as refused:
        problems.append(refused.at(name))
        return None


def written_length(length: float | None, units: str) -> str:
    """Return a length [mm] as it is typed, fine enough that reading it again changes nothing to see."""
    if length is None:
        return ""
    return f"{length / 25.4:.3f}".rstrip("0").rstrip(".") if units == "in" else f"{length:g}"


def _read_widths(text: str, problems: list[Problem]) -> list[str] | dict[str, str] | None:
    """Return widths in all sizes as a list, or with the sizes of each as a table; None for none."""
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    if not lines:
        return None
    if not any(":" in line for line in lines):
        return [width for width in re.split(r"\s*,\s*", ", ".join(lines).strip(" ,")) if width]
    table: dict[str, str] = {}
    for line in lines:
        width, _, sizes = (part.strip() for part in line.partition(":"))
        if not width or not sizes:
            problems.append(Problem("widths", shown(line), _WIDTH_WANTED))
        elif width in table:
            problems.append(Problem("widths", f"{shown(width)} twice", "each width once"))
        table[width] = sizes
    return table


def _read_terms(typed: Mapping[str, str], problems: list[Problem]) -> dict[str, Any]:
    terms: dict[str, Any] = {}
    said = typed.get("publishes_advice", "")
    if said in _SAID:
        terms["publishes_advice"] = _SAID[said]
    elif said:
        problems.append(Problem("publishes_advice", shown(said), "yes or no, or nothing"))
    days = typed.get("exchange_days", "")
    if days and not re.fullmatch(r"\d{1,4}", days, re.ASCII):
        problems.append(Problem("exchange_days", shown(days), "whole days, 0 to 3650"))
    elif days:
        terms["exchange_days"] = int(days)
    return terms


def _beside_its_field(problem: Problem) -> Problem:
    """Return a problem of the table beside the field of the form that it is about."""
    _, first, *rest = problem.place.split(", ")
    if first.startswith("measured "):
        found = f"without what was measured of it ({problem.found})"
        return Problem("sizes", found, "an offer with every label measured, or that pair withdrawn first")
    if first.startswith("advice "):
        found = f"the advice kept does not go with it ({problem.found})"
        return Problem("label_scale", found, "the scale it was written for, or that advice withdrawn first")
    field = rest[0] if first == "[terms]" and rest else first
    if field == "widths" and _UNPARTED.fullmatch(problem.found):
        parted = ", ".join(_WIDTH.findall(problem.found))
        return Problem(field, problem.found, f"commas between the widths: {parted}")
    return Problem(field, problem.found, problem.wanted)


def beside_field(problems: Iterable[Problem], part: str) -> list[Problem]:
    """Return the problems of one part of a last's table, beside the fields of its own form.

    Parameters
    ----------
    problems
        As the reader of last files found them.
    part
        ``advice`` or ``measured``.
    """
    own = f"{_NAME}, {part} 1, "
    return [
        Problem(one.place.removeprefix(own).split(", ")[0], _rowed(one, own), one.wanted)
        for one in problems
        if one.place.startswith(own)
    ]


def _rowed(problem: Problem, own: str) -> str:
    """Return what was found, with the row it was found in."""
    _, _, row = problem.place.removeprefix(own).partition(", ")
    return f"{row}: {problem.found}" if row else problem.found
