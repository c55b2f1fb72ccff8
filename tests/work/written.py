"""Wearers drawn by chance, and written as a person would write them: TOML files and rows of a CSV."""

from __future__ import annotations

import csv
import json
import math
from collections.abc import Iterable
from datetime import date, datetime
from fractions import Fraction
from io import StringIO
from pathlib import Path
from typing import Any

from attrs import asdict, evolve
from hypothesis import strategies as st

from heelball.errors import InputError
from heelball.fit.wearer import PLACES, DayState, OwnedPair, Signs, Wearer
from heelball.foot.reading import GaugeMark, Reading
from heelball.foot.vector import FEET
from heelball.units import format_fraction
from heelball.work.last_file import read_last
from heelball.work.wearer_file import read_wearers

COLUMNS = (
    "wearer", "population", "foot", "what", "scale", "value", "line", "load", "method", "fitter", "date",
    "sitting", "sd_mm",
)  # fmt: skip

#: What a person may type for a code or a name: no control characters, no blanks around it.
words = (
    st.text(st.characters(categories=["L", "N", "P", "S", "Zs"]), min_size=1, max_size=12)
    .map(str.strip)
    .filter(lambda text: bool(text) and text.isprintable())
)


def wearer_problems(*files: Path) -> list[str]:
    """Return the sentences that reading these files is refused with; none where it is not."""
    try:
        read_wearers(files)
    except InputError as refused:
        return [str(problem) for problem in refused.problems]
    return []


def last_problems(file: Path) -> list[str]:
    """Return the sentences that reading a last is refused with; none where it is not."""
    try:
        read_last(file)
    except InputError as refused:
        return [str(problem) for problem in refused.problems]
    return []


def toml(value: Any) -> str:
    """Return any value as TOML, tables inline."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    if isinstance(value, date | datetime):
        return value.isoformat()
    if isinstance(value, dict):
        return "{" + ", ".join(f"{toml(key)} = {toml(one)}" for key, one in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(toml, value)) + "]"
    return repr(value)


def file_of(table: dict[str, Any]) -> str:
    """Return a TOML file, a line for each field; fields without a value are left out."""
    return "".join(f"{toml(key)} = {toml(value)}\n" for key, value in said(table).items())


def said(table: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in table.items() if value is not None}


def reading_table(reading: Reading) -> dict[str, Any]:
    return said(
        {
            "foot": reading.foot,
            "what": reading.what,
            "scale": reading.scale,
            "value": reading.value,
            "line": reading.line,
            "load": reading.load,
            "method": reading.method,
            "fitter": reading.fitter,
            "date": reading.date,
            "sitting": reading.sitting,
            "sd_mm": reading.sd_mm,
        }
    )


def pair_table(pair: OwnedPair) -> dict[str, Any]:
    told: dict[str, Any] = {foot: {} for foot in FEET}
    for (foot, place), verdict in pair.verdicts.items():
        told[foot][place] = verdict
    return said({"last": pair.last, "size": format_fraction(pair.size), "width": pair.width, **told})


def wearer_table(wearer: Wearer) -> dict[str, Any]:
    """Return a wearer as the table of its file."""
    return {
        "schema": "heelball/wearer/1",
        "code": wearer.code,
        "population": wearer.population,
        "reading": [reading_table(one) for one in wearer.readings],
        "gauge": [
            said({name: getattr(one, name) for name in ("scale", "what", "mark", "line", "measured_mm")})
            for one in wearer.gauge_marks
        ],
        "day": [
            {
                "name": one.name,
                "share": one.share,
                "sock": one.sock,
                "swelling": one.swelling,
                "insole_mm": one.insole,
            }
            for one in wearer.day
        ],
        "pair": [pair_table(one) for one in wearer.pairs],
        "signs": asdict(wearer.signs),
    }


def rows_of(wearers: Iterable[Wearer]) -> list[dict[str, str]]:
    """Return a row for each reading."""
    return [
        {"wearer": wearer.code, "population": "" if wearer.population == "unstated" else wearer.population}
        | {key: str(value) for key, value in reading_table(reading).items()}
        for wearer in wearers
        for reading in wearer.readings
    ]


def csv_of(rows: Iterable[dict[str, str]], columns: Iterable[str] = COLUMNS) -> str:
    """Return rows as a CSV with its header, cells that a row lacks left empty."""
    text = StringIO()
    writer = csv.DictWriter(text, tuple(columns), restval="")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def _fractions(low: int, high: int, step: int) -> st.SearchStrategy[str]:
    return st.integers(step * low, step * high).map(lambda n: format_fraction(Fraction(n, step)))


_sizes = _fractions(4, 16, 4)
_letters = st.builds(
    lambda letter, quarter: (letter + " " + quarter).strip(),
    st.sampled_from(["AA", "A", "B", "C", "D", "E", "EE", "EEEE"]),
    st.sampled_from(["", "1/4", "1/2", "3/4"]),
)
_marks = st.one_of(
    st.tuples(
        st.sampled_from(["length", "ball"]), st.sampled_from(["gauge-men", "us-men", "uk"]), _sizes, st.none()
    ),
    st.tuples(st.just("breadth"), st.sampled_from(["gauge-men", "gauge-women"]), _letters, _sizes),
    st.tuples(
        st.sampled_from(["length", "ball", "breadth", "girth", "heel", "instep"]),
        st.just("mm"),
        st.floats(10, 999).map(lambda length: f"{length:.2f}"),
        st.none(),
    ),
)

readings = st.builds(
    lambda foot, mark, *how: Reading(foot, *mark, *how),
    st.sampled_from(FEET),
    _marks,
    st.sampled_from(["standing", "one", "seated"]),
    st.sampled_from(["gauge", "tape", "caliper", "ruler", "sheet", "scan"]),
    st.none() | words,
    st.none() | st.dates(),
    st.none() | words,
    st.none() | st.floats(0.01, 99),
)

_states = st.builds(
    DayState,
    name=words,
    share=st.floats(0.01, 1),
    sock=st.floats(0, 20).map(lambda thickness: round(thickness, 3)),
    swelling=st.sampled_from(["rest", "ordinary", "hot"]),
    insole=st.floats(0, 20),
)


def _shared_out(states: list[DayState]) -> tuple[DayState, ...]:
    """Return states of a day whose shares sum to one."""
    total = sum(state.share for state in states)
    return tuple(evolve(state, share=state.share / total) for state in states)


_days = st.lists(_states, max_size=4, unique_by=lambda state: state.name).map(_shared_out)

wearers = st.builds(
    Wearer,
    code=words,
    population=st.sampled_from(["men", "women", "unstated"]),
    readings=st.lists(readings, min_size=1, max_size=6).map(tuple),
    gauge_marks=st.lists(
        st.builds(
            GaugeMark,
            scale=st.sampled_from(["gauge-men", "gauge-women"]),
            what=st.sampled_from(["length", "ball"]),
            mark=_sizes,
            measured_mm=st.floats(50, 400),
        ),
        max_size=2,
    ).map(tuple),
    day=_days,
    pairs=st.lists(
        st.builds(
            OwnedPair,
            last=words,
            size=st.integers(8, 30).map(lambda n: Fraction(n, 2)),
            width=st.none() | st.sampled_from(["D", "EE"]),
            verdicts=st.dictionaries(
                st.tuples(st.sampled_from(FEET), st.sampled_from(PLACES)),
                st.sampled_from(["little", "right", "much"]),
            ),
        ),
        max_size=2,
    ).map(tuple),
    signs=st.builds(Signs, diabetes=st.booleans(), wound=st.booleans(), pain_weeks=st.floats(0, 99)),
)

#: Wearers as a CSV can hold them: nothing but readings, no code twice.
crews = st.lists(wearers, min_size=1, max_size=5, unique_by=lambda wearer: wearer.code).map(
    lambda crew: [evolve(wearer, gauge_marks=(), day=(), pairs=(), signs=Signs()) for wearer in crew]
)
