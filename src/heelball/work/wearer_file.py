"""Wearers from TOML files and readings CSVs, with every problem of every file named at once."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from heelball.errors import InputError, Problem, UnreadableText
from heelball.fit.wearer import (
    PLACES,
    SWELLINGS,
    VERDICTS,
    DayState,
    OwnedPair,
    Place,
    Signs,
    Verdict,
    Wearer,
)
from heelball.foot.vector import FEET, Foot
from heelball.package_data import defaults
from heelball.units import parse_length, parse_number
from heelball.work.documents import names_of, read_toml
from heelball.work.fields import Fields, shown
from heelball.work.reading_fields import read_gauge_mark, read_readings
from heelball.work.readings_csv import POPULATIONS, read_crew
from heelball.work.sheet_file import read_sheet_table

SCHEMA: Final = "heelball/wearer/1"
#: Signs of a foot that are told or not; ``pain_weeks`` stands beside them.
SIGNS: Final = ("urgent", "diabetes", "numbness", "wound", "circulation", "deformity", "orthosis", "changed")

#: How far shares of a day may be from a whole, and the floats that add them up.
_SHARES_WITHIN: Final = 0.001 + 1e-9

#: Thicker than this is no sock and no insole [mm].
_THICKEST: Final = 20


def read_wearers(paths: Sequence[Path]) -> list[Wearer]:
    """Return the wearers of all files, in order.

    Parameters
    ----------
    paths
        Wearer files (.toml, one wearer each) and readings files (.csv, many).

    Raises
    ------
    InputError
        With every problem found in any of them.
    """
    problems: list[Problem] = []
    found: list[Wearer] = []
    origin: dict[str, str] = {}
    for path, name in zip(paths, names_of(paths), strict=True):
        suffix = path.suffix.lower()
        if suffix == ".csv":
            wearers, code_is = read_crew(path, name, problems), "column wearer"
        elif suffix == ".toml":
            wearers, code_is = _read_wearer(path, name, problems), "code"
        else:
            problems.append(Problem(name, _what_it_is(path), "a .toml or .csv file"))
            continue
        for wearer in wearers:
            if wearer.code in origin:
                said = f"{shown(wearer.code)}, also in {origin[wearer.code]}"
                problems.append(Problem(f"{name}, {code_is}", said, "a code of its own"))
            origin.setdefault(wearer.code, name)
        found += wearers
    if problems:
        raise InputError(problems)
    return found


def _what_it_is(path: Path) -> str:
    try:
        if path.is_dir():
            return "a directory"
        if not path.exists():
            return "no such file"
    except OSError as refused:
        return refused.strerror or "cannot be read"
    return f"a file ending in {path.suffix}" if path.suffix else "a file without an ending"


def _read_wearer(path: Path, name: str, problems: list[Problem]) -> list[Wearer]:
    """Return the one wearer of a file; none where there is a problem."""
    table = read_toml(path, name, SCHEMA, problems)
    if table is None:
        return []
    before = len(problems)
    fields = Fields(table, name, problems)
    code = fields.code("code", wanted="a short code", default=path.stem)
    fields.text("name", wanted="a name")
    population = fields.word("population", POPULATIONS, default="unstated")
    readings = read_readings(fields.tables("reading"), problems)
    marks = [mark for one in fields.tables("gauge") if (mark := read_gauge_mark(one)) is not None]
    day = read_day(fields)
    pairs = [pair for one in fields.tables("pair") if (pair := _read_pair(one)) is not None]
    signs = read_signs(fields.table("signs"))
    for one in fields.tables("sheet"):
        readings += read_sheet_table(one, path.parent, problems)
    fields.done()
    if not readings and not pairs and len(problems) == before:
        problems.append(Problem(name, "no reading", "at least one [[reading]]"))
    if code is None or population is None or len(problems) > before:
        return []
    return [Wearer(code, population, tuple(readings), tuple(marks), tuple(day), tuple(pairs), signs)]


def parse_sock(text: str) -> float:
    """Return a sock's thickness [mm] from its word or its mm.

    Raises
    ------
    UnreadableText
        Where it is neither a known word nor 0 to 20 mm.
    """
    words: dict[str, float] = defaults()["day"]["sock"]
    if text in words:
        return words[text]
    wanted = f"{', '.join(words)}, or 0 to {_THICKEST} mm"
    try:
        thickness = float(parse_length(text, "mm"))
    except UnreadableText:
        raise UnreadableText(shown(text), wanted) from None
    if thickness > _THICKEST:
        raise UnreadableText(shown(text), wanted)
    return thickness


def read_day(fields: Fields) -> list[DayState]:
    """Return the states of the tables ``[[day]]``; problems are added where they are wrong."""
    before = len(fields.problems)
    states: list[DayState] = []
    names: set[str] = set()
    for number, one in enumerate(fields.tables("day"), start=1):
        name = one.text("name", wanted="a name for this part of the day") or f"day {number}"
        share = one.number("share", low=0, high=1, unit="of the day", above=True, required=True)
        sock = one.parsed("sock", parse_sock, wanted="thin, medium, thick or mm")
        swelling = one.word("swelling", SWELLINGS, default="ordinary")
        insole = one.number("insole_mm", low=0, high=_THICKEST, unit="mm")
        one.done()
        if name in names:
            one.wrong("name", f"{shown(name)} twice", "a name of its own")
        names.add(name)
        if share is not None and swelling is not None:
            worn = defaults()["day"]["sock"]["medium"] if sock is None else sock
            states.append(DayState(name, share, worn, swelling, insole or 0.0))
    total = sum(state.share for state in states)
    if states and len(fields.problems) == before and abs(total - 1) > _SHARES_WITHIN:
        fields.wrong("[[day]]", f"shares that sum to {total:g}", "shares that sum to 1")
    return states


def _read_pair(fields: Fields) -> OwnedPair | None:
    before = len(fields.problems)
    last = fields.code("last", wanted="the last's code")
    size = fields.parsed("size", parse_number, wanted="the size on the label", required=True)
    width = fields.text("width", wanted="the width on the label")
    verdicts: dict[tuple[Foot, Place], Verdict] = {}
    for foot in FEET:
        told = fields.table(foot)
        if told is None:
            continue
        for place in PLACES:
            if told.has(place) and (verdict := told.word(place, VERDICTS)) is not None:
                verdicts[foot, place] = verdict
            told.take(place)
        told.done()
    fields.done()
    if last is None or size is None or len(fields.problems) > before:
        return None
    return OwnedPair(last, size, width, verdicts)


def read_signs(fields: Fields | None) -> Signs:
    """Return the signs of a table ``[signs]``; none are told where there is no table."""
    if fields is None:
        return Signs()
    flags: dict[str, Any] = {sign: fields.flag(sign) for sign in SIGNS}
    weeks = fields.number("pain_weeks", low=0, high=5000, unit="weeks")
    fields.done()
    return Signs(**flags, pain_weeks=weeks or 0.0)
