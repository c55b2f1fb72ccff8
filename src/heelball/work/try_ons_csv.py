"""Try-ons from one CSV: a row for each foot of one report, read line by line however long the file."""

from __future__ import annotations

import csv
from collections.abc import Collection, Iterator, Sequence
from datetime import date as Date
from io import TextIOWrapper
from pathlib import Path

from attrs import frozen

from heelball.errors import InputError, Problem
from heelball.fit.wearer import PLACES
from heelball.last.values import Last
from heelball.learn.try_on import TryOn
from heelball.work.csv_header import header_problems
from heelball.work.fields import shown
from heelball.work.try_on_rows import ALLOWED, LONGEST, REQUIRED, Reports


@frozen
class ReadTryOns:
    """What a file of try-ons holds.

    Parameters
    ----------
    try_ons
        In the order of their first rows.
    rows, kept
        Rows that say something, and how many of them are in the try-ons.
    problems
        What was left out and why, at most `try_on_rows.LISTED` and then one that counts the rest.
    unmeasured
        Codes of wearers of whom no readings are given, sorted.
    """

    try_ons: tuple[TryOn, ...]
    rows: int
    kept: int
    problems: tuple[Problem, ...]
    unmeasured: tuple[str, ...]


def read_try_ons(
    path: Path,
    name: str,
    lasts: Sequence[Last],
    *,
    wearers: Collection[str],
    strict: bool,
    today: Date,
) -> ReadTryOns:
    """Return the try-ons of a file; a row that is wrong is left out, or with `strict` refuses all.

    Parameters
    ----------
    path, name
        The file, and what it is called in sentences.
    lasts
        Every last a row may name.
    wearers
        Codes of the wearers whose readings are known.
    strict
        Refuse the file for any problem, and for a wearer without readings.
    today
        No report is from after it.

    Raises
    ------
    InputError
        Where the file cannot be read or its header does not serve; with `strict` for any problem.
    """
    report = Reports(name, {last.code: last for last in lasts}, today)
    try:
        if path.is_dir():
            raise InputError.at(name, "a directory", "a file")
        with path.open("rb") as raw:
            # What is not UTF-8 becomes single surrogates, so that one bad row is one bad row.
            text = TextIOWrapper(raw, encoding="utf-8-sig", errors="surrogateescape", newline="\n")
            _read_rows(text, name, report)
    except FileNotFoundError:
        raise InputError.at(str(path), "no such file", "a file that exists") from None
    except OSError as refused:
        found = refused.strerror or "cannot be read"
        raise InputError.at(str(path), found, "a file that can be read") from None
    unmeasured = sorted({one.wearer for one in report.drafts} - set(wearers))
    if strict:
        problems = report.told()
        problems += [
            Problem(name, f"wearer {shown(code)} without readings", "a wearer among the wearer files")
            for code in unmeasured
        ]
        if problems:
            raise InputError(problems)
    try_ons = tuple(draft.finished() for draft in report.drafts)
    return ReadTryOns(try_ons, report.rows, report.kept, tuple(report.told()), tuple(unmeasured))


def _read_rows(text: TextIOWrapper, name: str, report: Reports) -> None:
    header: list[str] | None = None
    for number, line in enumerate(_lines(text), start=1):
        cells = _cells(line)
        place = f"{name}, line {number}"
        if header is None:
            if cells is None or not line.strip():
                found = "an empty first line" if cells is not None else "a first line that is not CSV"
                raise InputError.at(place, found, f"a header with {', '.join(REQUIRED)}")
            header = [cell.strip() for cell in cells]
            _check_header(header, place)
            report.begin(header)
        elif line.strip():
            report.add(cells, line, place)
    if header is None:
        raise InputError.at(name, "an empty file", "a file with something in it")


def _lines(text: TextIOWrapper) -> Iterator[str]:
    """Yield line after line; of one that is too long, its beginning, so that memory stays small."""
    while line := text.readline(LONGEST):
        whole = line
        while line and not line.endswith("\n") and len(line) == LONGEST:
            line = text.readline(LONGEST)
        yield whole


def _cells(line: str) -> list[str] | None:
    """Return the cells of a line, or None where it is not CSV by itself."""
    if '"' not in line:
        return line.rstrip("\r\n").split(",")
    try:
        return next(csv.reader((line,), strict=True))
    except csv.Error:
        return None


def _check_header(header: Sequence[str], place: str) -> None:
    if len(header) == 1 and (";" in header[0] or "\t" in header[0]):
        between = "semicolons" if ";" in header[0] else "tabs"
        raise InputError.at(place, f"{between} between the columns", "commas")
    wanted = f"a header with {', '.join(REQUIRED)} and some of {', '.join(PLACES)}"
    problems = header_problems(header, place, ALLOWED, REQUIRED, wanted)
    if not any(column in PLACES for column in header):
        problems.append(Problem(place, "no column of a place", f"at least one of {', '.join(PLACES)}"))
    if problems:
        raise InputError(problems)
