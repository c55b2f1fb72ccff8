"""How the paper lies in a photograph: its plane, the lens's bend, and how two pages were joined."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import cv2
import numpy as np
from attrs import frozen

from heelball.sheet.layout import Page
from heelball.sheet.marking import Part
from heelball.sheet.values import Array

# What a marker's corner is off by in sound pictures, with the paper's curl [mm]; and how much a
# phone's lens bends at the picture's corner, by its first and second radial term.
_CORNER_SD: Final = 0.12
_LENS_SD: Final = (0.06, 0.03)
# How well the second page may have been laid beside the first: [mm], [mm], [radians].
_JOIN_SD: Final = (2.0, 2.0, 0.03)
# Residuals beyond this many sd count less and less (Tukey's biweight).
_DOUBTED: Final = 6.0
# A phone's usual focal length over half the picture's diagonal: 27 mm for a frame of 36 × 24 mm.
_USUAL_FOCAL: Final = 27.0 / 21.63
# The focal length can be told from the picture itself where the paper is seen this much askew.
_TELLING_TILT_DEG: Final = 12.0


@frozen(eq=False)
class Place:
    """Where a page lies in the first page's frame: its top left corner [mm], and how far it is turned."""

    corner: Array
    turn: float

    def to_sheet(self, points: Array) -> Array:
        """Return points of the page, (n, 2) [mm], in the first page's frame."""
        cos, sin = np.cos(self.turn), np.sin(self.turn)
        return np.asarray(self.corner + points @ np.array([[cos, sin], [-sin, cos]]))


@frozen(eq=False)
class Plane:
    """The paper's plane in a photograph; the sheet's frame is the first page's [mm].

    Parameters
    ----------
    matrix
        From the sheet [mm] to the picture as a lens without bend would draw it, (3, 3).
    lens
        Two radial terms about the picture's middle, by the square of half its diagonal.
    size
        Rows and columns of the picture.
    focal_px
        Focal length used [pixels].
    places
        Where each page lies.
    reprojection_mm
        Root mean square distance of the corners from where the plane puts them, on the paper [mm];
        without the doubted marker where it is a single one.
    doubted
        Numbers of markers that the plane was not laid through: covered in part, or on a fold.
    """

    matrix: Array
    lens: tuple[float, float]
    size: tuple[int, int]
    focal_px: float
    places: dict[Part, Place]
    reprojection_mm: float
    doubted: tuple[int, ...] = ()

    def to_picture(self, mm: Array) -> Array:
        """Return where points of the sheet, (n, 2) [mm], stand in the picture [pixels]."""
        return _bent(_projected(self.matrix, mm), self.lens, self.size)

    def to_sheet(self, px: Array) -> Array:
        """Return where points of the picture, (n, 2) [pixels], stand on the sheet [mm]."""
        middle, half = _middle(self.size)
        bent = np.asarray((px - middle) / half)
        straight = bent
        for _ in range(8):
            square = (straight**2).sum(axis=1, keepdims=True)
            straight = np.asarray(bent / (1 + self.lens[0] * square + self.lens[1] * square**2))
        return _projected(np.asarray(np.linalg.inv(self.matrix)), straight * half + middle)

    def page_offset(self, part: Part) -> Place:
        """Return where a page lies on the sheet."""
        return self.places[part]

    def px_per_mm(self, mm: Array) -> Array:
        """Return how many pixels a millimetre takes at points of the sheet: root of a square one's."""
        right, down = (
            self.to_picture(mm + step) - self.to_picture(mm - step)
            for step in (np.array([0.5, 0.0]), np.array([0.0, 0.5]))
        )
        return np.asarray(np.sqrt(np.abs(right[:, 0] * down[:, 1] - right[:, 1] * down[:, 0])))

    @property
    def tilt_deg(self) -> float:
        """Angle between the way the camera looks and straight down on the paper [degrees]."""
        return _tilt_deg(self.matrix, self.size, self.focal_px)

    def camera(self) -> Array:
        """Return where the lens is: (x, y) on the sheet and height above it [mm]."""
        columns = _seen(self.matrix, self.size, self.focal_px)
        columns = columns / np.sqrt(np.linalg.norm(columns[:, 0]) * np.linalg.norm(columns[:, 1]))
        normal = np.cross(columns[:, 0], columns[:, 1])
        axes = np.stack([columns[:, 0], columns[:, 1], normal / np.linalg.norm(normal)], axis=1)
        place = -np.linalg.solve(axes, columns[:, 2])
        return np.array([place[0], place[1], abs(place[2])])


def fit_plane(
    found: dict[int, Array], pages: tuple[Page, ...], size: tuple[int, int], focal_px: float | None
) -> Plane:
    """Lay the sheet's plane through its markers.

    Parameters
    ----------
    found
        By the marker's number, its corners (4, 2) [pixels].
    pages
        The pages in view, first the one whose frame is the sheet's.
    size
        Rows and columns of the picture.
    focal_px
        Focal length that the file told; None where it told none.
    """
    numbers, mm, px, second = _pairs(found, pages)
    first_px, first_mm = px[~second], mm[~second]
    start, _ = cv2.findHomography(
        first_mm, first_px, cv2.RANSAC, 0.02 * float(np.ptp(first_px, axis=0).max())
    )
    if np.shape(start) != (3, 3):  # nothing, where no four points agree
        start, _ = cv2.findHomography(first_mm, first_px, cv2.LMEDS)
    matrix = np.asarray(start, float)
    offset = pages[-1].offset
    # Conditioning: the matrix is fitted between frames in which the points are about one in size.
    before = _conditioning(np.concatenate([first_mm, mm[second] + offset]) if second.any() else first_mm)
    after = _conditioning(px)
    inner = after @ matrix @ np.linalg.inv(before)
    px_per_mm = float(np.ptp(first_px, axis=0).mean() / np.ptp(first_mm, axis=0).mean())

    def unpacked(p: Array) -> tuple[Array, tuple[float, float], Place]:
        fitted = np.linalg.inv(after) @ np.append(p[:8], 1.0).reshape(3, 3) @ before
        return fitted, (float(p[8]), float(p[9])), Place(offset + p[10:12], float(p[12]))

    def off(p: Array) -> Array:
        fitted, lens, place = unpacked(p)
        sheet = mm.copy()
        if second.any():
            sheet[second] = place.to_sheet(mm[second])
        return np.asarray((_bent(_projected(fitted, sheet), lens, size) - px) / px_per_mm)

    believed = 1 / np.array([*_LENS_SD, *_JOIN_SD])
    p = np.append((inner / inner[2, 2]).ravel()[:8], np.zeros(5))
    p, weights = _fitted(p, off, believed, len(found))
    matrix, lens, place = unpacked(p)
    sure = weights > 0.1
    # One marker that is off was covered or smudged; several are a sheet that does not lie flat.
    counted = sure if (~sure).sum() == 1 else np.ones_like(sure)
    left = off(p)[np.repeat(counted, 4)]
    places: dict[Part, Place] = {pages[0].part: Place(np.zeros(2), 0.0)}
    if len(pages) > 1:
        places[pages[1].part] = place
    return Plane(
        matrix / matrix[2, 2],
        lens,
        size,
        _focal(matrix, size, focal_px),
        places,
        float(np.sqrt((left**2).sum(axis=1).mean())),
        tuple(number for number, kept in zip(numbers, sure.tolist(), strict=True) if not kept),
    )


def _pairs(
    found: dict[int, Array], pages: tuple[Page, ...]
) -> tuple[list[int], Array, Array, np.ndarray[tuple[int], np.dtype[np.bool_]]]:
    """Return numbers, corners on their pages, corners in the picture, and which are the second page's."""
    seen = [(page, one) for page in pages for one in page.markers if one.id in found]
    mm = np.concatenate([one.corners for _, one in seen])
    px = np.concatenate([found[one.id] for _, one in seen])
    second = np.repeat([page is not pages[0] for page, _ in seen], 4)
    return [one.id for _, one in seen], mm, px, second


def _fitted(p: Array, off: Callable[[Array], Array], believed: Array, markers: int) -> tuple[Array, Array]:
    """Fit by Levenberg and Marquardt's way, markers that do not fit weighed down as a whole.

    Whole, because what spoils one corner (a thumb, a fold) mostly moves its neighbours too.
    """
    weights = np.ones(markers)
    for turn in range(4):
        root = np.repeat(np.sqrt(weights), 8) / _CORNER_SD

        def residuals(q: Array, root: Array = root) -> Array:
            return np.concatenate([off(q).ravel() * root, q[8:] * believed])

        p = _least_squares(p, residuals)
        far = np.sqrt((off(p) ** 2).sum(axis=1)).reshape(-1, 4).max(axis=1)
        # The first turns see all markers off by what one spoiled, so they doubt less.
        spread = max(_CORNER_SD, 1.4 * float(np.median(far)) * (1.5 if turn == 0 else 1.0))
        weights = np.clip(1 - (far / (_DOUBTED / 2 * spread)) ** 2, 0, 1) ** 2
        if (weights > 0).sum() < 4:
            weights = np.ones(markers)
    return p, weights


def _least_squares(p: Array, residuals: Callable[[Array], Array]) -> Array:
    damping = 1e-4
    now = residuals(p)
    for _ in range(20):
        slope = np.stack(
            [(residuals(p + step) - now) / 1e-6 for step in 1e-6 * np.eye(len(p))],
            axis=1,
        )
        normal, gradient = slope.T @ slope, slope.T @ now
        moved = p - np.linalg.solve(normal + damping * np.diag(np.diag(normal) + 1e-9), gradient)
        then = residuals(moved)
        gain = float(now @ now - then @ then)
        if gain > 0:
            p, now, damping = moved, then, damping / 10
        else:
            damping *= 10
        if abs(gain) < 1e-6 * float(now @ now) + 1e-9:
            break
    return p


def _conditioning(points: Array) -> Array:
    middle, spread = points.mean(axis=0), float(points.std())
    return np.array([[1 / spread, 0, -middle[0] / spread], [0, 1 / spread, -middle[1] / spread], [0, 0, 1]])


def _projected(matrix: Array, points: Array) -> Array:
    whole = points @ matrix[:, :2].T + matrix[:, 2]
    return np.asarray(whole[:, :2] / whole[:, 2:])


def _middle(size: tuple[int, int]) -> tuple[Array, float]:
    rows, columns = size
    return np.array([(columns - 1) / 2, (rows - 1) / 2]), float(np.hypot(rows, columns) / 2)


def _bent(px: Array, lens: tuple[float, float], size: tuple[int, int]) -> Array:
    middle, half = _middle(size)
    from_middle = (px - middle) / half
    square = (from_middle**2).sum(axis=1, keepdims=True)
    return np.asarray(middle + from_middle * half * (1 + lens[0] * square + lens[1] * square**2))


def _seen(matrix: Array, size: tuple[int, int], focal_px: float) -> Array:
    """Return the matrix into directions from the lens: two of the paper's axes, and its origin."""
    middle, _ = _middle(size)
    columns = matrix.copy()
    columns[:2] = (columns[:2] - np.outer(middle, columns[2])) / focal_px
    return columns


def _tilt_deg(matrix: Array, size: tuple[int, int], focal_px: float) -> float:
    columns = _seen(matrix, size, focal_px)
    normal = np.cross(columns[:, 0], columns[:, 1])
    return float(np.degrees(np.arccos(np.clip(abs(normal[2]) / np.linalg.norm(normal), 0, 1))))


def _focal(matrix: Array, size: tuple[int, int], told: float | None) -> float:
    """Return the focal length [pixels]: as told, else from the paper's right angle, else a phone's usual."""
    if told is not None:
        return told
    usual = _USUAL_FOCAL * _middle(size)[1]
    if _tilt_deg(matrix, size, usual) < _TELLING_TILT_DEG:
        return usual
    # The paper's two axes are square to each other and of one scale: two equations in 1 / focal².
    h = _seen(matrix, size, usual)
    flat = np.array([h[0, 0] * h[0, 1] + h[1, 0] * h[1, 1], (h[:2, 0] ** 2 - h[:2, 1] ** 2).sum()])
    deep = np.array([h[2, 0] * h[2, 1], h[2, 0] ** 2 - h[2, 1] ** 2])
    inverse_square = -float(flat @ deep) / max(float(flat @ flat), 1e-30)
    if not 0.25 < inverse_square < 4:
        return usual
    return usual / float(np.sqrt(inverse_square))
