"""The published ways to read a size scale that do not agree, each with its source.

A conversion goes through foot length, and for several scales more than one line from size to
foot is in use: a European number is read with 13, 15 or 20 mm of toe room or as the foot itself
(S1), a UK number with 2/3 or 1/2 in. The printed marking tables (S3) round each row to a half
size, and for children depart from every straight line. The 15 mm, the 2 cm and the 1/2 in were
seen without a source.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import Final

from attrs import frozen

from heelball.scales.catalogue import BARLEYCORN, PARIS_POINT, size_scales
from heelball.scales.size_scale import Rows, SizeScale, Straight

#: The adult marking table (S3, second-hand): a row for each foot length [mm] with its European
#: and UK mark. The US men's mark is the UK one + 1 in every row, the US women's + 2.
_MARKED_LENGTHS: Final = tuple(Fraction(length) for length in range(210, 321, 5))
_MARKED_EU: Final = (
    "33.5 34 35 35.5 36.5 37 38 38.5 39.5 40 41 41.5 42.5 43 44 44.5 45.5 46 47 47.5 48.5 49 50"
)
_MARKED_UK: Final = "1.5 2.5 3 3.5 4 4.5 5.5 6 6.5 7 7.5 8.5 9 9.5 10 10.5 11 12 12.5 13 13.5 14 15"

_UNSOURCED: Final = "common practice, no source"
_SECOND_HAND: Final = "S3, second-hand"
_TWO_BARLEYCORNS: Final = "with 2/3 in of toe room"
_TWO_POINTS: Final = "with two points of toe room"
_AS_FOOT: Final = "read as the foot's own length"


@frozen
class Edition:
    """One way to read a scale.

    Parameters
    ----------
    words
        What sets it apart from the others, to stand behind a figure.
    line
        From size to foot length; rows speak only of the lengths between their ends.
    source
        Key of the source in ``docs/references.md``.
    """

    words: str
    line: Straight | Rows
    source: str

    def size(self, foot_length: Fraction) -> Fraction | None:
        """Return the size of a foot length [mm], or None beyond the rows of a table."""
        if isinstance(self.line, Rows) and not self.line.lengths[0] <= foot_length <= self.line.lengths[-1]:
            return None
        return self.line.size(foot_length)

    def foot_length(self, size: Fraction) -> Fraction | None:
        """Return the foot length [mm] of a size, or None beyond the rows of a table."""
        if isinstance(self.line, Rows) and not self.line.sizes[0] <= size <= self.line.sizes[-1]:
            return None
        return self.line.foot_length(size)


def _marked(column: str, shift: int) -> Edition:
    sizes = tuple(Fraction(mark) + shift for mark in column.split())
    return Edition("in the marking table", Rows(sizes, _MARKED_LENGTHS), _SECOND_HAND)


def _constant(shift: Fraction, source: str) -> Edition:
    return Edition(_TWO_BARLEYCORNS, Straight(shift, BARLEYCORN), source)


@cache
def _all_editions() -> Mapping[str, tuple[Edition, ...]]:
    scales = size_scales()

    def own(name: str, words: str, source: str) -> Edition:
        return Edition(words, scales[name].line, source)

    def child(name: str, constant: Edition, *others: Edition) -> tuple[Edition, ...]:
        return own(name, "in the children's marking table", _SECOND_HAND), constant, *others

    eu_constant = Edition(_TWO_POINTS, Straight(Fraction(-2), PARIS_POINT), "S3 S42")
    eu_as_foot = Edition(_AS_FOOT, Straight(Fraction(0), PARIS_POINT), "S1")
    return MappingProxyType(
        {
            "eu": (
                own("eu", _TWO_POINTS, "S3 S42"),
                Edition("with 15 mm of toe room", Straight(Fraction(-9, 4), PARIS_POINT), _UNSOURCED),
                Edition("with 2 cm of toe room", Straight(Fraction(-3), PARIS_POINT), _UNSOURCED),
                eu_as_foot,
                _marked(_MARKED_EU, 0),
            ),
            "uk": (
                own("uk", _TWO_BARLEYCORNS, "S3 S42"),
                Edition("with 1/2 in of toe room", Straight(Fraction(47, 2), BARLEYCORN), _UNSOURCED),
                _marked(_MARKED_UK, 0),
            ),
            "us-men": (own("us-men", _TWO_BARLEYCORNS, "S7 S8"), _marked(_MARKED_UK, 1)),
            "us-women": (own("us-women", _TWO_BARLEYCORNS, "S7 S8"), _marked(_MARKED_UK, 2)),
            "us-boys-old": (
                own("us-boys-old", "from a zero of 3 11/12 in", "S10 S23"),
                Edition("from a zero of 3 7/8 in", Straight(Fraction(93, 8) - 2, BARLEYCORN), "S24"),
            ),
            "eu-child": child("eu-child", eu_constant, eu_as_foot),
            "uk-child": child("uk-child", _constant(Fraction(10), "S5 S12")),
            "us-child": child("us-child", _constant(Fraction(29, 3), "S4 S8")),
        }
    )


def editions(scale: SizeScale) -> tuple[Edition, ...]:
    """Return every edition of `scale`; the first is the line that Heelball reads it by."""
    return _all_editions().get(scale.name) or (Edition("", scale.line, scale.source),)
