"""What is written on the pages the foot stands on: few words, in the corners that no foot reaches.

Places are worked out for the right foot, like the layout, and mirrored with it; words are not.
"""

from __future__ import annotations

from typing import Final, Literal

import numpy as np
from attrs import field, frozen

from heelball.sheet.layout import PRINTABLE, Page, mirrored
from heelball.sheet.marking import Paper
from heelball.sheet.values import Array

#: The smallest letters on a page the foot stands on [points].
SMALLEST_PT: Final = 14.0
#: Smallest distance of a letter or stroke from a marker: what finds it needs bare paper there [mm].
QUIET: Final = 3.0

Place = Literal["start", "middle", "end"]

_PAPER_WORDS: Final[dict[Paper, str]] = {"a4": "A4", "letter": "Letter"}


@frozen(eq=False)
class Words:
    r"""Words in a box.

    Parameters
    ----------
    text
        Lines are parted by ``\n``.
    size_pt
        Of the letters.
    box
        Left, top, width, height [mm] on the page, before it is turned about its middle.
    align
        Where in the width of the box.
    turn_deg
        Clockwise.
    """

    text: str
    size_pt: float
    box: tuple[float, float, float, float]
    align: Place = "start"
    turn_deg: float = 0.0

    def area(self) -> Array:
        """Return the corners of the box on the page [mm], shape (4, 2)."""
        left, top, width, height = self.box
        middle = np.array([left + width / 2, top + height / 2])
        half = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]) * [width / 2, height / 2]
        turn = np.radians(self.turn_deg)
        turned = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
        return np.asarray(middle + half @ turned)


@frozen(eq=False)
class Legend:
    """Everything on a page but its markers, heel edge and axis.

    Parameters
    ----------
    words
        What is written.
    strokes
        Thin lines, shape (2, 2) each [mm]: marks that must run on over a join.
    arrow
        From its tail to its point, shape (2, 2) [mm]; None where the page has none.
    field_
        Left, top, width, height [mm] of the frame that the wearer's code is written in.
    """

    words: tuple[Words, ...]
    strokes: tuple[Array, ...] = ()
    arrow: Array | None = None
    field_: tuple[float, float, float, float] | None = field(default=None)


def legend_of(page: Page) -> Legend:
    """Return what is written on a page."""
    if page.part == "whole":
        return _on_one(page)
    return _on_heel_page(page) if page.part == "heel" else _on_toes_page(page)


def printed_areas(page: Page) -> list[Array]:
    """Return the corners [mm], shape (4, 2) each, of all that is written or drawn in the legend."""
    legend = legend_of(page)
    areas = [words.area() for words in legend.words]
    strokes = [*legend.strokes, *([] if legend.arrow is None else [legend.arrow])]
    areas += [_around(stroke) for stroke in strokes]
    if legend.field_ is not None:
        areas.append(Words("", SMALLEST_PT, legend.field_).area())
    return areas


def _around(stroke: Array, half: float = 3.0) -> Array:
    along = (stroke[1] - stroke[0]) / np.linalg.norm(stroke[1] - stroke[0])
    out = half * along
    aside = np.array([-out[1], out[0]])
    return np.stack(
        [stroke[0] - out - aside, stroke[0] - out + aside, stroke[1] + out + aside, stroke[1] + out - aside]
    )


#: One page: where the code is written, and what else differs between papers [mm].
_CODE_FIELD: Final[dict[Paper, tuple[float, float, float, float]]] = {
    "a4": (172.0, 36.0, 31.0, 18.0),
    "letter": (176.0, 36.0, 34.0, 18.0),
}
_WHICH_FOOT: Final[dict[Paper, tuple[float, float, float, float]]] = {
    "a4": (149.0, 9.0, 33.0, 20.0),
    "letter": (151.0, 9.0, 37.0, 20.0),
}
_TOES: Final[dict[Paper, tuple[float, float, float, float]]] = {
    "a4": (8.0, 210.0, 36.0, 13.0),
    "letter": (8.0, 206.0, 36.0, 13.0),
}
_ARROW_TAIL: Final[dict[Paper, tuple[float, float]]] = {"a4": (60.0, 234.0), "letter": (62.0, 232.0)}
_FOOT_LINE: Final[dict[Paper, tuple[float, float, float, float]]] = {
    "a4": (8.0, 279.0, 94.0, 13.0),
    "letter": (8.0, 261.0, 102.0, 13.0),
}
_ARROW: Final = 30.0
# Behind the heel edge there is room for a line drawn round a heel that stands free; then these words.
_BEHIND_FOLD: Final = 14.5


def _on_one(page: Page) -> Legend:
    paper = page.paper
    tail = np.array(_ARROW_TAIL[paper])
    right = page if page.foot == "right" else None
    along = page.frame.along if right else page.frame.along * [-1.0, 1.0]
    legend = Legend(
        (
            Words(f"{page.foot.capitalize()}\nfoot", 22.0, _WHICH_FOOT[paper]),
            Words("code", SMALLEST_PT, _above(_CODE_FIELD[paper])),
            Words("toes this way", SMALLEST_PT, _TOES[paper]),
            Words(_PHOTOGRAPH, SMALLEST_PT, _FOOT_LINE[paper]),
        ),
        arrow=np.stack([tail, tail + _ARROW * along]),
        field_=_CODE_FIELD[paper],
    )
    return _with_fold(page, _as_foot(page, legend))


_PHOTOGRAPH: Final = "Photograph from straight above,\nall black squares in the picture."


def _above(box: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
    left, top, width, _height = box
    return (left, top - 7.0, width, 6.0)


def _on_heel_page(page: Page) -> Legend:
    height = page.size[1]
    heel_x = _right_heel_x(page)
    left = heel_x + 6.0
    field_ = (left + 16.0, height - 52.0, 50.0, 18.0)
    legend = Legend(
        (
            Words(f"{page.foot.capitalize()} foot", 22.0, (left, 28.0, 70.0, 9.0)),
            Words("page 1 of 2: heel", SMALLEST_PT, (left, 39.0, 70.0, 6.0)),
            Words("code", SMALLEST_PT, (left, height - 47.0, 14.0, 6.0)),
            *_letters(page),
        ),
        strokes=_joins(page),
        field_=field_,
    )
    return _with_fold(page, _as_foot(page, legend))


def _on_toes_page(page: Page) -> Legend:
    height = page.size[1]
    tail = np.array([40.0, height - 46.0])
    legend = Legend(
        (
            Words(f"{page.foot.capitalize()} foot", 22.0, (40.0, 28.0, 70.0, 9.0)),
            Words("page 2 of 2: toes", SMALLEST_PT, (40.0, 39.0, 70.0, 6.0)),
            Words("toes this way", SMALLEST_PT, (40.0, height - 42.0, 60.0, 6.0)),
            Words(
                "Lay A to A and B to B,\nedge to edge, and tape them.",
                SMALLEST_PT,
                (118.0, 33.0, 80.0, 13.0),
            ),
            *_letters(page),
        ),
        strokes=_joins(page),
        arrow=np.stack([tail, tail + np.array([_ARROW, 0.0])]),
    )
    return _as_foot(page, legend)


# Heights of the join's marks, from the top and from the bottom [mm], and how long they are.
_JOIN: Final = 40.0
_JOIN_LENGTH: Final = 14.0


def _joins(page: Page) -> tuple[Array, ...]:
    width, height = page.size
    ends = (
        (width - PRINTABLE - _JOIN_LENGTH, width - PRINTABLE)
        if page.part == "heel"
        else (PRINTABLE, PRINTABLE + _JOIN_LENGTH)
    )
    return tuple(np.array([[ends[0], y], [ends[1], y]]) for y in (_JOIN, height - _JOIN))


def _letters(page: Page) -> tuple[Words, ...]:
    width, height = page.size
    left = width - PRINTABLE - _JOIN_LENGTH - 11.0 if page.part == "heel" else PRINTABLE + _JOIN_LENGTH + 2.0
    return tuple(
        Words(letter, 22.0, (left, y - 4.5, 9.0, 9.0), "middle")
        for letter, y in (("A", _JOIN), ("B", height - _JOIN))
    )


def _right_heel_x(page: Page) -> float:
    return float(page.frame.origin[0])


def _as_foot(page: Page, legend: Legend) -> Legend:
    """Return the legend where it stands for that page's foot."""
    if page.foot == "right":
        return legend

    def box(of: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
        left, top, width, height = of
        corners = mirrored(page.part, page.size, np.array([[left, top], [left + width, top + height]]))
        new_left, new_top = corners.min(axis=0).tolist()
        return (new_left, new_top, width, height)

    return Legend(
        tuple(Words(one.text, one.size_pt, box(one.box), one.align, one.turn_deg) for one in legend.words),
        tuple(mirrored(page.part, page.size, stroke) for stroke in legend.strokes),
        None if legend.arrow is None else mirrored(page.part, page.size, legend.arrow),
        None if legend.field_ is None else box(legend.field_),
    )


def _with_fold(page: Page, legend: Legend) -> Legend:
    """Return the legend with the word that stands behind the heel edge, along it."""
    assert page.heel_edge is not None
    first, second = page.heel_edge
    middle = (first + second) / 2 - page.frame.along * _BEHIND_FOLD
    edge = second - first if second[0] >= first[0] else first - second
    turn = float(np.degrees(np.arctan2(edge[1], edge[0])))
    width, height = 24.0, 6.0
    box = (float(middle[0]) - width / 2, float(middle[1]) - height / 2, width, height)
    return Legend(
        (*legend.words, Words("fold here", SMALLEST_PT, box, "middle", turn)),
        legend.strokes,
        legend.arrow,
        legend.field_,
    )
