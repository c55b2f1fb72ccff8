"""Photographs that the tests of a whole reading share: each is rendered once, and read once."""

from __future__ import annotations

from functools import lru_cache

import cv2
import numpy as np
from attrs import evolve

from heelball.foot.vector import Foot
from heelball.sheet.layout import Page
from heelball.sheet.marking import Paper
from heelball.sheet.plane import Plane
from heelball.sheet.reading import SheetReading, read_photograph
from heelball.sheet.values import Array, Circumstances, Grey
from tests.sheet.photographs import Photograph, take
from tests.sheet.photographs.hand import Manner
from tests.sheet.photographs.light import Light
from tests.sheet.photographs.paper import Print
from tests.sheet.photographs.picture import View

#: Told of a print that the page's scale is known of: what a ruler shows on its two bars.
_PRINTS: dict[float, tuple[Foot, Paper]] = {
    0.90: ("left", "letter"),
    0.97: ("left", "a4"),
    1.05: ("right", "letter"),
}
_VIEW = View(size=(1500, 2000), tilt_deg=14.0, toward_deg=60.0, turned=1, focal_told=True)


def bars(scale: float) -> Circumstances:
    """Return what is told of a print of that scale: a pencil, and both bars."""
    return Circumstances(tool="pencil", bar=(150 * scale, 150 * scale))


@lru_cache(maxsize=8)
def posted(scale: float = 0.97, tilt_deg: float = 14.0) -> Photograph:
    """Return the photograph of a print: on plain lino, written a quarter turn round, its tag true."""
    side, paper = _PRINTS[scale]
    return take(
        7,
        side=side,
        paper=paper,
        two=False,
        length=230.0,
        manner=Manner(),
        printed=Print(scale),
        told=bars(scale),
        view=evolve(_VIEW, tilt_deg=tilt_deg),
        light=Light(),
    )


@lru_cache(maxsize=8)
def was_read(scale: float = 0.97, tilt_deg: float = 14.0) -> SheetReading:
    """Return the reading of that photograph, told the bars."""
    photograph = posted(scale, tilt_deg)
    return read_photograph(photograph.content, "posted", photograph.told)


def pixels(content: bytes) -> Grey:
    """Return a file's pixels as its orientation tag has them upright."""
    picture = cv2.imdecode(np.frombuffer(content, np.uint8), cv2.IMREAD_GRAYSCALE)
    return np.asarray(picture, np.uint8)


def as_file(grey: Grey) -> bytes:
    """Return pixels as a file that tells nothing else."""
    done, encoded = cv2.imencode(".png", grey)
    assert done
    return encoded.tobytes()


def places(plane: Plane, page: Page, foot_mm: Array) -> Array:
    """Return pixels of points of the foot's frame [the print's mm]."""
    return plane.to_picture(page.frame.to_page(foot_mm))


def without_edges(scale: float = 0.97, tilt_deg: float = 14.0) -> Grey:
    """Return the photograph with the floor, and the paper's edges, painted as white as the paper is."""
    seen = was_read(scale, tilt_deg).seen
    grey = pixels(posted(scale, tilt_deg).content)
    page = seen.pages[0]
    # Of the paper as it was cut, 4 mm in: the print's mm are larger or smaller than it.
    half = np.array(page.size) / 2
    rim = half + (half / scale - 4.0) * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    inside = np.zeros(grey.shape, np.uint8)
    cv2.fillConvexPoly(inside, np.round(seen.plane.to_picture(rim)).astype(np.int32), 255)
    within = cv2.erode(inside, np.ones((9, 9), np.uint8)) > 0
    return np.where(within, grey, np.uint8(np.median(grey[within]))).astype(np.uint8)
