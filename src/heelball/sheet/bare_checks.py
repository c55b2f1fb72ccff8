"""Whether a photograph of a bare foot can be measured on: size, light, sharpness, tilt, flatness."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np

from heelball.sheet.layout import Page
from heelball.sheet.plane import Plane
from heelball.sheet.quality import (
    BRIGHTER,
    MOST_OFF_PLANE,
    MOST_OVEREXPOSED,
    MOST_SMEAR,
    NO_GLARE,
    STEADY,
    WASHED_OUT,
    check_tilt,
    smear_mm,
)
from heelball.sheet.quality import FEWEST_PX_PER_MM as FEWEST_OF_A_LINE
from heelball.sheet.values import Array, Grey, Refused

#: The camera is at least so far from the foot [mm]: nearer, the foot's sides hide its rim.
NEAREST: Final = 1000.0
#: Pixels that a millimetre of the sheet takes at the least.
FEWEST_PX_PER_MM: Final = 1.2

# A sharp picture smears an edge by 0.9 pixels (standard deviation); by more than so many, and by
# more mm than a drawn line bears, it is blurred.
_MOST_SMEAR_PX: Final = 1.4
# Paper darker than this, of 255, is not told from its black squares to a fifth of a pixel.
_DARKEST_PAPER: Final = 45.0
# At the foot's edge, half skin and half paper, it is bright from here up; over so much of the edge [mm].
_EDGE_WASHED_OUT: Final = 235
_MOST_EDGE: Final = 4.0
# Bare paper stands so far out from a marker's corner [mm].
_BESIDE: Final = 1.5


def check_taken(
    grey: Grey,
    plane: Plane,
    corners: dict[int, Array],
    pages: tuple[Page, ...],
    *,
    px_per_mm: float,
    distance: float,
    focal_told: bool,
) -> None:
    """Refuse what is too small, not sharp, badly lit, taken from too near or askew, or of a bent sheet.

    Parameters
    ----------
    grey, plane, corners, pages
        The photograph, and how the sheet lies in it.
    px_per_mm
        Pixels to a millimetre of the sheet.
    distance
        From the camera to the foot [mm].
    focal_told
        Whether the file tells the lens.

    Raises
    ------
    Refused
        `too_small`, `blurred`, `dark`, `glare`, `oblique` or `bent`: the first that applies.
    """
    if px_per_mm < FEWEST_PX_PER_MM:
        raise Refused(
            "too_small",
            f"The sheet is too small in the picture: {px_per_mm:.1f} pixels to a millimetre, where "
            f"{FEWEST_PX_PER_MM} are needed.",
            "Send the picture in full size, taken from 1 to 1.5 m.",
        )
    smear = smear_mm(grey, plane, corners, pages)
    if smear > max(MOST_SMEAR, _MOST_SMEAR_PX / px_per_mm):
        raise Refused(
            "blurred",
            f"The picture is blurred: edges are smeared over {2 * smear:.1f} mm.",
            STEADY,
        )
    # Corners are found to a share of a pixel: from afar the plane is known less well.
    off_plane = plane.reprojection_mm > MOST_OFF_PLANE * max(1.0, FEWEST_OF_A_LINE / px_per_mm)
    paper = _beside_markers(grey, plane, corners, pages)
    if float(np.quantile(paper, 0.2)) < _DARKEST_PAPER:
        raise Refused("dark", "The picture is too dark to measure a foot in.", BRIGHTER)
    # White paper is often washed out, and harmless until it eats into its black squares.
    if off_plane and float((paper >= WASHED_OUT).mean()) > MOST_OVEREXPOSED:
        raise Refused("glare", "The paper is so bright that it eats into its black squares.", NO_GLARE)
    check_tilt(plane, "Hold the telephone higher and look down on the foot.")
    if distance < NEAREST:
        unsure = "" if focal_told else " The file does not tell the lens: a usual one was taken."
        raise Refused(
            "oblique",
            f"The camera was {distance / 1000:.2f} m from the foot: so near, the foot's sides are seen askew "
            f"by more than can be undone.{unsure}",
            "Photograph from at least 1 m, zoomed in rather than near, and send the file as it was saved.",
        )
    if off_plane:
        raise Refused(
            "bent",
            f"The sheet is not flat: its black squares are {plane.reprojection_mm:.2f} mm off a plane.",
            "Tape the sheet down flat on a hard floor and photograph it again.",
        )


def check_edge_lit(grey: Grey, plane: Plane, page: Page, edge: Array) -> None:
    """Refuse a foot whose edge lies in glare, where skin looks like paper.

    Parameters
    ----------
    grey
        The photograph in which the sheet was found.
    edge
        The edge where it is seen against bare paper, in the foot's frame, shape (n, 2) [the print's mm].

    Raises
    ------
    Refused
        ``glare``.
    """
    bright = _at(grey, plane.to_picture(page.frame.to_page(edge))) >= _EDGE_WASHED_OUT
    steps = np.hypot(*np.diff(edge, axis=0, append=edge[:1]).T)
    # Points that do not follow one another along the edge have paper's edge between them.
    if float((bright * np.where(steps < 2.0, steps, 0.0)).sum()) > _MOST_EDGE:
        raise Refused("glare", "Light hides the colour of the foot at its edge.", NO_GLARE)


def _beside_markers(grey: Grey, plane: Plane, corners: dict[int, Array], pages: tuple[Page, ...]) -> Array:
    """Return the brightness of bare paper close to the markers' corners."""
    seen = []
    for page in pages:
        place = plane.page_offset(page.part)
        for marker in page.markers:
            if marker.id in corners:
                out = np.sign(marker.corners - marker.corners.mean(axis=0))
                seen.append(_at(grey, plane.to_picture(place.to_sheet(marker.corners + _BESIDE * out))))
    return np.concatenate(seen)


def _at(grey: Grey, px: Array) -> Array:
    columns, rows = px.astype(np.float32).T[..., None]
    return np.asarray(cv2.remap(grey, columns, rows, cv2.INTER_LINEAR), np.float64)[:, 0]
