"""A try-ons file line by line: each its cells, or why it has none, however long file and line are."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence
from typing import Final, TextIO

from heelball.errors import InputError, Problem, UnreadableText
from heelball.fit.wearer import PLACES
from heelball.work.csv_header import header_problems
from heelball.work.try_on_cells import ALLOWED, REQUIRED

#: A line longer than this holds no try-on; the rest of it is passed over unread.
_LONGEST: Final = 10_000

#: What ends a line.
_ENDS: Final = ("\n", "\r")

#: What bytes that are not UTF-8 are read as.
_BROKEN: Final = re.compile("[\ud800-\udfff]")


def lines_of(text: TextIO) -> Iterator[str]:
    """Yield line after line; of one that is too long only its beginning, so that memory stays small.

    Parameters
    ----------
    text
        Opened with ``newline=""`` and ``errors="surrogateescape"``, so that one line that is not
        UTF-8 is one line.
    """
    while line := text.readline(_LONGEST):
        begun = line
        while len(line) == _LONGEST and not line.endswith(_ENDS):
            line = text.readline(_LONGEST)
        yield begun


def header_of(line: str, place: str) -> list[str]:
    """Return the columns of a file from its first line.

    Raises
    ------
    InputError
        Where they do not serve, with every reason.
    """
    wanted = f"a header with {', '.join(REQUIRED)} and some of {', '.join(PLACES)}"
    if not line.strip():
        raise InputError.at(place, "an empty first line", wanted)
    try:
        header = [cell.strip() for cell in _cells(line)]
    except UnreadableText as refused:
        raise InputError([refused.at(place)]) from None
    if len(header) == 1 and (";" in header[0] or "\t" in header[0]):
        between = "semicolons" if ";" in header[0] else "tabs"
        raise InputError.at(place, f"{between} between the columns", "commas")
    problems = header_problems(header, place, ALLOWED, REQUIRED, wanted)
    if not any(column in PLACES for column in header):
        problems.append(Problem(place, "no column of a place", f"at least one of {', '.join(PLACES)}"))
    if problems:
        raise InputError(problems)
    return header


def row_of(line: str, header: Sequence[str]) -> list[str]:
    """Return the cells of a line, as many as the header has; none where all are blank.

    Raises
    ------
    UnreadableText
        Where it holds no row.
    """
    cells = _cells(line)
    if len(cells) == len(header):
        return cells
    if not any(cell.strip() for cell in cells):
        return []
    cut = _cut(line) if len(cells) < len(header) else ""
    raise UnreadableText(f"{len(cells)} cells{cut}", f"{len(header)} cells, as in the header")


def _cells(line: str) -> list[str]:
    if not line.isascii() and _BROKEN.search(line):
        raise UnreadableText(f"bytes that are not UTF-8{_cut(line)}", "plain text saved as UTF-8")
    if "\0" in line:
        raise UnreadableText("a null byte", "plain text saved as UTF-8")
    if len(line) == _LONGEST and not line.endswith(_ENDS):
        raise UnreadableText(f"more than {_LONGEST} letters", "a line for each foot of a report")
    if '"' not in line:
        return line.rstrip("\r\n").split(",")
    try:
        return next(csv.reader((line,), strict=True))
    except csv.Error:
        found = f"quotation marks that do not close round a cell{_cut(line)}"
        raise UnreadableText(found, "a mark before and one behind the cell, on one line") from None


def _cut(line: str) -> str:
    return "" if line.endswith(_ENDS) else " at the end of the file: was it cut short?"
