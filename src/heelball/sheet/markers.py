"""The sheet's markers in a photograph, and which pages they say are in view."""

from __future__ import annotations

from collections import Counter
from typing import Final

import cv2
import numpy as np
from attrs import frozen

from heelball.foot.vector import Foot
from heelball.sheet.layout import Page, pages_of
from heelball.sheet.marking import VERSION, Paper, marking_of
from heelball.sheet.unseen import why_unseen
from heelball.sheet.values import Array, Grey, Refused

#: Markers that a photograph must show.
FEWEST: Final = 5

# Markers are looked for with the photograph's longer side brought to about this many pixels: a
# marker's cell is then 7 to 9 of them where the paper fills the picture.
_LOOKED_AT: Final = 1300
# So many markers need no second look, closer.
_SATISFYING: Final = 8
# Windows that tell dark from light [pixels]: the larger one alone finds every marker of the sound
# pictures at half the time that both take (measured). Perimeters of the smallest marker looked for,
# to the picture's longer side: the first look wants 27 pixels a side, which spares the speckles of a
# patterned floor (measured: 9 ms for 75 on chips of stone).
_WINDOWS: Final = (5, 21)
_SMALLEST: Final = 0.08
_SMALLEST_CLOSE: Final = 0.025
_CELLS: Final = 7  # across a marker, border and all
# A marker farther than this from where the others put it is a stray one [mm]: far more than curl
# and lens can do, less than its own width.
_STRAY: Final = 3.0

_OTHER_WAY: Final = (
    "Photograph the whole sheet from straight above, every black square in view and uncovered."
)


@frozen(eq=False)
class Found:
    """The markers of a photograph.

    Parameters
    ----------
    grey
        The photograph, mirrored back where it was a mirrored one: all pixels are this picture's.
    corners
        By the marker's number, its corners clockwise from its top left, shape (4, 2) [pixels].
    mirrored
        Whether the photograph was a mirrored one.
    """

    grey: Grey
    corners: dict[int, Array]
    mirrored: bool


def find_markers(grey: Grey) -> Found:
    """Find the markers in a photograph, as it stands or mirrored.

    They are looked for in a reduced picture and their corners refined in the full one.
    """
    step = max(1, max(grey.shape) // _LOOKED_AT)
    corners, mirrored = _either_way(grey, step, close=False)
    if len(corners) < _SATISFYING:
        # The sheet is far off in a large picture, so that its cells were lost in the reduced one, or
        # the light is odd.
        closer, way = _either_way(grey, 1 if step < 4 else step // 2, close=True)
        if len(closer) > len(corners):
            corners, mirrored = closer, way
    if mirrored:
        grey = np.ascontiguousarray(grey[:, ::-1])
    return Found(grey, {number: _refined(grey, quad) for number, quad in corners.items()}, mirrored)


def the_sheet(found: Found) -> tuple[tuple[Page, ...], dict[int, Array]]:
    """Return which pages are in view, and the markers of those pages that stand where they should.

    Raises
    ------
    Refused
        `no_sheet`, `other_version`, or `markers`; `dark` or `blurred` where that is why.
    """
    told = {number: marking for number in found.corners if (marking := marking_of(number))}
    if not told:
        raise why_unseen(found.grey) or Refused(
            "no_sheet", "No sheet of ours is to be seen in the picture.", _OTHER_WAY
        )
    kinds: Counter[tuple[int, Paper, Foot, bool]] = Counter(
        (one.version, one.paper, one.foot, one.part != "whole") for one in told.values()
    )
    version, paper, foot, two = kinds.most_common(1)[0][0]
    if version != VERSION:
        raise Refused(
            "other_version",
            f"This sheet is of edition {version}; edition {VERSION} is read here.",
            "Print the sheet again and draw round the foot on the new one.",
        )
    pages = pages_of(paper, foot, two=two)
    kept: dict[int, Array] = {}
    for page in pages:
        kept |= _standing_right(page, found.corners)
    _enough(found.grey, pages, kept)
    return pages, kept


def _enough(grey: Grey, pages: tuple[Page, ...], kept: dict[int, Array]) -> None:
    """Refuse too few markers, or markers at one side of the foot only."""
    if len(kept) < FEWEST:
        raise why_unseen(grey) or Refused(
            "markers",
            f"Only {len(kept)} of the sheet's black squares can be read; {FEWEST} are needed.",
            _OTHER_WAY,
        )
    for page in pages:
        middles = [one.corners.mean(axis=0) for one in page.markers if one.id in kept]
        across = page.frame.to_foot(np.array(middles).reshape(-1, 2))[:, 1]
        if not (across > 0).any() or not (across < 0).any():
            raise Refused(
                "markers",
                "The black squares at one side of the foot are out of view or covered.",
                _OTHER_WAY,
            )


def _standing_right(page: Page, corners: dict[int, Array]) -> dict[int, Array]:
    """Return a page's markers without strays: a patterned floor may hold a square that reads as one."""
    ours = [one for one in page.markers if one.id in corners]
    if len(ours) < 3:
        return {one.id: corners[one.id] for one in ours}
    mm = np.concatenate([one.corners for one in ours])
    seen = np.concatenate([corners[one.id] for one in ours])
    # From picture to paper, so that the threshold is a length on the paper. The generator that
    # OpenCV draws from is its own and starts anew at each call.
    plane, _ = cv2.findHomography(seen, mm, cv2.RANSAC, _STRAY)
    if np.shape(plane) != (3, 3):  # nothing, where no four points agree
        return {}
    off = np.linalg.norm(cv2.perspectiveTransform(seen[None], plane)[0] - mm, axis=1).reshape(-1, 4)
    return {
        one.id: corners[one.id] for one, far in zip(ours, np.median(off, axis=1), strict=True) if far < _STRAY
    }


def _either_way(grey: Grey, step: int, *, close: bool) -> tuple[dict[int, Array], bool]:
    """Return the markers' corners in the full picture's pixels, and whether it had to be mirrored."""
    small = grey
    if step > 1:
        rows, columns = grey.shape[0] // step, grey.shape[1] // step
        # Cut to whole steps, so that pixels of the one are found in the other without drift.
        cut = grey[: rows * step, : columns * step]
        small = np.asarray(cv2.resize(cut, (columns, rows), interpolation=cv2.INTER_AREA), np.uint8)
    found = _detected(small, close=close)
    mirrored = not found
    if mirrored:
        found = _detected(np.ascontiguousarray(small[:, ::-1]), close=close)
        # Columns cut away at the right of the picture stand at the left of its mirror image.
        shift = grey.shape[1] - small.shape[1] * step
    else:
        shift = 0
    full = {number: (quad + 0.5) * step - 0.5 + [shift, 0] for number, quad in found.items()}
    return full, mirrored and bool(found)


def _detected(small: Grey, *, close: bool) -> dict[int, Array]:
    """Return the corners of the markers that an edition of the sheet can carry."""
    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_NONE
    # Fewer wrong cells forgiven than by default: floors hold many squares.
    settings.errorCorrectionRate = 0.4
    settings.adaptiveThreshWinSizeMin = _WINDOWS[0] if close else _WINDOWS[1]
    settings.adaptiveThreshWinSizeMax = _WINDOWS[1]
    settings.adaptiveThreshWinSizeStep = _WINDOWS[1] - _WINDOWS[0]
    settings.minMarkerPerimeterRate = _SMALLEST_CLOSE if close else _SMALLEST
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000)
    quads, numbers, _ = cv2.aruco.ArucoDetector(dictionary, settings).detectMarkers(small)
    found: dict[int, Array] = {}
    if not quads:
        return found
    for quad, number in zip(quads, np.asarray(numbers, int).ravel().tolist(), strict=True):
        corners = np.asarray(quad, float).reshape(4, 2)
        # Two of one number: the larger is the sheet's, which fills the picture.
        if marking_of(number) and (number not in found or _side(corners) > _side(found[number])):
            found[number] = corners
    return found


def _side(quad: Array) -> float:
    return float(np.linalg.norm(quad - np.roll(quad, 1, axis=0), axis=1).mean())


def _refined(grey: Grey, quad: Array) -> Array:
    """Return a marker's corners to a fraction of the full picture's pixel."""
    # The window must hold no edge but the corner's own two: the border is one cell wide, and as
    # much is bare around it.
    shortest = float(np.linalg.norm(quad - np.roll(quad, 1, axis=0), axis=1).min())
    half = int(np.clip(0.7 * shortest / _CELLS, 2, 14))
    ends = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 30, 0.01)
    corners = quad.astype(np.float32).reshape(-1, 1, 2)
    refined = cv2.cornerSubPix(grey, corners, (half, half), (-1, -1), ends)
    return np.asarray(refined, float).reshape(4, 2)
