"""What a marker's number says: the version of the sheet, its paper, the part of it, the foot, its place."""

from __future__ import annotations

from typing import Final, Literal

from attrs import frozen

from heelball.foot.vector import FEET, Foot

Paper = Literal["a4", "letter"]
Part = Literal["whole", "heel", "toes"]

#: This edition of the sheet; a change of the layout makes another.
VERSION: Final = 1
#: Places of markers on one page.
PLACES: Final = 12

PAPERS: Final[tuple[Paper, ...]] = ("a4", "letter")
PARTS: Final[tuple[Part, ...]] = ("whole", "heel", "toes")

_KINDS: Final = 16  # 2 papers × 4 parts (one to spare) × 2 feet
_VERSIONS: Final = 5  # as many as an open dictionary of 1,000 markers holds


@frozen
class Marking:
    """One marker's place: which edition, paper, part, foot, and its number on that page."""

    version: int
    paper: Paper
    part: Part
    foot: Foot
    number: int


def marker_id(marking: Marking) -> int:
    """Return the number of the marker in the dictionary of 5 × 5 markers."""
    kind = (PAPERS.index(marking.paper) * 4 + PARTS.index(marking.part)) * 2 + FEET.index(marking.foot)
    return ((marking.version - 1) * _KINDS + kind) * PLACES + marking.number


def marking_of(number: int) -> Marking | None:
    """Return what a marker's number says; None where no edition of the sheet can carry it."""
    rest, place = divmod(number, PLACES)
    version, kind = divmod(rest, _KINDS)
    part = kind // 2 % 4
    if not 0 <= version < _VERSIONS or part >= len(PARTS):
        return None
    return Marking(version + 1, PAPERS[kind // 8], PARTS[part], FEET[kind % 2], place)
