"""What is written on the pages the foot stands on: few words, in the corners that no foot reaches.

On one page places are worked out for the right foot, like the layout, and mirrored with it; words are
not. Two pages side by side have the axis in their middle: what is written stands alike for both feet.
"""

from __future__ import annotations

from typing import Final, Literal

import numpy as np
from attrs import evolve, frozen

from heelball.sheet.layout import PRINTABLE, Page, mirrored, page_of
from heelball.sheet.marking import Paper
from heelball.sheet.values import Array

#: The smallest letters on a page the foot stands on [points].
SMALLEST_PT: Final = 14.0
#: Smallest distance of a letter or stroke from a marker: what finds it needs bare paper there [mm].
QUIET: Final = 3.0

Place = Literal["start", "middle", "end"]

Box = tuple[float, float, float, float]


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
    box: Box
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
    code
        Left, top, width, height [mm] of the frame for the wearer's code; None where the page has none.
    """

    words: tuple[Words, ...]
    strokes: tuple[Array, ...] = ()
    arrow: Array | None = None
    code: Box | None = None


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
    if legend.code is not None:
        left, top, width, height = legend.code
        rim = _FRAME_RIM
        areas.append(
            Words("", SMALLEST_PT, (left - rim, top - rim, width + 2 * rim, height + 2 * rim)).area()
        )
    return areas


def _around(stroke: Array, half: float = 3.0) -> Array:
    along = (stroke[1] - stroke[0]) / np.linalg.norm(stroke[1] - stroke[0])
    out = half * along
    aside = np.array([-out[1], out[0]])
    return np.stack(
        [stroke[0] - out - aside, stroke[0] - out + aside, stroke[1] + out + aside, stroke[1] + out - aside]
    )


# Half of the frame's stroke, and a little [mm].
_FRAME_RIM: Final = 0.4

# One page, right foot: what differs between the papers [mm].
_CODE: Final[dict[Paper, Box]] = {"a4": (172.0, 36.0, 31.0, 18.0), "letter": (176.0, 36.0, 34.0, 18.0)}
_WHICH_FOOT: Final[dict[Paper, Box]] = {"a4": (149.0, 9.0, 33.0, 20.0), "letter": (151.0, 9.0, 37.0, 20.0)}
_TOES: Final[dict[Paper, Box]] = {"a4": (8.0, 214.0, 34.0, 6.0), "letter": (8.0, 210.0, 34.0, 6.0)}
_ARROW_TAIL: Final[dict[Paper, tuple[float, float]]] = {"a4": (60.0, 234.0), "letter": (62.0, 232.0)}
_PHOTOGRAPH: Final[dict[Paper, Box]] = {"a4": (8.0, 279.0, 70.0, 13.0), "letter": (8.0, 261.0, 70.0, 13.0)}
_ARROW: Final = 30.0
# Behind the heel edge there is room for a line drawn round a heel that stands free; then these words.
_BEHIND_FOLD: Final = 11.5
_FOLD_WORDS: Final = (18.5, 5.0)


def _on_one(page: Page) -> Legend:
    paper = page.paper
    tail = np.array(_ARROW_TAIL[paper])
    code = _CODE[paper]
    legend = Legend(
        (
            Words(f"{page.foot.capitalize()}\nfoot", 22.0, _WHICH_FOOT[paper], "middle"),
            Words("code", SMALLEST_PT, (code[0], code[1] - 7.0, code[2], 6.0), "middle"),
            Words("toes this way", SMALLEST_PT, _TOES[paper], "end"),
            Words(
                "Photograph from straight above,\nall black squares in the picture.",
                SMALLEST_PT,
                _PHOTOGRAPH[paper],
            ),
        ),
        arrow=np.stack([tail, tail + _ARROW * page_of(paper, "whole", "right").frame.along]),
        code=code,
    )
    legend = legend if page.foot == "right" else _mirrored(page, legend)
    assert page.heel_edge is not None
    middle = page.heel_edge.mean(axis=0)
    # Toward the printable corner, so that as much paper is left at either end of the words.
    corner = np.clip(middle - 1000.0 * page.frame.along, PRINTABLE, np.array(page.size) - PRINTABLE)
    share = _BEHIND_FOLD / ((middle - corner) @ page.frame.along)
    return _with_fold(page, legend, middle + share * (corner - middle))


def _on_heel_page(page: Page) -> Legend:
    height = page.size[1]
    left = float(page.frame.origin[0]) + 6.0
    legend = Legend(
        (
            Words(f"{page.foot.capitalize()} foot", 22.0, (left, 28.0, 70.0, 9.0)),
            Words("page 1 of 2: heel", SMALLEST_PT, (left, 39.0, 70.0, 6.0)),
            Words("code", SMALLEST_PT, (left, height - 43.0, 11.0, 6.0)),
            *_letters(page),
        ),
        strokes=_joins(page),
        code=(left + 13.0, height - 49.0, 60.0, 18.0),
    )
    return _with_fold(page, legend, page.frame.origin - _BEHIND_FOLD * page.frame.along)


def _on_toes_page(page: Page) -> Legend:
    height = page.size[1]
    tail = np.array([40.0, height - 37.0])
    return Legend(
        (
            Words(f"{page.foot.capitalize()} foot", 22.0, (40.0, 28.0, 70.0, 9.0)),
            Words("page 2 of 2: toes", SMALLEST_PT, (40.0, 39.0, 70.0, 6.0)),
            Words("toes this way", SMALLEST_PT, (40.0, height - 48.0, 60.0, 6.0)),
            Words(
                "Lay A to A and B to B,\nedge to edge, and tape them.",
                SMALLEST_PT,
                (118.0, 31.0, 80.0, 14.0),
            ),
            Words(
                "Photograph from straight above,\nall black squares of both pages\nin the picture.",
                SMALLEST_PT,
                (118.0, height - 50.0, 80.0, 20.0),
            ),
            *_letters(page),
        ),
        strokes=_joins(page),
        arrow=np.stack([tail, tail + np.array([_ARROW, 0.0])]),
    )


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


_OTHER_SIDE: Final[dict[Place, Place]] = {"start": "end", "middle": "middle", "end": "start"}


def _mirrored(page: Page, legend: Legend) -> Legend:
    """Return the right foot's legend where it stands on the left foot's page."""

    def box(of: Box) -> Box:
        left, top, width, height = of
        corners = mirrored(page.part, page.size, np.array([[left, top], [left + width, top + height]]))
        return (float(corners[:, 0].min()), float(corners[:, 1].min()), width, height)

    return Legend(
        tuple(evolve(one, box=box(one.box), align=_OTHER_SIDE[one.align]) for one in legend.words),
        tuple(mirrored(page.part, page.size, stroke) for stroke in legend.strokes),
        None if legend.arrow is None else mirrored(page.part, page.size, legend.arrow),
        None if legend.code is None else box(legend.code),
    )


def _with_fold(page: Page, legend: Legend, middle: Array) -> Legend:
    """Return the legend with the words behind the heel edge, along it; upright ones read from below."""
    edge = page.frame.inner if page.frame.inner[0] > 1e-9 else -page.frame.inner
    turn = float(np.degrees(np.arctan2(edge[1], edge[0])))
    width, height = _FOLD_WORDS
    box = (float(middle[0]) - width / 2, float(middle[1]) - height / 2, width, height)
    turn = -90.0 if abs(turn) > 89.9 else turn
    return evolve(legend, words=(*legend.words, Words("fold here", SMALLEST_PT, box, "middle", turn)))
