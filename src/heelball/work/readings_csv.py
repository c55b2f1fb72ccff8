"""Many wearers from one CSV: a reading a row, the rows of one wearer anywhere."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any, Final

from heelball.errors import Problem
from heelball.fit.wearer import Wearer
from heelball.foot.reading import Reading
from heelball.work.documents import CSV_LIMIT, read_text
from heelball.work.fields import Fields, nearest
from heelball.work.reading_fields import check_letters, read_reading

REQUIRED: Final = ("wearer", "population", "foot", "what", "scale", "value")
ALLOWED: Final = (*REQUIRED, "line", "load", "method", "fitter", "date", "sitting", "sd_mm")
_POPULATIONS: Final = ("men", "women", "unstated")


def read_crew(path: Path, problems: list[Problem]) -> list[Wearer]:
    """Return the wearers of a readings file in the order of their first rows; problems are added."""
    text = read_text(path, CSV_LIMIT, problems)
    if text is None:
        return []
    before = len(problems)
    rows = csv.reader(io.StringIO(text, newline=""), strict=True)
    readings: dict[str, list[Reading]] = {}
    populations: dict[str, str] = {}
    try:
        header = [name.strip() for name in next(rows)]
        if not _header_serves(header, path, problems):
            return []
        for cells in rows:
            if any(cell.strip() for cell in cells):
                _read_row(header, cells, f"{path.name}, line {rows.line_num}", readings, populations, problems)
    except csv.Error as refused:
        problems.append(Problem(f"{path.name}, line {rows.line_num}", f"not CSV: {refused}", "one reading a row"))
    for own in readings.values():
        check_letters(own, problems)
    if len(problems) == before and not readings:
        problems.append(Problem(path.name, "no reading", "at least one row under the header"))
    made: Any = Wearer
    return [made(code, populations.get(code) or "unstated", tuple(own)) for code, own in readings.items()]


def _header_serves(header: list[str], path: Path, problems: list[Problem]) -> bool:
    place = f"{path.name}, line 1"
    before = len(problems)
    for i, name in enumerate(header):
        if name not in ALLOWED:
            problems.append(Problem(place, f"an unknown column {name!r}", nearest(name, ALLOWED)))
        elif name in header[:i]:
            problems.append(Problem(place, f"column {name!r} twice", "each column once"))
    missing = [name for name in REQUIRED if name not in header]
    if missing:
        problems.append(Problem(place, f"no column {', '.join(missing)}", f"a header with {', '.join(REQUIRED)}"))
    return len(problems) == before


def _read_row(
    header: list[str],
    cells: list[str],
    place: str,
    readings: dict[str, list[Reading]],
    populations: dict[str, str],
    problems: list[Problem],
) -> None:
    if len(cells) != len(header):
        problems.append(Problem(place, f"{len(cells)} cells", f"{len(header)}, as in the header"))
        return
    row = {name: cell for name, cell in zip(header, cells, strict=True) if cell.strip()}
    fields = Fields(row, place, problems)
    code = fields.text("wearer", wanted="the wearer's code", required=True)
    population = fields.word("population", _POPULATIONS, default="")
    reading = read_reading(fields)
    if code is None:
        return
    own = readings.setdefault(code, [])
    if population:
        said = populations.setdefault(code, population)
        if said != population:
            fields.wrong("population", f"{population} for {code!r}, {said} above", "one population for one wearer")
    if reading is not None:
        own.append(reading)
