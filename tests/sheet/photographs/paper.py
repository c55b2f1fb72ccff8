"""The printed paper as it lies on the floor: the real PDF's pages, the print's scale, and what was drawn."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt
import pymupdf
from attrs import frozen

from heelball.foot.vector import Foot
from heelball.sheet.layout import Page, pages_of
from heelball.sheet.marking import Paper
from heelball.sheet.printing import sheet_pdf
from heelball.sheet.values import Array
from tests.sheet.photographs.hand import Stroke

Grey8 = npt.NDArray[np.uint8]

#: Bare floor round the paper on the canvas [mm].
PAD: Final = 15.0


@frozen
class Print:
    """How the printer printed.

    Parameters
    ----------
    scale
        True millimetres to one of the print.
    stretch
        Of the direction of the paper's feed over the other one.
    ink
        Share of light that black ink takes.
    join
        How far the second page lies off: along and across [mm], and turned [degrees].
    """

    scale: float = 1.0
    stretch: float = 1.0
    ink: float = 0.92
    join: tuple[float, float, float] = (0.0, 0.0, 0.0)


@frozen(eq=False)
class Sheet:
    """The sheet as a canvas: print and drawing, and where paper is; `per_mm` pixels to a true millimetre.

    The canvas' frame is the first page's, its top left corner at `PAD` from the canvas' own.
    """

    ink: Grey8
    alpha: Grey8
    per_mm: float
    pages: tuple[Page, ...]
    printed: Print
    size: tuple[float, float]


@lru_cache(maxsize=8)
def _pdf(paper: Paper, foot: Foot, two: bool) -> bytes:
    return sheet_pdf(paper, [foot], two=two)


@lru_cache(maxsize=6)
def _raster(paper: Paper, foot: Foot, two: bool, number: int, per_mm: float) -> Grey8:
    """Return one page of the real PDF in grey."""
    with pymupdf.open(stream=_pdf(paper, foot, two), filetype="pdf") as document:
        drawn = document[number].get_pixmap(
            matrix=pymupdf.Matrix(per_mm * 25.4 / 72, per_mm * 25.4 / 72), colorspace=pymupdf.csGRAY
        )
        return (
            np.frombuffer(drawn.samples, np.uint8)
            .reshape(drawn.height, drawn.stride)[:, : drawn.width]
            .copy()
        )


def page_scale(printed: Print) -> Array:
    """Return true millimetres to one of the print, across and down a page."""
    return np.array([printed.scale, printed.scale * printed.stretch])


def lay_out(paper: Paper, foot: Foot, printed: Print, per_mm: float, *, two: bool = False) -> Sheet:
    """Return the sheet as it lies: each page printed at its scale on paper of its own size."""
    pages = pages_of(paper, foot, two=two)
    width, height = pages[0].size
    whole = (width * len(pages), height)
    shape = (int((whole[1] + 2 * PAD) * per_mm), int((whole[0] + 2 * PAD) * per_mm))
    light = np.full(shape, 255, np.uint8)
    alpha = np.zeros(shape, np.uint8)
    scale = page_scale(printed)
    for number, page in enumerate(pages):
        raster = _raster(paper, foot, two, number, per_mm)
        shrunk = _at_scale(raster, scale)
        place = _place(page, printed if number else Print(), per_mm)
        here = cv2.warpAffine(np.full_like(shrunk, 255), place, shape[::-1])
        there = cv2.warpAffine(shrunk, place, shape[::-1], borderValue=255)
        light = np.where(here > 127, there, light)
        alpha = np.maximum(alpha, here)
    ink = ((255 - light) * printed.ink).astype(np.uint8)
    return Sheet(ink, alpha, per_mm, pages, printed, whole)


def _at_scale(raster: Grey8, scale: Array) -> Grey8:
    """Return a page whose print is larger or smaller about its middle, on paper of the same size."""
    height, width = raster.shape
    middle = np.array([width, height]) / 2
    place = np.array(
        [[scale[0], 0.0, middle[0] * (1 - scale[0])], [0.0, scale[1], middle[1] * (1 - scale[1])]]
    )
    scaled = cv2.warpAffine(raster, place, (width, height), flags=cv2.INTER_AREA, borderValue=255)
    return np.asarray(scaled, np.uint8)


def _place(page: Page, printed: Print, per_mm: float) -> Array:
    """Return where a page of paper lies on the canvas: beside the first one, off by the join."""
    along, across, turn = printed.join
    angle = np.radians(turn)
    cos, sin = np.cos(angle), np.sin(angle)
    corner = page.offset + np.array([along, across]) + PAD if page.part == "toes" else np.full(2, PAD)
    return np.array([[cos, -sin, corner[0] * per_mm], [sin, cos, corner[1] * per_mm]])


def to_world(printed: Print, size: tuple[float, float], points: Array) -> Array:
    """Return true millimetres on the first page's paper of points in the print's own ones."""
    middle = np.array(size) / 2
    return middle + (points - middle) * page_scale(printed)


def to_print(printed: Print, size: tuple[float, float], points: Array) -> Array:
    """Return the print's own millimetres of points on the first page's paper."""
    middle = np.array(size) / 2
    return np.asarray(middle + (points - middle) / page_scale(printed))


def foot_to_world(sheet_page: Page, printed: Print, points: Array) -> Array:
    """Return true millimetres on the paper of points in the foot's frame [true mm]."""
    frame = sheet_page.frame
    origin = to_world(printed, sheet_page.size, frame.origin)
    return np.asarray(origin + points @ np.stack([frame.along, frame.inner]))


def draw(sheet: Sheet, strokes: tuple[Stroke, ...], chance: np.random.Generator) -> Sheet:
    """Return the sheet with strokes drawn on it; their points are true mm on the first page's paper."""
    ink = sheet.ink.astype(np.float32)
    grain: npt.NDArray[np.float32] | None = None
    for stroke in strokes:
        layer = np.zeros(ink.shape, np.uint8)
        points = np.round((stroke.points + PAD) * sheet.per_mm * 16).astype(np.int32)
        thick = max(1, round(stroke.width * sheet.per_mm))
        cv2.polylines(layer, [points], False, 255, thick, cv2.LINE_AA, 4)
        corner, end = points.min(0) // 16 - thick - 2, points.max(0) // 16 + thick + 3
        (x0, y0), (x1, y1) = np.clip(corner, 0, None), np.clip(end, 0, ink.shape[::-1])
        part = layer[y0:y1, x0:x1].astype(np.float32)
        if stroke.grainy:
            grain = _grain(ink.shape, chance) if grain is None else grain
            part = part * grain[y0:y1, x0:x1]
        # Ink upon ink takes its share of what light is left.
        left = 255.0 - ink[y0:y1, x0:x1]
        ink[y0:y1, x0:x1] += left * part / 255.0 * stroke.dark
    return Sheet(ink.astype(np.uint8), sheet.alpha, sheet.per_mm, sheet.pages, sheet.printed, sheet.size)


def _grain(shape: tuple[int, ...], chance: np.random.Generator) -> npt.NDArray[np.float32]:
    """Return how a pencil takes on paper: uneven from grain to grain, and from place to place."""
    height, width = shape
    fine = chance.random((height // 3 + 1, width // 3 + 1), dtype=np.float32)
    slow = chance.random((height // 160 + 2, width // 160 + 2), dtype=np.float32)
    size = (width, height)
    return np.asarray(
        np.clip(
            (0.65 + 0.55 * cv2.resize(fine, size))
            * (0.7 + 0.5 * cv2.resize(slow, size, interpolation=cv2.INTER_CUBIC)),
            0.0,
            1.15,
        )
    )
