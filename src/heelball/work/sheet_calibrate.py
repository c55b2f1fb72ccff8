"""The hand that draws round feet, learnt from pairs: what the sheet said and what the foot gauge said."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator, Sequence
from io import StringIO
from pathlib import Path
from typing import Final

from heelball.errors import InputError, Problem, UnreadableText
from heelball.foot.vector import FEET
from heelball.sheet.calibration import Calibration, Pair, as_dict, calibration_from, from_dict
from heelball.sheet.hand import judged_sd
from heelball.sheet.values import FOOT
from heelball.work.csv_header import header_problems
from heelball.work.documents import CSV_LIMIT, TOML_LIMIT, read_text
from heelball.work.fields import Fields
from heelball.work.new_file import check_folder, write_new
from heelball.work.sheet_json import MEASURE_WORDS

COLUMNS: Final = ("wearer", "foot", "what", "sheet_mm", "gauge_mm")

# No measure of a foot that is read here lies outside these [mm]; and a pair further apart than that
# is of two feet, or misread.
_LEAST, _MOST = 40.0, 400.0
_FARTHEST_APART: Final = 30.0


def calibrate_sheets(path: Path, out: Path) -> Calibration:
    """Learn the hand from a file of pairs, and write what was learnt.

    Parameters
    ----------
    path
        CSV with the columns `COLUMNS`, one measure of one foot a row.
    out
        Where ``heelball/sheet-calibration/1`` is written, whole or not at all.

    Raises
    ------
    InputError
        With every problem found in the pairs; or where `out` cannot be written.
    """
    check_folder(out, "--out")
    problems: list[Problem] = []
    text = read_text(path, path.name, CSV_LIMIT, problems)
    pairs = [] if text is None else list(_pairs(text, path.name, problems))
    if not pairs and not problems:
        problems.append(Problem(path.name, "no pair", "at least one row under the header"))
    if problems:
        raise InputError(problems)
    calibration = calibration_from(pairs, judged_sd())
    write_new(out, json.dumps(as_dict(calibration), indent=2) + "\n", "--out")
    return calibration


def read_calibration(path: Path) -> Calibration:
    """Return a calibration that was written before.

    Raises
    ------
    InputError
        Where there is none to read.
    """
    problems: list[Problem] = []
    text = read_text(path, path.name, TOML_LIMIT, problems)
    if text is None:
        raise InputError(problems)
    try:
        return from_dict(json.loads(text))
    except (ValueError, RecursionError):
        raise InputError.at(path.name, "not JSON", "a file that `heelball sheet calibrate` wrote") from None
    except UnreadableText as refused:
        raise InputError([refused.at(path.name)]) from None


def calibration_lines(calibration: Calibration) -> list[str]:
    """Return what was learnt of the hand, in words, a line a measure."""
    lines = []
    for what, learnt in calibration.measures.items():
        more = "more" if learnt.offset >= 0 else "less"
        lines.append(
            f"{MEASURE_WORDS[what]}: the sheet says {abs(learnt.offset):.1f} mm {more} than the gauge, "
            f"± {learnt.offset_sd:.1f}; the hand scatters {learnt.hand_sd:.1f} mm; "
            f"from {learnt.pairs} {'pair' if learnt.pairs == 1 else 'pairs'}."
        )
    return lines


def _pairs(text: str, name: str, problems: list[Problem]) -> Iterator[Pair]:
    """Yield the pairs of a file; problems are added, each with its line."""
    rows = csv.reader(StringIO(text, newline=""), strict=True)
    starts = 1
    seen: dict[tuple[str, str, str], int] = {}
    try:
        header = [cell.strip() for cell in next(rows)]
        wrong = header_problems(
            header, f"{name}, line 1", COLUMNS, COLUMNS, f"a header with {', '.join(COLUMNS)}, commas between"
        )
        problems.extend(wrong)
        if wrong:
            return
        starts = rows.line_num + 1
        for cells in rows:
            if any(cell.strip() for cell in cells):
                pair = _pair(header, cells, f"{name}, line {starts}", problems, seen, starts)
                if pair is not None:
                    yield pair
            starts = rows.line_num + 1
    except csv.Error as refused:
        problems.append(Problem(f"{name}, line {starts}", f"not CSV: {refused}", "one pair a row"))


def _pair(
    header: Sequence[str],
    cells: Sequence[str],
    place: str,
    problems: list[Problem],
    seen: dict[tuple[str, str, str], int],
    line: int,
) -> Pair | None:
    if len(cells) != len(header):
        problems.append(Problem(place, f"{len(cells)} cells", f"{len(header)}, as in the header"))
        return None
    row = {column: cell for column, cell in zip(header, cells, strict=True) if cell.strip()}
    fields = Fields(row, place, problems, kind="column")
    wearer = fields.code("wearer", wanted="the wearer's code")
    foot = fields.word("foot", FEET)
    what = fields.word("what", FOOT)
    sheet = fields.number("sheet_mm", low=_LEAST, high=_MOST, unit="mm", required=True)
    gauge = fields.number("gauge_mm", low=_LEAST, high=_MOST, unit="mm", required=True)
    if wearer is None or foot is None or what is None or sheet is None or gauge is None:
        return None
    # One drawing paired twice would count as two drawings.
    first = seen.setdefault((wearer, foot, what), line)
    if first != line:
        fields.wrong("what", f"{what} of that foot a second time", f"one pair of each (see line {first})")
        return None
    if abs(sheet - gauge) > _FARTHEST_APART:
        found = f"{sheet:g} beside {gauge:g} of the gauge"
        fields.wrong("sheet_mm", found, f"two readings of one foot, within {_FARTHEST_APART:g} mm")
        return None
    return Pair(what, sheet, gauge)
