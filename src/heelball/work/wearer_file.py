"""Wearers from TOML files and readings CSVs, with every problem of every file named at once."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

from heelball.errors import InputError, Problem, UnreadableText
from heelball.fit.wearer import PLACES, DayState, OwnedPair, Signs, Wearer
from heelball.foot.vector import FEET
from heelball.package_data import defaults
from heelball.units import parse_number
from heelball.work.documents import read_toml
from heelball.work.fields import Fields, shown
from heelball.work.reading_fields import check_letters, read_gauge_mark, read_reading
from heelball.work.readings_csv import read_crew

SCHEMA: Final = "heelball/wearer/1"
POPULATIONS: Final = ("men", "women", "unstated")
_SIGNS: Final = ("urgent", "diabetes", "numbness", "wound", "circulation", "deformity", "orthosis", "changed")
_SHARES_WITHIN: Final = 0.001


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
    for path in paths:
        suffix = path.suffix.lower()
        if suffix == ".csv":
            wearers = read_crew(path, problems)
        elif suffix == ".toml" or path.is_dir() or not path.exists():
            wearer = _read_wearer(path, problems)
            wearers = [] if wearer is None else [wearer]
        else:
            problems.append(Problem(path.name, f"a file ending in {suffix or 'nothing'!r}", "a .toml or .csv file"))
            continue
        for wearer in wearers:
            if wearer.code in origin:
                problems.append(
                    Problem(f"{path.name}, code", f"{wearer.code!r}, also in {origin[wearer.code]}", "a code of its own")
                )
            origin.setdefault(wearer.code, path.name)
        found += wearers
    if problems:
        raise InputError(problems)
    return found


def _read_wearer(path: Path, problems: list[Problem]) -> Wearer | None:
    table = read_toml(path, SCHEMA, problems)
    if table is None:
        return None
    before = len(problems)
    fields = Fields(table, path.name, problems)
    code = fields.text("code", wanted="a short code") or path.stem
    fields.text("name", wanted="a name")
    population = fields.word("population", POPULATIONS, default="unstated")
    readings = [reading for one in fields.tables("reading") if (reading := read_reading(one)) is not None]
    marks = [mark for one in fields.tables("gauge") if (mark := read_gauge_mark(one)) is not None]
    day = _read_day(fields)
    pairs = [pair for one in fields.tables("pair") if (pair := _read_pair(one)) is not None]
    signs = _read_signs(fields.table("signs"))
    if fields.has("sheet"):
        fields.take("sheet")
        fields.wrong("[[sheet]]", "a sheet reading", "its readings as [[reading]]: this version reads no sheets")
    fields.done()
    check_letters(readings, problems)
    if not fields.has("reading") and not fields.has("pair") and len(problems) == before:
        problems.append(Problem(path.name, "no reading", "at least one [[reading]]"))
    if len(problems) > before:
        return None
    made: Any = Wearer
    wearer: Wearer = made(code, population, tuple(readings), tuple(marks), tuple(day), tuple(pairs), signs)
    return wearer


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
    wanted = f"{', '.join(words)}, or 0 to 20 mm"
    try:
        thickness = parse_number(text.removesuffix("mm"))
    except UnreadableText:
        raise UnreadableText(shown(text), wanted) from None
    if thickness > 20:
        raise UnreadableText(shown(text), wanted)
    return float(thickness)


def _read_day(fields: Fields) -> list[DayState]:
    before = len(fields.problems)
    states: list[DayState] = []
    for i, one in enumerate(fields.tables("day"), start=1):
        name = one.text("name", wanted="a name for this part of the day") or f"day {i}"
        share = one.number("share", low=0, high=1, unit="", above=True)
        if share is None and not one.has("share"):
            one.wrong("share", "nothing", "its share of the day, 0 to 1")
        sock = one.parsed("sock", parse_sock, wanted="thin, medium, thick or mm")
        swelling: Any = one.word("swelling", tuple(defaults()["day"]["swelling"]), default="ordinary")
        insole = one.number("insole_mm", low=0, high=20, unit="mm")
        one.done()
        if name in [state.name for state in states]:
            one.wrong("name", f"{name!r} twice", "a name of its own")
        medium = defaults()["day"]["sock"]["medium"]
        states.append(DayState(name, share or 0.0, medium if sock is None else sock, swelling, insole or 0.0))
    total = sum(state.share for state in states)
    if states and len(fields.problems) == before and abs(total - 1) > _SHARES_WITHIN:
        fields.wrong("[[day]]", f"shares that sum to {total:g}", "shares that sum to 1")
    return states


def _read_pair(fields: Fields) -> OwnedPair | None:
    before = len(fields.problems)
    last = fields.text("last", wanted="the last's code", required=True)
    size = fields.parsed("size", parse_number, wanted="the size on the label", required=True)
    width = fields.text("width", wanted="the width on the label")
    verdicts: dict[Any, Any] = {}
    for foot in FEET:
        told = fields.table(foot)
        if told is None:
            continue
        for place in PLACES:
            if told.has(place):
                verdicts[foot, place] = told.word(place, ("little", "right", "much"))
        for place in PLACES:
            told.take(place)
        told.done()
    fields.done()
    if len(fields.problems) > before or last is None or not isinstance(size, Fraction):
        return None
    return OwnedPair(last, size, width, verdicts)


def _read_signs(fields: Fields | None) -> Signs:
    if fields is None:
        return Signs()
    flags = {name: fields.flag(name) for name in _SIGNS}
    weeks = fields.number("pain_weeks", low=0, high=5000, unit="weeks")
    fields.done()
    return Signs(**flags, pain_weeks=weeks or 0.0)

