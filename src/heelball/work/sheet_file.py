"""Readings out of what ``heelball sheet read --json`` wrote: a file of lines that a wearer file names."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final, cast

import numpy as np

from heelball.errors import Problem
from heelball.foot.reading import Load, Reading, ReadingOf
from heelball.foot.vector import FEET, Foot
from heelball.work.documents import read_text
from heelball.work.fields import Fields, shown
from heelball.work.reading_fields import LOADS
from heelball.work.sheet_json import SCHEMA

#: Largest file of lines read [bytes].
LIMIT: Final = 1_000_000

#: What a covariance of a sheet is of, in its order.
TOGETHER: Final[tuple[ReadingOf, ...]] = ("length", "ball", "breadth")
# Between these no foot is [mm]; and no sheet is surer, or less sure, than this.
_FROM, _TO = 40.0, 400.0
_SUREST, _LEAST_SURE = 0.05, 50.0
# The sds told must be those of the covariance told, but for their digits.
_ROUNDED: Final = 0.02
_REMEDY: Final = "a line of `heelball sheet read --json`"


def read_sheet_table(fields: Fields, folder: Path, problems: list[Problem]) -> list[Reading]:
    """Return the readings of the file that one ``[[sheet]]`` names; problems are added.

    Parameters
    ----------
    fields
        The table: ``file``, relative to the wearer file.
    folder
        Where the wearer file stands.
    """
    name = fields.text("file", wanted="the name of a file of `heelball sheet read --json`")
    fields.done()
    if name is None:
        fields.wrong("file", "nothing", "the name of a file of `heelball sheet read --json`")
        return []
    text = read_text(folder / name, name, LIMIT, problems)
    return [] if text is None else read_sheet_lines(text, name, problems)


def read_sheet_lines(text: str, name: str, problems: list[Problem]) -> list[Reading]:
    """Return the readings of lines of ``heelball/sheet-reading/1``; problems are added.

    Where several photographs of one foot were read together, the line that says so stands for them.
    """
    lines: list[tuple[str, dict[str, Any]]] = []
    for number, line in enumerate(text.splitlines(), start=1):
        if line.strip():
            place = f"{name}, line {number}"
            record = _record(line, place, problems)
            if record is not None:
                lines.append((place, record))
    joined = {record.get("foot") for _, record in lines if record.get("combined") is True}
    readings: list[Reading] = []
    for place, record in lines:
        if record.get("combined") is True or record.get("foot") not in joined:
            readings += sheet_readings(record, place, problems)
    return readings


def sheet_readings(record: Mapping[str, Any], place: str, problems: list[Problem]) -> list[Reading]:
    """Return the readings of one line: what was drawn, and what the tape said; problems are added.

    The line's covariance is carried by errors that its readings share, of variance 1 each.
    """
    before = len(problems)
    foot, load = record.get("foot"), record.get("load", "standing")
    if foot not in FEET:
        problems.append(Problem(f"{place}, foot", shown(foot), "left or right"))
    if load not in LOADS:
        problems.append(Problem(f"{place}, load", shown(load), f"one of {', '.join(LOADS)}"))
    figures = {what: _figure(record.get("foot_mm"), what, f"{place}, foot_mm", problems) for what in TOGETHER}
    what_of = tuple(what for what in TOGETHER if figures[what] is not None)
    if len(problems) == before and "length" not in what_of:
        problems.append(Problem(f"{place}, foot_mm", "no length", _REMEDY))
    cov = None if len(problems) > before else _covariance(record, figures, what_of, place, problems)
    tape = list(_tape(record.get("tape"), place, problems))
    if cov is None or len(problems) > before:
        return []
    side, loaded = cast("Foot", foot), cast("Load", load)
    # So much of the least sure direction is each reading's own; the rest of the covariance is shared.
    own = 0.5 * float(np.linalg.eigvalsh(cov)[0])
    rows = np.linalg.cholesky(cov - own * np.eye(len(cov)))
    drawn = [
        Reading(
            side,
            what,
            "mm",
            f"{cast('tuple[float, float]', figures[what])[0]:g}",
            load=loaded,
            method="sheet",
            sd_mm=math.sqrt(own),
            shared_errors=tuple((f"{place} {j}", float(row[j])) for j in range(i + 1)),
            place=place,
        )
        for i, (what, row) in enumerate(zip(what_of, rows, strict=True))
    ]
    taped = [
        Reading(side, what, "mm", f"{mean:g}", load=loaded, method="tape", sd_mm=sd, place=place)
        for what, mean, sd in tape
    ]
    return [*drawn, *taped]


def _record(line: str, place: str, problems: list[Problem]) -> dict[str, Any] | None:
    try:
        record = json.loads(line)
    except (ValueError, RecursionError):
        problems.append(Problem(place, "not JSON", _REMEDY))
        return None
    if not isinstance(record, dict) or record.get("schema") != SCHEMA:
        found = shown(record.get("schema")) if isinstance(record, dict) else "no object"
        problems.append(Problem(f"{place}, schema", found, SCHEMA))
        return None
    if "refused" in record:
        refused = record["refused"]
        said = refused.get("text", "") if isinstance(refused, dict) else ""
        found = f"a photograph that was refused: {said}".removesuffix(".")
        problems.append(Problem(place, found, "the line of one that was read"))
        return None
    return record


def _figure(figures: Any, what: str, place: str, problems: list[Problem]) -> tuple[float, float] | None:
    """Return mean and sd of one measure; None where the sheet does not say it."""
    figure = figures.get(what) if isinstance(figures, dict) else None
    if figure is None or (isinstance(figure, dict) and figure.get("mean_mm") is None):
        return None
    mean, sd = (figure.get(key) if isinstance(figure, dict) else None for key in ("mean_mm", "sd_mm"))
    if not (_number(mean, _FROM, _TO) and _number(sd, _SUREST, _LEAST_SURE)):
        problems.append(
            Problem(f"{place}, {what}", shown(figure), f"mean_mm {_FROM:g} to {_TO:g}, and sd_mm")
        )
        return None
    return float(cast("float", mean)), float(cast("float", sd))


def _number(value: Any, low: float, high: float) -> bool:
    plain = isinstance(value, int | float) and not isinstance(value, bool)
    return plain and math.isfinite(value) and low <= value <= high


def _covariance(
    record: Mapping[str, Any],
    figures: Mapping[ReadingOf, tuple[float, float] | None],
    what_of: Sequence[ReadingOf],
    place: str,
    problems: list[Problem],
) -> np.ndarray[Any, np.dtype[np.float64]] | None:
    sds = np.array([figure[1] for what in what_of if (figure := figures[what]) is not None])
    if len(what_of) < len(TOGETHER):
        # Where the balls were not read, nothing is told of how the others go together.
        return np.diag(sds**2)
    told = record.get("covariance")
    square = isinstance(told, list) and [len(row) if isinstance(row, list) else 0 for row in told] == [
        3,
        3,
        3,
    ]
    wanted = "3 × 3 numbers: the covariance of length, ball and breadth, mm2"
    if not square or not all(_number(one, -2500.0, 2500.0) for row in cast("list[Any]", told) for one in row):
        problems.append(Problem(f"{place}, covariance", shown(told), wanted))
        return None
    cov = np.array(told, float)
    if not np.allclose(cov, cov.T, atol=_ROUNDED) or np.linalg.eigvalsh((cov + cov.T) / 2)[0] <= 0:
        problems.append(Problem(f"{place}, covariance", "no covariance of anything", wanted))
        return None
    if not np.allclose(np.sqrt(np.diag(cov)), sds, atol=_ROUNDED):
        problems.append(Problem(f"{place}, covariance", "another sd than foot_mm tells", wanted))
        return None
    return np.asarray((cov + cov.T) / 2)


def _tape(tape: Any, place: str, problems: list[Problem]) -> Iterator[tuple[Any, float, float]]:
    if tape is None:
        return
    for what in ("girth", "instep"):
        figure = _figure(tape, what, f"{place}, tape", problems)
        if figure is not None:
            yield what, *figure
