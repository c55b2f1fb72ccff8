"""Try-ons from one CSV: a row for each foot of one report, read line by line however long the file."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import date as Date
from io import TextIOWrapper
from pathlib import Path
from typing import TextIO

from attrs import frozen

from heelball.errors import InputError, Problem, UnreadableText
from heelball.last.values import Last
from heelball.learn.try_on import TryOn
from heelball.work.fields import shown
from heelball.work.try_on_lines import header_of, lines_of, row_of
from heelball.work.try_on_rows import LISTED, Rows


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
    by_code = {last.code: last for last in lasts}
    try:
        if path.is_dir():
            raise InputError.at(name, "a directory", "a file")
        with path.open("rb") as raw:
            # What is not UTF-8 becomes single surrogates, so that one bad row is one bad row.
            text = TextIOWrapper(raw, encoding="utf-8-sig", errors="surrogateescape", newline="")
            rows = _read_rows(text, name, by_code, today)
    except FileNotFoundError:
        raise InputError.at(str(path), "no such file", "a file that exists") from None
    except OSError as refused:
        found = refused.strerror or "cannot be read"
        raise InputError.at(str(path), found, "a file that can be read") from None
    problems = rows.problems()
    try_ons = tuple(rows.reports.try_ons(name))
    unmeasured = {one.wearer: one.place for one in reversed(try_ons) if one.wearer not in wearers}
    if strict:
        without = [_without_readings(code, unmeasured[code]) for code in sorted(unmeasured)]
        problems += without[:LISTED]
        if len(without) > LISTED:
            more = f"{len(without) - LISTED} more wearers without readings"
            problems.append(Problem(name, more, "wearers among the wearer files"))
        if problems:
            raise InputError(problems)
    return ReadTryOns(try_ons, rows.rows, rows.kept, tuple(problems), tuple(sorted(unmeasured)))


def _without_readings(code: str, place: str) -> Problem:
    return Problem(
        f"{place}, column wearer", f"{shown(code)}, without readings", "a wearer among the wearer files"
    )


def _read_rows(text: TextIO, name: str, lasts: Mapping[str, Last], today: Date) -> Rows:
    lines = lines_of(text)
    first = next(lines, None)
    if first is None:
        raise InputError.at(name, "an empty file", "a file with something in it")
    header = header_of(first, f"{name}, line 1")
    rows = Rows(name, header, lasts, today)
    for number, line in enumerate(lines, start=2):
        try:
            cells = row_of(line, header)
        except UnreadableText as refused:
            rows.refuse(number, [refused.at("")])
        else:
            if cells:
                rows.add(cells, number)
    return rows
