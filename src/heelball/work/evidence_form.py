"""Advice and measured pairs as a fitter types them at the bench, through the reader of last files."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date as Date
from typing import Any, Final

from heelball.errors import InputError, Problem
from heelball.last.values import Last
from heelball.records.values import KeptAdvice, KeptLast, KeptMeasured
from heelball.scales.catalogue import size_scale
from heelball.units import format_fraction, format_mm
from heelball.work.fields import Fields, shown
from heelball.work.keeping import last_table
from heelball.work.last_file import last_of
from heelball.work.last_form import beside_field, read_length, written_length

#: What stands between a gauge reading and its label, in one line.
_BETWEEN: Final = re.compile(r"\s*(?::|=|->|→|\t)\s*")
_ROW_WANTED: Final = 'a gauge reading and its label, such as "10 1/2: 10"'
_LONGEST_ORIGIN: Final = 200

#: What is measured of a boot: the field, its column, and the field of a last file, all one name.
LENGTHS: Final = ("inside_length_mm", "flex_line_mm", "ball_girth_mm", "sd_mm")


def read_advice_form(typed: Mapping[str, str], last: KeptLast, today: Date) -> dict[str, Any]:
    """Return the columns of an advice from what was typed.

    Parameters
    ----------
    typed
        By field: ``basis``, ``order`` or ``table`` (one row a line), ``scale``, ``origin``, ``on``.
    last
        The last it is about.
    today
        No advice is of a day after it.

    Raises
    ------
    InputError
        With every problem; the place of each is the field's name.
    """
    problems: list[Problem] = []
    table: dict[str, Any] = {"from": typed.get("basis", "")}
    if not table["from"]:
        problems.append(Problem("basis", "nothing", "the ball size, the length size or another label"))
    rows = _read_rows(typed.get("table", ""), problems)
    if rows:
        table["table"] = rows
    for name in ("order", "scale"):
        if typed.get(name, ""):
            table[name] = typed[name]
    origin, on = read_origin(typed, today, problems)
    read = _with_part(last, "advice", table, problems, {"from": "basis"})
    (advice,) = read.advice
    return {
        "basis": advice.basis,
        "order_sizes": None if advice.order is None else format_fraction(advice.order),
        "scale": advice.scale,
        "rows": rows or None,
        "origin": origin,
        "on": on,
    }


def written_advice(kept: KeptAdvice) -> dict[str, str]:
    """Return the fields of a kept advice as a fitter would type them."""
    return {
        "basis": kept.basis,
        "order": kept.order_sizes or "",
        "scale": kept.scale or "",
        "table": "\n".join(f"{reading}: {label}" for reading, label in kept.rows or ()),
        "origin": kept.origin,
        "on": kept.on or "",
    }


def read_measured_form(
    typed: Mapping[str, str], last: KeptLast, today: Date, *, units: str
) -> dict[str, Any]:
    """Return the columns of a measured pair from what was typed.

    Parameters
    ----------
    typed
        By field: ``size``, ``width``, lengths, ``from_drawing``, ``origin``, ``on``.
    last, today
        The last it is made on, and the day after which nothing was measured.
    units
        What lengths were typed in, ``mm`` or ``in``.

    Raises
    ------
    InputError
        With every problem; the place of each is the field's name.
    """
    problems: list[Problem] = []
    from_drawing = bool(typed.get("from_drawing", ""))
    table: dict[str, Any] = {"from": "drawing" if from_drawing else "pair"}
    table |= {name: typed[name] for name in ("size", "width") if typed.get(name, "")}
    for name in LENGTHS:
        length = read_length(typed, name, units, problems)
        if length is not None:
            table[name] = length
        elif typed.get(name, "") and name != "sd_mm":
            # Something was measured there, though it cannot be read: "nothing measured" is not said too.
            table[name] = None
    if not any(typed.get(name, "") for name in LENGTHS[:3]):
        wanted = "the flex line, the inside length or the girth"
        problems.append(Problem("flex_line_mm", "nothing measured", wanted))
    line, inside = table.get("flex_line_mm"), table.get("inside_length_mm")
    if line is not None and inside is not None and line >= inside:
        found = f"{format_mm(line)} mm in a boot {format_mm(inside)} mm long"
        problems.append(Problem("flex_line_mm", found, "a line inside the boot"))
    origin, on = read_origin(typed, today, problems)
    read = _with_part(last, "measured", table, problems, {"from": "from_drawing"})
    (pair,) = read.measured
    return {
        "size": size_scale(read.label_scale).format(pair.size),
        "width": pair.width,
        "inside_length_mm": pair.inside_length,
        "flex_line_mm": pair.flex_line,
        "ball_girth_mm": pair.ball_girth,
        "sd_mm": pair.sd_mm,
        "from_drawing": pair.from_drawing,
        "origin": origin,
        "on": on,
    }


def written_measured(kept: KeptMeasured, units: str) -> dict[str, str]:
    """Return the fields of a kept measured pair as a fitter would type them."""
    return {
        "size": kept.size,
        "width": kept.width or "",
        **{name: written_length(getattr(kept, name), units) for name in LENGTHS},
        "from_drawing": "yes" if kept.from_drawing else "",
        "origin": kept.origin,
        "on": kept.on or "",
    }


def read_origin(typed: Mapping[str, str], today: Date, problems: list[Problem]) -> tuple[str, str | None]:
    """Return where something comes from, and its day as it is kept."""
    origin = " ".join(typed.get("origin", "").split())
    if len(origin) > _LONGEST_ORIGIN:
        problems.append(Problem("origin", f"{len(origin)} characters", f"{_LONGEST_ORIGIN} at most"))
    return origin, read_day_typed(typed, "on", today, problems)


def read_day_typed(typed: Mapping[str, str], name: str, today: Date, problems: list[Problem]) -> str | None:
    """Return a day that has come, as it is kept; None where nothing was typed or it is refused."""
    text = typed.get(name, "")
    if not text:
        return None
    found: list[Problem] = []
    day = Fields({name: text}, "", found).date(name)
    problems += [Problem(name, one.found, one.wanted) for one in found]
    if day is None:
        return None
    if day > today:
        problems.append(Problem(name, f"{day}, which is still to come", f"a day up to {today}"))
    return day.isoformat()


def _read_rows(text: str, problems: list[Problem]) -> list[list[str]]:
    rows = []
    for number, line in enumerate((line for line in text.splitlines() if line.strip()), start=1):
        cells = _BETWEEN.split(line.strip())
        if len(cells) != 2 or not all(cells):
            problems.append(Problem("table", f"row {number}: {shown(line.strip())}", _ROW_WANTED))
        rows.append(cells)
    return rows


def _with_part(
    kept: KeptLast,
    part: str,
    table: Mapping[str, Any],
    problems: list[Problem],
    renamed: Mapping[str, str],
) -> Last:
    """Return the last with this part alone, read as its file would be; `problems` are raised.

    Raises
    ------
    InputError
        With `problems`, and those of the part beside its own fields.
    """
    whole = {name: value for name, value in last_table(kept).items() if name not in ("advice", "measured")}
    found: list[Problem] = []
    last = last_of({**whole, part: [dict(table)]}, "last", found)
    refused = {problem.place for problem in problems}
    for one in beside_field(found, part):
        place = renamed.get(one.place, one.place)
        if place not in refused:
            problems.append(Problem(place, one.found, one.wanted))
    if problems or last is None:
        raise InputError(problems or found)
    return last
