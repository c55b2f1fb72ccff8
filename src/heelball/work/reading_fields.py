"""One reading, and one ruler on the gauge, from their fields: the same for TOML and CSV."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date as Date
from functools import lru_cache
from typing import Final, Literal

from heelball.errors import Problem, UnreadableText
from heelball.foot.marks import is_letter
from heelball.foot.reading import GaugeMark, Load, Method, Reading, ReadingOf
from heelball.foot.vector import FEET, Foot
from heelball.scales.catalogue import size_scale, size_scales
from heelball.scales.letters import parse_letter
from heelball.units import MILLIMETRES, parse_length, range_text
from heelball.work.fields import Fields, nearest, shown

READINGS_OF: Final[tuple[ReadingOf, ...]] = ("length", "ball", "breadth", "girth", "heel", "instep")
LOADS: Final[tuple[Load, ...]] = ("standing", "one", "seated")
METHODS: Final[tuple[Method, ...]] = ("gauge", "tape", "caliper", "ruler", "sheet", "scan")

#: What has marks in sizes; what else is read on the gauge has letters.
_IN_SIZES: Final[tuple[ReadingOf, ...]] = ("length", "ball")
_ON_A_GAUGE: Final[tuple[Literal["ball", "length", "breadth"], ...]] = ("ball", "length", "breadth")

#: No measure of any foot is outside these [mm].
_LEAST: Final = 10
_MOST: Final = 1000

#: No reading shares more of its error [mm].
_MOST_SHARED: Final = 100

_PLAIN_DECIMAL: Final = re.compile(r"\d{1,4}(?:\.\d{1,9})?", re.ASCII)


def default_method(what: str | None, scale: str | None) -> Method:
    """Return how a reading was taken where nothing is said (MODEL 2)."""
    if scale is not None and scale.startswith("gauge-"):
        return "gauge"
    return "tape" if what in ("girth", "instep") else "ruler"


@lru_cache(maxsize=16384)
def refusal(what: str, scale: str, value: str) -> tuple[str, str, str] | None:
    """Return (field, found, wanted) where a mark cannot stand on its scale, else None."""
    if scale in MILLIMETRES:
        return _refused_length(scale, value)
    if scale not in size_scales():
        return "scale", shown(scale), nearest(scale, [*MILLIMETRES, *size_scales()])
    found = size_scale(scale)
    if what == "breadth" and not found.is_gauge:
        return "scale", f"a breadth on {scale}", "a foot gauge's scale, or mm, cm or in"
    if what not in (*_IN_SIZES, "breadth"):
        return "scale", f"{what} on {scale}", "mm, cm or in"
    try:
        if what == "breadth":
            parse_letter(value)
        else:
            found.parse(value, quarters=True)
    except UnreadableText as refused:
        return "value", refused.found, refused.wanted
    return None


def _refused_length(unit: str, value: str) -> tuple[str, str, str] | None:
    # A scanner writes each of a million lengths to its own decimals: those need no exact fraction.
    if _PLAIN_DECIMAL.fullmatch(value):
        length = float(value) * float(MILLIMETRES[unit])
    else:
        try:
            length = float(parse_length(value, unit))
        except UnreadableText as refused:
            return "value", refused.found, refused.wanted
    if _LEAST <= length <= _MOST:
        return None
    return "value", f"{value.removesuffix(unit).rstrip()} {unit}", range_text(_LEAST, _MOST, unit)


def read_reading(fields: Fields) -> Reading | None:
    """Return one reading, or None with its problems added."""
    before = len(fields.problems)
    foot = fields.word("foot", FEET)
    what = fields.word("what", READINGS_OF)
    scale = fields.text("scale", wanted="a size scale's name, or mm, cm or in", required=True)
    value = fields.text("value", wanted="what the gauge or tape said", required=True)
    line = fields.text("line", wanted="the size line the breadth was read at")
    load = fields.word("load", LOADS, default="standing")
    method = fields.word("method", METHODS, default=default_method(what, scale))
    fitter, date, sitting = read_occasion(fields)
    sd = fields.number("sd_mm", low=0, high=100, unit="mm", above=True)
    shared = _read_shared(fields, scale, sd)
    fields.done()
    if what and scale and value and (refused := refusal(what, scale, value)):
        fields.wrong(*refused)
    if line and what and scale:
        _check_line(fields, what, scale, line)
    if not (foot and what and scale and value and load and method) or len(fields.problems) > before:
        return None
    return Reading(
        foot, what, scale, value, line, load, method, fitter, date, sitting, sd, fields.place, shared
    )


def _read_shared(fields: Fields, scale: str | None, sd: float | None) -> tuple[tuple[str, float], ...]:
    """Return the errors that a reading shares with others of its sheet, each with its loading [mm]."""
    told = fields.table("shared_mm")
    if told is None:
        return ()
    if scale != "mm" or sd is None:
        fields.wrong("shared_mm", "a reading not in mm, or without sd_mm", "mm, and what it errs by alone")
    return tuple(
        (name, loading)
        for name in told.names()
        if (loading := told.number(name, low=-_MOST_SHARED, high=_MOST_SHARED, unit="mm")) is not None
    )


def read_occasion(fields: Fields) -> tuple[str | None, Date | None, str | None]:
    """Return who measured, when, and at which sitting; each may be missing."""
    return (
        fields.text("fitter", wanted="the fitter's initials"),
        fields.date("date"),
        fields.text("sitting", wanted="a name for the sitting"),
    )


def _check_line(fields: Fields, what: str, scale: str, line: str) -> None:
    if scale not in size_scales() and scale not in MILLIMETRES:
        return
    if what != "breadth" or not scale.startswith("gauge-"):
        fields.wrong("line", shown(line), "a line only beside a breadth letter of the gauge")
        return
    try:
        size_scale(scale).parse(line, quarters=True)
    except UnreadableText as refused:
        fields.wrong("line", refused.found, refused.wanted)


def read_readings(tables: Iterable[Fields], problems: list[Problem]) -> list[Reading]:
    """Return one wearer's readings, with the problems of each and of letters that stand nowhere."""
    readings: list[Reading] = []
    sized: set[Foot] = set()
    for fields in tables:
        reading = read_reading(fields)
        if reading is None:
            sized |= meant_as_size(fields)
        else:
            readings.append(reading)
    check_letters(readings, sized, problems)
    return readings


def meant_as_size(fields: Fields) -> set[Foot]:
    """Return the feet whose size a refused reading may have told: its own mistake is enough."""
    what, foot = fields.take("what"), fields.take("foot")
    if what in READINGS_OF and what not in _IN_SIZES:
        return set()
    return {one for one in FEET if foot == one} or set(FEET)


def check_letters(
    readings: Sequence[Reading], sized: Iterable[Foot], problems: list[Problem], field: str = "line"
) -> None:
    """Add a problem for each breadth letter that has no line and no size of its foot to stand at.

    Parameters
    ----------
    readings
        All readings of one wearer.
    sized
        Feet of which a size was meant too, in readings that were refused.
    problems
        The list that problems are added to.
    field
        What the missing line is called.
    """
    feet = {reading.foot for reading in readings if reading.what in _IN_SIZES}.union(sized)
    problems.extend(
        Problem(
            f"{reading.place}, {field}",
            f"letter {reading.value} without a line or a size of the {reading.foot} foot",
            'the line it was read at, such as "10 1/2"',
        )
        for reading in readings
        if reading.line is None and reading.foot not in feet and is_letter(reading)
    )


def read_gauge_mark(fields: Fields) -> GaugeMark | None:
    """Return one ruler on the gauge, or None with its problems added."""
    before = len(fields.problems)
    scale = fields.word("scale", [name for name in size_scales() if name.startswith("gauge-")])
    what = fields.word("what", _ON_A_GAUGE)
    mark = fields.text("mark", wanted="the mark measured", required=True)
    line = fields.text("line", wanted="the size line of a breadth letter", required=what == "breadth")
    measured = fields.number("measured_mm", low=_LEAST, high=_MOST, unit="mm", required=True)
    fields.done()
    if what and scale and mark and (refused := refusal(what, scale, mark)):
        fields.wrong("mark", *refused[1:])
    if line and what and scale:
        _check_line(fields, what, scale, line)
    if not (scale and what and mark and measured) or len(fields.problems) > before:
        return None
    return GaugeMark(scale, what, mark, measured, line, fields.place)
