"""The paper's cut edges in the photograph: where they lie, and what they say of the print's scale."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
import numpy.typing as npt
from attrs import frozen

from heelball.sheet.layout import Page
from heelball.sheet.legend import printed_areas
from heelball.sheet.plane import Plane
from heelball.sheet.values import Array, Grey, Mask

# A print of 90 to 105 % puts the paper's edges from this far within to this far without where the
# layout has them [mm]: an eighteenth of half an A4's height, and a fortieth of all of it.
_WITHIN: Final = 9.0
_WITHOUT: Final = 18.0
_STEP: Final = 0.25
_AHEAD: Final = 5  # steps
_ABOUT: Final = 3
_EVERY: Final = 3.0
_CORNER: Final = 14.0  # corners curl, and one is folded: no profile is taken there [mm]
_ROUND_PRINT: Final = 1.5  # [mm]

# Judged: the edge is the first step, coming from the paper, of this share of its light to a
# millimetre; an edge is believed where this share of its profiles have it on one straight line, to
# this much [mm], that is askew by less than this much to a millimetre.
_STRONG: Final = 0.08
_ON_LINE: Final = 0.6
_FEWEST: Final = 10
_NEAR: Final = 0.5
_ASKEW: Final = 0.02
# Opposite edges must be so parallel [mm over their length], and the two directions so alike.
_PARALLEL: Final = 0.8
_ALIKE: Final = 0.01


@frozen(eq=False)
class PaperEdges:
    """Where a page's cut edges are.

    Parameters
    ----------
    scale
        The paper's true width and height over what they measure in the print's mm.
    corners
        Of the paper, clockwise from the top left, shape (4, 2), in the print's mm.
    """

    scale: tuple[float, float]
    corners: Array


def find_edges(grey: Grey, plane: Plane, pages: tuple[Page, ...]) -> PaperEdges | None:
    """Return where the paper's four edges are; None where they are not all seen for sure.

    A pattern on the floor may run along the paper: only where both directions are seen, and say
    about the same of the scale, are they believed. Nothing is said of two pages side by side.
    """
    if len(pages) != 1:
        return None
    page = pages[0]
    width, height = page.size
    rim = np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])
    print_ = [_box(marker.corners) for marker in page.markers] + [_box(one) for one in printed_areas(page)]
    # Clockwise from the top edge: each from one corner to the next, out to its left.
    outs = np.array([[0.0, -1.0], [1.0, 0.0], [0.0, 1.0], [-1.0, 0.0]])
    sides = [_edge(grey, plane, rim[side], rim[(side + 1) % 4], outs[side], print_) for side in range(4)]
    seen = [side for side in sides if side is not None]
    if len(seen) < len(sides):
        return None
    top, right, bottom, left = seen
    across, up = _ratio(width, left, right), _ratio(height, top, bottom)
    if across is None or up is None or abs(across - up) > _ALIKE:
        return None
    out = np.array([[-left[1], -top[0]], [right[0], -top[1]], [right[1], bottom[0]], [-left[0], bottom[1]]])
    return PaperEdges((across, up), rim + out)


def _box(points: Array) -> tuple[Array, Array]:
    return points.min(axis=0) - _ROUND_PRINT, points.max(axis=0) + _ROUND_PRINT


def _ratio(size: float, first: Array, second: Array) -> float | None:
    """Return true over seen, from how far each of two edges lies out at its two ends [mm]."""
    # They run opposite ways round: the one's first end faces the other's second.
    seen = size + first + second[::-1]
    return None if abs(float(np.ptp(seen))) > _PARALLEL else float(size / seen.mean())


def _edge(
    grey: Grey, plane: Plane, start: Array, end: Array, out: Array, print_: list[tuple[Array, Array]]
) -> Array | None:
    """Return how far the paper's edge lies out from its place in the layout at both ends [mm]."""
    length = float(np.linalg.norm(end - start))
    at = np.arange(_CORNER, length - _CORNER, _EVERY)
    reach = np.arange(-_WITHIN, _WITHOUT, _STEP)
    feet = start + at[:, None] * (end - start) / length
    points = feet[:, None] + reach[None, :, None] * out
    px = plane.to_picture(points.reshape(-1, 2)).reshape(points.shape).astype(np.float32)
    inside = np.all((px >= 0) & (px <= np.array(grey.shape[::-1]) - 1), axis=(1, 2))
    if inside.mean() < _ON_LINE:
        return None
    columns, rows = (np.ascontiguousarray(px[inside][..., side]) for side in (0, 1))
    profiles = cv2.remap(grey, columns, rows, cv2.INTER_LINEAR).astype(np.float32)
    smooth = np.asarray(cv2.GaussianBlur(profiles, (9, 1), 2.0), np.float32)
    bare = ~_printed(points[inside], print_)
    return _straight(at[inside], reach, smooth, bare, length)


def _printed(points: Array, print_: list[tuple[Array, Array]]) -> Mask:
    printed = np.zeros(points.shape[:-1], bool)
    x, y = points[..., 0], points[..., 1]
    least, most = points.min(axis=(0, 1)), points.max(axis=(0, 1))
    for low, high in print_:
        if (low < most).all() and (high > least).all():
            printed |= (x >= low[0]) & (x <= high[0]) & (y >= low[1]) & (y <= high[1])
    return printed


def _straight(
    at: Array, reach: Array, profiles: npt.NDArray[np.float32], bare: Mask, length: float
) -> Array | None:
    """Return the ends of the straight line that most profiles have their first step on."""
    steps = np.abs(np.diff(profiles, axis=1)) * (bare[:, 1:] & bare[:, :-1])
    paper = float(np.median(profiles[:, : int(2.0 / _STEP)]))
    strong = steps / _STEP > _STRONG * max(paper, 1.0)
    found = strong.any(axis=1)
    # Where print hides the edge nothing is said against it either.
    told = found | bare.all(axis=1)
    if found.sum() < _FEWEST or found.sum() < _ON_LINE * told.sum():
        return None
    # The steepest place within a millimetre of where the step begins, and the middle of what is about it.
    begins = strong.argmax(axis=1)[:, None]
    steepest = _taken(steps, begins + np.arange(_AHEAD)).argmax(axis=1)[:, None] + begins
    near = steepest + np.arange(-_ABOUT, _ABOUT + 1)
    here = _taken(steps, near)
    places = (here * near).sum(axis=1) / np.maximum(here.sum(axis=1), 1e-6)
    places = reach[0] + (places + 0.5) * _STEP
    line = _agreed(at[found], places[found])
    on = found & (np.abs(places - np.polyval(line, at)) < _NEAR)
    if on.sum() < max(_FEWEST, _ON_LINE * told.sum()):
        return None
    # Seen over less than half of its length, an edge does not tell how askew it is.
    askew = np.ptp(at[on]) > length / 2
    return np.asarray(np.polyval(np.polyfit(at[on], places[on], 1 if askew else 0), [0.0, length]))


def _taken(steps: npt.NDArray[np.float32], where: npt.NDArray[np.intp]) -> npt.NDArray[np.float32]:
    return np.take_along_axis(steps, np.clip(where, 0, steps.shape[1] - 1), axis=1)


def _agreed(at: Array, places: Array) -> Array:
    """Return the line, as slope and start, through two of the places that most of the others lie on."""
    first, second = np.triu_indices(len(at), len(at) // 4)
    thinned = (first % 2 == 0) & (second % 2 == 0) & (first != second)
    first, second = first[thinned], second[thinned]
    slope = (places[second] - places[first]) / (at[second] - at[first])
    start = places[first] - slope * at[first]
    on = np.abs(places - slope[:, None] * at - start[:, None]) < _NEAR
    best = int((on.sum(axis=1) * (np.abs(slope) < _ASKEW)).argmax())
    return np.array([slope[best], start[best]])
