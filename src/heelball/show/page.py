"""Lines of a note: at most 80 columns, some of them headings."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from textwrap import wrap
from typing import Final

from attrs import frozen

#: Columns of a note.
WIDTH: Final = 80

# A figure and what belongs to it stay on one line: 10 1/2 D, 4 mm, 12 %.
_TOGETHER: Final = re.compile(r"(?<=\d) (?=\d/\d|mm\b|%|[A-E]{1,6}\b)|(?<=±) (?=\d)")
_GLUE: Final = "\N{NO-BREAK SPACE}"


@frozen
class Line:
    """One line of a note; a heading stands out where a terminal can show it."""

    text: str
    heading: bool = False


def heading(text: str) -> list[Line]:
    """Return a heading, over several lines where it is long."""
    return [Line(part, heading=True) for part in wrap(text, WIDTH, break_on_hyphens=False)]


def paragraph(text: str, *, first: str = "", rest: str | None = None) -> list[Line]:
    """Return a text wrapped to the page.

    Parameters
    ----------
    text
        Any text; its line breaks become blanks.
    first, rest
        What stands before the first line and before the others (blanks as long as `first`).
    """
    below = " " * len(first) if rest is None else rest
    kept = _TOGETHER.sub(_GLUE, " ".join(text.split()))
    lines = wrap(kept, WIDTH, initial_indent=first, subsequent_indent=below, break_on_hyphens=False)
    return [Line(line.replace(_GLUE, " ").rstrip()) for line in lines]


def items(texts: Iterable[str], indent: int = 2) -> Iterator[Line]:
    """Return texts as a list, one dash each."""
    for text in texts:
        yield from paragraph(text, first=f"{' ' * indent}- ")


def table(
    rows: Sequence[Sequence[str]], *, indent: int = 2, gap: int = 2, right: Sequence[int] = ()
) -> list[Line]:
    """Return rows set in columns, as wide as the page has room for; what is too long is cut.

    Parameters
    ----------
    rows
        Cells; every row has as many.
    indent, gap
        Blanks before a row and between its columns.
    right
        Columns set to the right, such as figures.
    """
    widths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    room = WIDTH - indent - gap * (len(widths) - 1)
    while sum(widths) > room:
        widths[widths.index(max(widths))] -= 1
    lines = []
    for row in rows:
        cells = (
            _cell(cell, width, column in right)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        )
        lines.append(Line((" " * indent + (" " * gap).join(cells)).rstrip()))
    return lines


def _cell(text: str, width: int, to_the_right: bool) -> str:
    cut = text if len(text) <= width else f"{text[: width - 3]}..."
    return cut.rjust(width) if to_the_right else cut.ljust(width)
