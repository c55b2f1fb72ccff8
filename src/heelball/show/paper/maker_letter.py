"""The letter to a maker as a page: the words as they were drafted and edited."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date as Date
from typing import Final

from heelball.show.paper.typesetting import PaperSize, typeset

# What opens a line of a list: a dash, or a number and a point.
_MARKED: Final = re.compile(r"\s*(?P<mark>-|\d{1,2}\.)\s+(?P<words>.+)")


def maker_letter(text: str, *, day: Date, paper: PaperSize = "a4") -> bytes:
    """Return a letter as PDF.

    Nothing is added to its words but the day; what they are about is the fitter's to say, and the
    draft of `letter.letter_text` speaks of lasts and labels alone. A letter too long for one page
    takes more, numbered.

    Parameters
    ----------
    text
        The letter; blank lines stand between paragraphs, a dash or a number opens a line of a list.
    day
        The day it is written.
    paper
        ``a4`` or ``letter``.

    Raises
    ------
    MissingExtra
        Where typst is not installed.
    """
    told = {"title": "Letter", "date": day.isoformat(), "paragraphs": list(_paragraphs(text))}
    return typeset("letter", told, day=day, paper=paper)


def _paragraphs(text: str) -> Iterator[list[tuple[str, str]]]:
    """Yield each paragraph as lines of a mark, which may be empty, and words."""
    for paragraph in re.split(r"\n\s*\n", text.replace("\r\n", "\n").strip()):
        lines: list[tuple[str, str]] = []
        for line in paragraph.split("\n"):
            marked = _MARKED.fullmatch(line)
            lines.append((marked["mark"], marked["words"]) if marked else ("", line.strip()))
        yield [(_typed(mark), words) for mark, words in lines]


def _typed(mark: str) -> str:
    return "–" if mark == "-" else mark
