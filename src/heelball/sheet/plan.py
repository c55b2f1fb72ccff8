"""The sheet seen from straight above, in the foot's own directions, and where its paper is bare."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

from heelball.sheet.edges import PaperEdges
from heelball.sheet.layout import Page
from heelball.sheet.legend import printed_areas
from heelball.sheet.plane import Plane
from heelball.sheet.values import Array, Grey, Plan

# How far the plan reaches: behind the heel edge, beyond the longest foot, and to either side of the
# axis [mm]. A foot of 340 mm is some 130 mm broad; drawn 8 degrees askew it stays within these.
_BEHIND: Final = 15.0
_BEYOND: Final = 25.0
_ASIDE: Final = 95.0

# Pixels are counted this far from the longest foot's toes [mm]: few are as long.
_LONGEST_SELDOM: Final = 20.0

# What is not trusted to be bare [mm]: print may lie this far from where the fitted plane has it
# (curl, and ink that bleeds), beside half of its own width.
_ROUND_MARKERS: Final = 3.0
_BAND: Final = 1.6
_AT_EDGES: Final = 3.0
# How far a curled corner moves the heel edge [mm].
_MOVED: Final = 3.0
# Two pages printed at 90 % and laid edge to edge are this much paper to either side of the join that
# the layout knows nothing of [mm].
_AT_JOIN: Final = 12.0

# The way from plan to picture is worked out at every so many pixels of the plan and is straight in
# between: at 4 px/mm and 40 degrees it is then off by less than 0.01 mm.
_NODE: Final = 16

#: Columns, or rows, of the picture for every pixel of the plan.
Way = npt.NDArray[np.float32]


def make_plan(
    picture: Grey,
    plane: Plane,
    pages: tuple[Page, ...],
    edges: PaperEdges | None = None,
    px_per_mm: float = 4.0,
) -> Plan:
    """Draw the sheet from straight above.

    Parameters
    ----------
    picture
        The photograph in which the plane was fitted.
    plane
        How the sheet lies in it.
    pages
        The pages in view; the frame of the first one's foot is the plan's.
    edges
        Where the paper's own edges are; None where they were not seen: they are then taken to be where
        the layout has them.
    px_per_mm
        How finely the plan is drawn.
    """
    along_from = -_BEHIND
    along_to = pages[0].holds + _BEYOND
    across_from, across_to = _across(pages)
    columns = round((along_to - along_from) * px_per_mm)
    rows = round((across_to - across_from) * px_per_mm)
    corner = np.array([along_from, across_from])
    ways = _ways(plane, pages[0], corner, (rows, columns), px_per_mm)
    rims = [_rim(page) for page in pages] if edges is None else [edges.corners]
    canvas = _Canvas(pages, plane, rims, corner, (rows, columns), px_per_mm)
    on_paper = canvas.paper(0.0) & _within(ways, picture.shape)
    free = canvas.paper(_AT_EDGES) & canvas.bare()
    free &= on_paper
    seen = seen_px_per_mm(plane, pages)
    grey = _sampled(picture, ways, max(1, int(seen / px_per_mm)))
    free &= 1 - canvas.heel_edge(grey)
    return Plan(
        grey,
        free.astype(bool),
        on_paper.astype(bool),
        px_per_mm,
        along_from,
        across_from,
        seen,
    )


def seen_px_per_mm(plane: Plane, pages: tuple[Page, ...]) -> float:
    """Return the fewest pixels of the photograph that a millimetre takes where a line can be.

    A square millimetre's pixels are counted, and their root taken: seen askew it is narrower one
    way, but a line is read as well by as many pixels.
    """
    along, across = np.meshgrid(np.linspace(0, pages[0].holds - _LONGEST_SELDOM, 7), np.linspace(-45, 45, 3))
    points = np.stack([along.ravel(), across.ravel()], axis=1)
    return float(plane.px_per_mm(pages[0].frame.to_page(points)).min())


def _across(pages: tuple[Page, ...]) -> tuple[float, float]:
    """Return how far the paper reaches to either side of the axis, whole millimetres."""
    sides = np.concatenate([pages[0].frame.to_foot(_rim(page) + page.offset)[:, 1] for page in pages])
    return max(-_ASIDE, float(np.floor(sides.min()))), min(_ASIDE, float(np.ceil(sides.max())))


def _rim(page: Page) -> Array:
    width, height = page.size
    return np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])


def _ways(
    plane: Plane, page: Page, corner: Array, shape: tuple[int, int], px_per_mm: float
) -> tuple[Way, Way]:
    """Return columns and rows of the picture, float32, for every pixel of the plan."""
    rows, columns = shape
    # OpenCV enlarges about the middles of pixels; one node beyond each edge keeps it from clamping.
    down, right = ((np.arange(-1, -(-side // _NODE) + 1) + 0.5) * _NODE - 0.5 for side in (rows, columns))
    along, across = np.meshgrid(corner[0] + right / px_per_mm, corner[1] + down / px_per_mm)
    mm = page.frame.to_page(np.stack([along.ravel(), across.ravel()], axis=1))
    nodes = plane.to_picture(mm).astype(np.float32).reshape(*along.shape, 2)
    size = (len(right) * _NODE, len(down) * _NODE)
    kept = slice(_NODE, _NODE + rows), slice(_NODE, _NODE + columns)
    fine = [
        np.asarray(cv2.resize(np.ascontiguousarray(nodes[..., side]), size, interpolation=cv2.INTER_LINEAR))
        for side in (0, 1)
    ]
    return np.asarray(fine[0][kept], np.float32), np.asarray(fine[1][kept], np.float32)


def _within(ways: tuple[Way, Way], shape: tuple[int, ...]) -> Grey:
    """Return 1 where the plan shows something of the picture."""
    rows, columns = shape
    across = np.asarray(cv2.inRange(ways[0], np.zeros(1), np.array([columns - 1.0])), np.uint8)
    down = np.asarray(cv2.inRange(ways[1], np.zeros(1), np.array([rows - 1.0])), np.uint8)
    return np.asarray(across & down & 1, np.uint8)


def _sampled(picture: Grey, ways: tuple[Way, Way], step: int) -> Grey:
    """Return the plan's pixels, each a mean over `step` of the picture's either way, against noise."""
    rows, columns = picture.shape
    top, bottom = _span(ways[1], rows)
    left, right = _span(ways[0], columns)
    bottom, right = top + (bottom - top) // step * step, left + (right - left) // step * step
    seen = picture[top:bottom, left:right]
    if step > 1:
        size = ((right - left) // step, (bottom - top) // step)
        seen = np.asarray(cv2.resize(seen, size, interpolation=cv2.INTER_AREA), np.uint8)
    to_column, to_row = (
        cv2.addWeighted(way, 1 / step, way, 0.0, (0.5 - start) / step - 0.5)
        for way, start in zip(ways, (left, top), strict=True)
    )
    drawn = cv2.remap(seen, to_column, to_row, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(drawn, np.uint8)


def _span(way: Way, side: int) -> tuple[int, int]:
    """Return the first pixel of the picture that the plan needs, and the one after the last."""
    lowest, highest, _, _ = cv2.minMaxLoc(way)
    first = int(np.clip(lowest - 4, 0, side - 16))
    return first, int(np.clip(highest + 5, first + 16, side))


class _Canvas:
    """Masks of the plan's size, drawn in millimetres of the pages."""

    def __init__(
        self,
        pages: tuple[Page, ...],
        plane: Plane,
        rims: list[Array],
        corner: Array,
        shape: tuple[int, int],
        px_per_mm: float,
    ) -> None:
        self._pages = pages
        self._rims = rims
        self._plane = plane
        self._corner = corner
        self._shape = shape
        self._px_per_mm = px_per_mm

    def paper(self, inset: float) -> Grey:
        """Return 1 where there is paper, so far [mm] within its outer edges."""
        mask = np.zeros(self._shape, np.uint8)
        for page, rim in zip(self._pages, self._rims, strict=True):
            self._fill(mask, self._on_sheet(page, rim + inset * np.sign(rim.mean(axis=0) - rim)), 1)
        if len(self._pages) > 1:
            self._fill(mask, _band(self._join(), 2 * _AT_JOIN), 1)
        return mask

    def bare(self) -> Grey:
        """Return 1 where nothing is printed, and where no page ends on the other."""
        mask = np.ones(self._shape, np.uint8)
        if len(self._pages) > 1:
            self._fill(mask, _band(self._join(), 2 * _AT_EDGES), 0)
        for page in self._pages:
            for marker in page.markers:
                out = np.sign(marker.corners - marker.corners.mean(axis=0))
                self._fill(mask, self._on_sheet(page, marker.corners + _ROUND_MARKERS * out), 0)
            for line in _lines(page):
                self._fill(mask, self._on_sheet(page, _band(line, _BAND)), 0)
            for area in printed_areas(page):
                self._fill(mask, self._on_sheet(page, area), 0)
        return mask

    def heel_edge(self, grey: Grey) -> Grey:
        """Return 1 where the heel edge is seen in the plan, which a curled corner moves from its place.

        Of straight lines that start and end near where the layout's does, the darkest.
        """
        mask = np.zeros(self._shape, np.uint8)
        page = self._pages[0]
        if page.heel_edge is None:
            return mask
        ends = np.sort(page.frame.to_foot(page.heel_edge)[:, 1])
        first, last = np.round((ends + np.array([1.0, -1.0]) - self._corner[1]) * self._px_per_mm).astype(int)
        first, last = max(first, 0), min(last, self._shape[0] - 1)
        reach = round(_MOVED * self._px_per_mm)
        zero = round(-self._corner[0] * self._px_per_mm)
        strip = cv2.blur(grey[first : last + 1, zero - reach : zero + reach + 1], (3, 1))
        starts, stops = np.divmod(np.arange((2 * reach + 1) ** 2), 2 * reach + 1)
        share = np.linspace(0.0, 1.0, len(strip))
        columns = np.round(starts[:, None] + (stops - starts)[:, None] * share).astype(int)
        best = int(np.asarray(strip)[np.arange(len(strip)), columns].mean(axis=1, dtype=np.float32).argmin())
        from_, to = ((end[best] - reach) / self._px_per_mm for end in (starts, stops))
        seen = page.frame.to_page(np.array([[from_, ends[0]], [to, ends[1]]]))
        self._fill(mask, _band(seen, _BAND), 1)
        return mask

    def _join(self) -> Array:
        """Return the ends of the join: midway between the two edges, wherever printing put them."""
        first, second = (self._on_sheet(page, _rim(page)) for page in self._pages)
        return np.asarray((first[[1, 2]] + second[[0, 3]]) / 2)

    def _on_sheet(self, page: Page, points: Array) -> Array:
        return self._plane.page_offset(page.part).to_sheet(points)

    def _fill(self, mask: Grey, points: Array, value: int) -> None:
        foot = self._pages[0].frame.to_foot(points)
        # To a sixteenth of a pixel.
        places = np.round((foot - self._corner) * self._px_per_mm * 16).astype(np.int32)
        cv2.fillConvexPoly(mask, places, [value], cv2.LINE_8, 4)


def _lines(page: Page) -> Iterator[Array]:
    yield page.axis
    if page.heel_edge is not None:
        yield page.heel_edge


def _band(line: Array, width: float) -> Array:
    """Return the corners of the band round a line."""
    along = (line[1] - line[0]) / np.linalg.norm(line[1] - line[0]) * width / 2
    aside = np.array([-along[1], along[0]])
    return np.stack(
        [line[0] - along - aside, line[0] - along + aside, line[1] + along + aside, line[1] + along - aside]
    )
