"""One reading, and one ruler on the gauge, from their fields: the same for TOML and CSV."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any, Final

from heelball.errors import Problem, UnreadableText
from heelball.foot.marks import is_letter
from heelball.foot.reading import GaugeMark, Reading
from heelball.foot.vector import FEET
from heelball.scales.catalogue import size_scale, size_scales
from heelball.scales.letters import parse_letter
from heelball.units import MILLIMETRES, parse_length
from heelball.work.fields import Fields, nearest

READINGS_OF: Final = ("length", "ball", "breadth", "girth", "heel", "instep")
LOADS: Final = ("standing", "one", "seated")
METHODS: Final = ("gauge", "tape", "caliper", "ruler", "sheet", "scan")

#: No measure of any foot is outside these [mm].
_LEAST, _MOST = 10, 1000


def default_method(what: str, scale: str) -> str:
    """Return how a reading was taken where nothing is said."""
    if scale.startswith("gauge-"):
        return "gauge"
    return "tape" if what in ("girth", "instep") else "ruler"


@lru_cache(maxsize=8192)
def refusal(what: str, scale: str, value: str) -> tuple[str, str, str] | None:
    """Return (field, found, wanted) where a mark cannot stand on its scale, else None."""
    if scale in MILLIMETRES:
        try:
            length = parse_length(value, scale)
        except UnreadableText as refused:
            return "value", refused.found, refused.wanted
        if not _LEAST <= length <= _MOST:
            return "value", f"{value} {scale}", f"a {what} between {_LEAST} and {_MOST} mm"
        return None
    if scale not in size_scales():
        return "scale", repr(scale), nearest(scale, [*MILLIMETRES, *size_scales()])
    found = size_scale(scale)
    try:
        if what == "breadth":
            if not found.is_gauge:
                return "scale", f"a breadth on {scale}", "a foot gauge's scale, or mm, cm or in"
            parse_letter(value)
        elif what in ("length", "ball"):
            found.parse(value, quarters=True)
        else:
            return "scale", f"a {what} on {scale}", "mm, cm or in"
    except UnreadableText as refused:
        return "value", refused.found, refused.wanted
    return None


def read_reading(fields: Fields) -> Reading | None:
    """Return one reading, or None with its problems added."""
    before = len(fields.problems)
    foot = fields.word("foot", FEET)
    what = fields.word("what", READINGS_OF)
    scale = fields.text("scale", wanted="a size scale's name, or mm, cm or in", required=True)
    value = fields.text("value", wanted="what the gauge or tape said", required=True)
    line = fields.text("line", wanted="the size line the breadth was read at")
    load = fields.word("load", LOADS, default="standing")
    method = fields.word("method", METHODS, default=default_method(what or "", scale or ""))
    fitter = fields.text("fitter", wanted="the fitter's initials")
    date = fields.date("date")
    sitting = fields.text("sitting", wanted="a name for the sitting")
    sd = fields.number("sd_mm", low=0, high=100, unit="mm", above=True)
    fields.done()
    if what and scale and value and (refused := refusal(what, scale, value)):
        fields.wrong(*refused)
    if line is not None and what and scale:
        _check_line(fields, what, scale, line)
    if len(fields.problems) > before:
        return None
    made: Any = Reading
    reading: Reading = made(foot, what, scale, value, line, load, method, fitter, date, sitting, sd, fields.place)
    return reading


def _check_line(fields: Fields, what: str, scale: str, line: str) -> None:
    if what != "breadth" or not scale.startswith("gauge-"):
        fields.wrong("line", repr(line), "a line only beside a breadth letter of the gauge")
        return
    try:
        size_scale(scale).parse(line, quarters=True)
    except UnreadableText as refused:
        fields.wrong("line", refused.found, refused.wanted)


def check_letters(readings: Sequence[Reading], problems: list[Problem]) -> None:
    """Add a problem for each breadth letter that has no line and no size of its foot to stand at."""
    for reading in readings:
        if is_letter(reading) and reading.line is None:
            beside = (r for r in readings if r.foot == reading.foot and r.what in ("ball", "length"))
            if next(beside, None) is None:
                problems.append(
                    Problem(
                        f"{reading.place}, line",
                        f"letter {reading.value} without a line or a size of the {reading.foot} foot",
                        'the line it was read at, such as line = "10 1/2"',
                    )
                )


def read_gauge_mark(fields: Fields) -> GaugeMark | None:
    """Return one ruler on the gauge, or None with its problems added."""
    before = len(fields.problems)
    gauges = [name for name in size_scales() if name.startswith("gauge-")]
    scale = fields.word("scale", gauges)
    what = fields.word("what", ("ball", "length", "breadth"))
    mark = fields.text("mark", wanted="the mark measured", required=True)
    line = fields.text("line", wanted="the size line of a breadth letter")
    measured = fields.number("measured_mm", low=_LEAST, high=_MOST, unit="mm")
    if measured is None and not fields.has("measured_mm"):
        fields.wrong("measured_mm", "nothing", "the distance measured, in mm")
    fields.done()
    if what and scale and mark and (refused := refusal(what, scale, mark)):
        fields.wrong("mark", *refused[1:])
    if what == "breadth" and line is None:
        fields.wrong("line", "nothing", "the size line of the letter")
    if line is not None and what and scale:
        _check_line(fields, what, scale, line)
    if len(fields.problems) > before or not (scale and what and mark and measured):
        return None
    made: Any = GaugeMark
    found: GaugeMark = made(scale, what, mark, measured, line, fields.place)
    return found
