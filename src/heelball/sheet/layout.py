"""Where everything stands on the sheet [mm]: the heel edge, the axis and the markers of every page.

The foot stands turned on one page, heel at one corner and toes at the opposite one, or straight
over two pages side by side. Coordinates of a page have their origin at its top left, y down.
Layouts are worked out for the right foot; the left one's are mirrored.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Final

import numpy as np
from attrs import evolve, field, frozen

from heelball.foot.vector import Foot
from heelball.sheet.marking import VERSION, Marking, Paper, Part, marker_id
from heelball.sheet.values import Array

#: Width and height of a page [mm]: ISO 216, and ANSI/ASME Y14.1 (letter).
SIZES: Final[dict[Paper, tuple[float, float]]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
#: The longest foot that one page holds with 8 mm to spare, and two side by side [mm].
HOLDS: Final[dict[Paper, float]] = {"a4": 297.0, "letter": 285.0}
TWO_PAGES_HOLD: Final = 340.0
#: Side of a marker [mm].
MARKER: Final = 16.0
#: Bare paper between the foot and the edge of the paper [mm].
SPARE: Final = 8.0
#: What is printed ends this far from the paper's edge, where most printers reach [mm].
PRINTABLE: Final = 5.0

# One page: angle of the axis from the long edge [degrees], length of the fold across the corner
# [mm], and how far the axis meets it from the foot of the corner's perpendicular [mm]; the last two
# are what lets the longest foot lie clear of all edges.
_TURNED: Final[dict[Paper, tuple[float, float, float]]] = {
    "a4": (30.0, 68.0, 10.5),
    "letter": (34.0, 68.0, 4.5),
}

# Top left corners of the markers on one page [mm]: six at the inner side of the foot, six at its outer.
_MARKERS: Final[dict[Paper, tuple[tuple[float, float], ...]]] = {
    "a4": (
        (7.5, 139.5), (7.5, 187.5), (7.5, 237.5), (69.5, 211.5), (55.5, 259.5), (105.5, 273.5),
        (129.5, 7.5), (185.5, 7.5), (151.5, 41.5), (169.5, 75.5), (181.5, 109.5), (185.5, 145.5),
    ),
    "letter": (
        (7.5, 129.5), (7.5, 181.5), (7.5, 235.5), (69.5, 189.5), (59.5, 241.5), (113.5, 255.5),
        (131.5, 7.5), (191.5, 7.5), (155.5, 39.5), (171.5, 73.5), (181.5, 105.5), (191.5, 139.5),
    ),
}  # fmt: skip

# Two pages: a row of markers at the top and one at the bottom, this far from the edges [mm]. The
# first of the heel's page stands this far ahead of the fold.
_ROW_INSET: Final = 7.5
_AHEAD_OF_FOLD: Final = 6.0
_HEEL_EDGE_OF_TWO: Final = 140.0


@frozen(eq=False)
class FootFrame:
    """The foot's own directions on a page: `origin` is the middle of the heel, on the heel edge.

    Parameters
    ----------
    origin
        On the page [mm], shape (2,).
    along, inner
        Unit vectors on the page: heel to toes, and toward the foot's inner side.
    """

    origin: Array
    along: Array
    inner: Array

    def to_foot(self, points: Array) -> Array:
        """Return (along, across) [mm] of points on the page, shape (n, 2)."""
        return (points - self.origin) @ np.stack([self.along, self.inner], axis=1)

    def to_page(self, points: Array) -> Array:
        """Return points on the page [mm] of (along, across), shape (n, 2)."""
        return self.origin + points @ np.stack([self.along, self.inner])


@frozen(eq=False)
class Marker:
    """A printed marker: its number, and its corners on its page [mm], clockwise from its top left, (4, 2)."""

    id: int
    corners: Array


@frozen(eq=False)
class Page:
    """A page the foot stands on.

    Parameters
    ----------
    paper, part, foot
        Which page it is.
    size
        Width and height [mm].
    offset
        Where its top left corner belongs in the frame of the first page [mm], shape (2,).
    frame
        The foot's directions, on this page (the origin may lie beyond its edge).
    heel_edge
        The printed fold, shape (2, 2) [mm]; None where the heel is on the other page.
    axis
        The printed axis, heel to toe, shape (2, 2) [mm].
    markers
        At least six.
    holds
        The longest foot the layout holds [mm].
    """

    paper: Paper
    part: Part
    foot: Foot
    size: tuple[float, float]
    offset: Array
    frame: FootFrame
    heel_edge: Array | None
    axis: Array
    markers: tuple[Marker, ...] = field(repr=False)
    holds: float


def needs_two(paper: Paper, foot_length: float) -> bool:
    """Return whether a foot of that length [mm] needs two pages."""
    return foot_length > HOLDS[paper]


def pages_of(paper: Paper, foot: Foot, *, two: bool = False) -> tuple[Page, ...]:
    """Return the page the foot stands on, or the two pages side by side."""
    return tuple(page_of(paper, part, foot) for part in (("heel", "toes") if two else ("whole",)))


@lru_cache(maxsize=32)
def page_of(paper: Paper, part: Part, foot: Foot) -> Page:
    """Return one page of the sheet."""
    page = _one_of_one(paper) if part == "whole" else _one_of_two(paper, part)
    if foot == "left":
        page = _mirrored(page)
    return page


def mirrored(part: Part, size: tuple[float, float], points: Array) -> Array:
    """Return where points of the right foot's page [mm], shape (..., 2), stand on the left one's.

    A single page is mirrored left to right, two pages side by side top to bottom.
    """
    side = 0 if part == "whole" else 1
    flipped = points.copy()
    flipped[..., side] = size[side] - points[..., side]
    return flipped


def _one_of_one(paper: Paper) -> Page:
    """Return the right foot's page that holds all of it."""
    size = SIZES[paper]
    frame, heel_edge = _turned(paper)
    axis = np.stack([frame.origin, _toward_the_corner(frame)])
    markers = _markers(paper, "whole", _MARKERS[paper])
    return Page(paper, "whole", "right", size, np.zeros(2), frame, heel_edge, axis, markers, HOLDS[paper])


def _one_of_two(paper: Paper, part: Part) -> Page:
    """Return one of the right foot's two pages."""
    width, height = SIZES[paper]
    middle = height / 2
    before = 0.0 if part == "heel" else width
    heel_x = 2 * width - SPARE - TWO_PAGES_HOLD
    frame = FootFrame(np.array([heel_x - before, middle]), np.array([1.0, 0.0]), np.array([0.0, -1.0]))
    half = _HEEL_EDGE_OF_TWO / 2
    heel_edge = np.array([[heel_x, middle - half], [heel_x, middle + half]]) if part == "heel" else None
    axis_from = heel_x if part == "heel" else PRINTABLE
    first = heel_x + _AHEAD_OF_FOLD if part == "heel" else _ROW_INSET
    rows = (_ROW_INSET, height - _ROW_INSET - MARKER)
    columns = np.linspace(first, width - _ROW_INSET - MARKER, 3).tolist()
    return Page(
        paper,
        part,
        "right",
        (width, height),
        np.array([before, 0.0]),
        frame,
        heel_edge,
        np.array([[axis_from, middle], [width - PRINTABLE, middle]]),
        _markers(paper, part, [(x, y) for y in rows for x in columns]),
        TWO_PAGES_HOLD,
    )


def _turned(paper: Paper) -> tuple[FootFrame, Array]:
    """Return the right foot's frame, heel at the bottom right corner, and the fold across that corner."""
    angle, fold, shift = _TURNED[paper]
    turn = np.radians(angle)
    along = np.array([-np.sin(turn), -np.cos(turn)])
    inner = np.array([-np.cos(turn), np.sin(turn)])
    corner = np.array(SIZES[paper])
    nearest = corner + along * fold * np.sin(turn) * np.cos(turn)
    origin = nearest + shift * inner
    # From the right edge of the paper to its bottom one, each end drawn in to where printers reach.
    steps = (corner - PRINTABLE - nearest) / inner
    return FootFrame(origin, along, inner), nearest + np.outer(steps, inner)


def _toward_the_corner(frame: FootFrame) -> Array:
    """Return where the axis comes to the printable edge of the page."""
    steps = (PRINTABLE - frame.origin) / frame.along
    return np.asarray(frame.origin + frame.along * steps.min())


def _markers(paper: Paper, part: Part, squares: Sequence[tuple[float, float]]) -> tuple[Marker, ...]:
    return tuple(
        Marker(marker_id(Marking(VERSION, paper, part, "right", number)), _square(np.array(corner)))
        for number, corner in enumerate(squares)
    )


def _square(corner: Array) -> Array:
    return corner + MARKER * np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])


def _mirrored(page: Page) -> Page:
    """Return the left foot's page: places mirrored, markers themselves not."""
    way = np.array([-1.0, 1.0]) if page.part == "whole" else np.array([1.0, -1.0])

    def place(points: Array) -> Array:
        return mirrored(page.part, page.size, points)

    return evolve(
        page,
        foot="left",
        frame=FootFrame(place(page.frame.origin), page.frame.along * way, page.frame.inner * way),
        heel_edge=None if page.heel_edge is None else place(page.heel_edge),
        axis=place(page.axis),
        markers=tuple(
            Marker(
                marker_id(Marking(VERSION, page.paper, page.part, "left", number)),
                _square(place(one.corners).min(axis=0)),
            )
            for number, one in enumerate(page.markers)
        ),
    )
