"""Names and codes on paper: on one line, cut where they are too long for their place."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from heelball.last.values import Last

#: Letters of a wearer's name, of a maker's and of a code that are shown.
NAME: Final = 60
MAKER: Final = 40
CODE: Final = 24

# What might be taken for a length within a name.
_LIKE_A_LENGTH: Final = re.compile(r"\d mm\b")


def cut(text: str, letters: int) -> str:
    """Return a text on one line, cut to so many letters.

    Examples
    --------
    >>> cut("Quernmere  Bench", 40), cut("Quernmere Bench", 10)
    ('Quernmere Bench', 'Quernmere…')
    """
    line = " ".join(text.split())
    return line if len(line) <= letters else f"{line[: letters - 1].rstrip()}…"


def shown_names(lasts: Iterable[Last]) -> dict[str, str]:
    """Return the names of lasts and makers that sentences must show otherwise, or leave as they are.

    Those cut, and those in which a length could be read, by what is to be shown.
    """
    names = {}
    for last in lasts:
        for name, letters in ((last.maker, MAKER), (last.code, CODE)):
            shown = cut(name, letters)
            if shown != name or _LIKE_A_LENGTH.search(name):
                names[name] = shown
    return names
