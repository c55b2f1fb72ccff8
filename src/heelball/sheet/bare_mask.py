"""A bare foot told from the paper it stands on, by its colour: skin of any tone is redder than paper.

A shadow makes paper darker and leaves its colour nearly as it was, so darkness says nothing here.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt
from attrs import frozen

from heelball.sheet.layout import Page
from heelball.sheet.plane import Plane
from heelball.sheet.values import Array, Grey, Mask, Refused

#: The sheet from straight above is drawn this finely.
_PX_PER_MM: Final = 2.5
# How far it is drawn: behind the heel edge, beyond the longest foot, to either side [mm].
_BEHIND: Final = 45.0
_BEYOND: Final = 40.0
_ASIDE: Final = 120.0
# Paper that is surely bare: round the markers, from and to so far from them [mm].
_RING: Final = (0.8, 3.0)
# Added to a channel before its logarithm, so that noise in the dark does not look like colour.
_FLOOR: Final = 6.0
# Where there is foot whatever its size and the way it stands: along, and to either side of the axis [mm].
_SURELY_FOOT: Final = (50.0, 140.0, 14.0)
# Judged: skin redder than paper by less than this (logarithm of red over blue) is lost in the light
# that skin throws on the paper; and its distance from paper must be so many sd of the paper's noise.
_LEAST_COLOUR: Final = 0.06
_LEAST_NOISES: Final = 4.0
# Blur against noise, and what the foot's and the paper's colours near its edge are averaged over [mm].
_BLUR: Final = 0.7
_NEAR: Final = 5.0
_CLEAR: Final = 2.5
# The edge is looked for so many times finer than the plan.
_FINER: Final = 3

_LIGHT: Final = "Photograph in colour, by daylight, the foot bare on the plain sheet."

Reals = npt.NDArray[np.float32]


@frozen(eq=False)
class Outline:
    """The edge of what stands on the paper, as it is seen against it.

    Parameters
    ----------
    points
        Shape (n, 2), closed, (along, across) on the paper's plane in the print's mm.
    free
        Shape (n,): whether bare paper is seen beyond the point, not the paper's own edge.
    """

    points: Array
    free: Mask


def find_outline(colour: Grey, plane: Plane, pages: tuple[Page, ...], numbers: Collection[int]) -> Outline:
    """Find the edge of the foot, and of the leg where it is before paper.

    Parameters
    ----------
    colour
        The photograph, blue first, shape (rows, columns, 3).
    numbers
        Of the markers that are seen.

    Raises
    ------
    Refused
        ``dark`` where skin cannot be told from paper, ``outline_open`` where no foot stands there.
    """
    frame = pages[0].frame
    along = np.arange(-_BEHIND, pages[0].holds + _BEYOND, 1 / _PX_PER_MM)
    across = np.arange(-_ASIDE, _ASIDE, 1 / _PX_PER_MM)
    places = np.stack(np.meshgrid(along, across), axis=-1)
    sheet = frame.to_page(places.reshape(-1, 2))
    ways = plane.to_picture(sheet).astype(np.float32).reshape(*places.shape)
    drawn = cv2.remap(colour, ways[..., 0], ways[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    rows, columns = colour.shape[:2]
    seen = ((ways >= 0) & (ways <= [columns - 1, rows - 1])).all(axis=-1)
    paper = _paper(plane, pages, places) & seen
    ring = _ring(plane, pages, places, numbers) & seen
    redness = _redness(np.asarray(drawn, np.uint8), ring, places)
    skin = _told_apart(redness, places, ring)
    smooth = np.asarray(cv2.GaussianBlur(redness, (0, 0), _BLUR * _PX_PER_MM), np.float32)
    blob = _blob((smooth > 0.5 * skin) & paper, places)
    smooth = _above_middle(smooth, blob, paper, skin)
    points = _edge(smooth, paper, places)
    inside = cv2.erode(paper.astype(np.uint8), _disc(1.2)).astype(bool)
    return Outline(points, _at(inside, points))


def _redness(drawn: Grey, ring: Mask, places: Array) -> Reals:
    """Return the logarithm of red over blue, paper in the same light 0."""
    channels = drawn.astype(np.float32) + _FLOOR
    red = np.log(channels[..., 2]) - np.log(channels[..., 0])
    flat = places / 150.0
    terms = np.stack([np.ones(flat.shape[:2]), flat[..., 0], flat[..., 1]], axis=-1)
    if ring.sum() < 50:
        raise Refused("markers", "Too little bare paper is seen to judge its colour.", _LIGHT)
    wanted, given = red[ring], terms[ring]
    # A leg may stand before some of the markers: what most of the paper shows counts.
    fitted = np.array([float(np.median(wanted)), 0.0, 0.0])
    for _ in range(4):
        off = np.abs(wanted - given @ fitted)
        kept = off < max(0.015, 2.5 * float(np.median(off)))
        fitted, *_ = np.linalg.lstsq(given[kept], wanted[kept], rcond=None)
    return np.asarray(red - terms @ fitted, np.float32)


def _told_apart(redness: Reals, places: Array, ring: Mask) -> float:
    """Return how red the foot is; refuse what cannot be told apart."""
    start, end, aside = _SURELY_FOOT
    middle = (places[..., 0] > start) & (places[..., 0] < end) & (np.abs(places[..., 1]) < aside)
    smooth = cv2.GaussianBlur(redness, (0, 0), _BLUR * _PX_PER_MM)
    skin = float(np.median(smooth[middle]))
    noise = 1.48 * float(np.median(np.abs(smooth[ring] - np.median(smooth[ring]))))
    if skin < max(_LEAST_COLOUR, _LEAST_NOISES * noise):
        raise Refused(
            "dark",
            "The foot cannot be told from the paper by its colour, or no bare foot stands there.",
            _LIGHT,
        )
    return skin


def _blob(red: Mask, places: Array) -> Mask:
    """Return the one piece of skin that stands in the sheet's middle, holes filled."""
    opened = cv2.morphologyEx(red.astype(np.uint8), cv2.MORPH_OPEN, _disc(1.5))
    _, pieces = cv2.connectedComponents(opened)
    start, end, aside = _SURELY_FOOT
    middle = (places[..., 0] > start) & (places[..., 0] < end) & (np.abs(places[..., 1]) < aside)
    counts = np.bincount(pieces[middle & (opened > 0)], minlength=2)
    counts[0] = 0
    if counts.max() == 0:
        raise Refused("outline_open", "No bare foot is seen on the sheet's axis.", _LIGHT)
    edges, _ = cv2.findContours(
        (pieces == counts.argmax()).astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE
    )
    filled = np.zeros(red.shape, np.uint8)
    cv2.drawContours(filled, edges, -1, [1], cv2.FILLED)
    return np.asarray(filled > 0)


def _above_middle(smooth: Reals, blob: Mask, paper: Mask, skin: float) -> Reals:
    """Return the redness over the middle between skin and paper near by; below 0 is paper.

    The paper beside a foot takes some of its colour, and skin in the shade is redder than in light.
    """
    inner = cv2.erode(blob.astype(np.uint8), _disc(_CLEAR)).astype(np.float32)
    outer = paper & (cv2.dilate(blob.astype(np.uint8), _disc(_CLEAR)) == 0)
    spread = _NEAR * _PX_PER_MM

    def near(mask: Reals, otherwise: float) -> Reals:
        weight = cv2.GaussianBlur(mask, (0, 0), spread)
        value = cv2.GaussianBlur(mask * smooth, (0, 0), spread)
        return np.asarray((value + 0.01 * otherwise) / (weight + 0.01), np.float32)

    middle = (near(inner, skin) + near(outer.astype(np.float32), 0.0)) / 2
    over = smooth - middle
    # Only the one piece counts, to a little beyond its edge; and all that is within it.
    around = cv2.dilate(blob.astype(np.uint8), _disc(_CLEAR)) > 0
    over[~around] = -np.abs(over[~around]) - 0.01
    over[inner > 0] = np.abs(over[inner > 0]) + 0.01
    return np.asarray(over, np.float32)


def _edge(over: Reals, paper: Mask, places: Array) -> Array:
    """Return where `over` crosses 0 round the foot, (along, across) [mm]."""
    over = over.copy()
    over[~paper] = -0.05
    rows, columns = over.shape
    fine = cv2.resize(over, (columns * _FINER, rows * _FINER), interpolation=cv2.INTER_LINEAR)
    edges, _ = cv2.findContours((fine > 0).astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    if not edges:
        raise Refused("outline_open", "No bare foot is seen on the sheet's axis.", _LIGHT)
    largest = np.asarray(max(edges, key=cv2.contourArea)[:, 0, :], float)
    px = (largest + 0.5) / _FINER - 0.5
    return np.asarray(px / _PX_PER_MM + places[0, 0])


def _paper(plane: Plane, pages: tuple[Page, ...], places: Array) -> Mask:
    mask = np.zeros(places.shape[:2], np.uint8)
    for page in pages:
        width, height = page.size
        rim = np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])
        _fill(mask, plane, page, pages[0], rim, places)
    return np.asarray(mask > 0)


def _ring(plane: Plane, pages: tuple[Page, ...], places: Array, numbers: Collection[int]) -> Mask:
    """Return the bare paper close round the markers."""
    wide, narrow = (np.zeros(places.shape[:2], np.uint8) for _ in range(2))
    for page in pages:
        for marker in page.markers:
            if marker.id not in numbers:
                continue
            out = np.sign(marker.corners - marker.corners.mean(axis=0))
            for mask, far in ((narrow, _RING[0]), (wide, _RING[1])):
                _fill(mask, plane, page, pages[0], marker.corners + far * out, places)
    return np.asarray((wide > 0) & (narrow == 0))


def _fill(mask: Grey, plane: Plane, page: Page, first: Page, points: Array, places: Array) -> None:
    foot = first.frame.to_foot(plane.page_offset(page.part).to_sheet(points))
    cv2.fillConvexPoly(mask, np.round((foot - places[0, 0]) * _PX_PER_MM).astype(np.int32), [1])


def _at(mask: Mask, points: Array) -> Mask:
    px = np.round((points + np.array([_BEHIND, _ASIDE])) * _PX_PER_MM).astype(int)
    rows, columns = mask.shape
    return np.asarray(mask[np.clip(px[:, 1], 0, rows - 1), np.clip(px[:, 0], 0, columns - 1)])


def _disc(radius: float) -> Grey:
    size = 2 * round(radius * _PX_PER_MM) + 1
    return np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size)), np.uint8)
