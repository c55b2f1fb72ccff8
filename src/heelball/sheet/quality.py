"""Whether a photograph is good enough to measure on: size, sharpness, light, tilt, and a flat sheet."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np

from heelball.sheet.layout import Page
from heelball.sheet.plan import seen_px_per_mm
from heelball.sheet.plane import Plane
from heelball.sheet.values import Array, Grey, Refused

#: Pixels that a millimetre of the sheet must take where the line can be.
FEWEST_PX_PER_MM: Final = 3.0
#: How far from straight down the camera may look [degrees].
MOST_TILT_DEG: Final = 40.0
#: How far the markers may be off the plane, root mean square [mm].
MOST_OFF_PLANE: Final = 0.35
#: How far a telephone's lens may bend what stands at the picture's corner, in parts of its distance from
#: the middle: judged, thrice what sound pictures show. Beyond it a bulging sheet was taken for the lens.
MOST_LENS_BEND: Final = 0.12

#: Judged: an edge smeared by this standard deviation [mm] leaves a pencil line of half a millimetre
#: a third of its contrast and hides a doubled one.
MOST_SMEAR: Final = 0.55
# Judged: paper darker than this, of 255, leaves a faint line (a sixth darker than the paper) no more
# than the noise of a phone's picture; so does ink that differs from its paper by less.
_DARKEST_PAPER: Final = 50.0
_LEAST_CONTRAST: Final = 35.0
#: Judged: a pixel from here up shows no line and no colour any more, and so much of the sheet may be
#: like that in any light.
WASHED_OUT: Final = 253
MOST_OVEREXPOSED: Final = 0.5
# So much of it may be washed out where the rest is darker by the share below.
_MOST_GLARE: Final = 0.02
_GLARE_RISE: Final = 1.06

# Across a marker's edge, from its dark border (2.3 mm wide) to the bare paper round it [mm].
_REACH: Final = 2.0
_STEP: Final = 0.125
# Along the edge, as shares of it: without the corners.
_ALONG: Final = np.linspace(0.15, 0.85, 8)
# The light is looked at in blocks of so many samples a side, so many millimetres apart.
_BLOCK: Final = 8
_APART: Final = 2.5

#: What to do about the light and the hand, whatever stands on the sheet.
STEADY: Final = "Hold the telephone still with both hands, wait until it is sharp, and photograph again."
BRIGHTER: Final = "Photograph by daylight or under a bright lamp, without standing in its light."
NO_GLARE: Final = "Turn the flash off, keep lamps out of the telephone's back, and photograph again."
_FROM_ABOVE: Final = "Hold the telephone over the middle of the sheet, level, and photograph straight down."
_FLAT: Final = "Tape the sheet down flat on a hard floor, all corners, and photograph it again."


def check_quality(grey: Grey, plane: Plane, corners: dict[int, Array], pages: tuple[Page, ...]) -> None:
    """Refuse a photograph that is not good enough to measure on.

    Parameters
    ----------
    grey
        The photograph in which the markers were found.
    plane
        How the sheet lies in it.
    corners
        By the marker's number, its corners (4, 2) [pixels].
    pages
        The pages in view.

    Raises
    ------
    Refused
        `too_small`, `blurred`, `dark`, `glare`, `oblique` or `bent`: the first that applies.
    """
    _check_size(plane, pages)
    edges = _edges(grey, plane, corners, pages)
    light = _light(grey, plane, pages)
    _check_sharp(edges)
    _check_light(edges, light)
    _check_glare(light)
    check_tilt(plane, _FROM_ABOVE)
    if plane.reprojection_mm > MOST_OFF_PLANE:
        raise Refused(
            "bent",
            f"The sheet is not flat: its black squares are {plane.reprojection_mm:.2f} mm off a plane, and "
            f"{MOST_OFF_PLANE:.2f} mm is the most that can be measured on.",
            _FLAT,
        )
    if abs(sum(plane.lens)) > MOST_LENS_BEND:
        raise Refused("bent", "The sheet bulges: it does not lie flat.", _FLAT)


def check_tilt(plane: Plane, remedy: str) -> None:
    """Refuse a photograph that was taken too much askew.

    Raises
    ------
    Refused
        `oblique`, with the remedy that is given.
    """
    if plane.tilt_deg > MOST_TILT_DEG:
        raise Refused(
            "oblique",
            f"The picture was taken {plane.tilt_deg:.0f} degrees from straight above; up to "
            f"{MOST_TILT_DEG:.0f} can be measured on.",
            remedy,
        )


def smear_mm(grey: Grey, plane: Plane, corners: dict[int, Array], pages: tuple[Page, ...]) -> float:
    """Return how far the picture smears an edge, standard deviation [mm], in its worse direction."""
    return _smear(_edges(grey, plane, corners, pages))


def _check_size(plane: Plane, pages: tuple[Page, ...]) -> None:
    seen = seen_px_per_mm(plane, pages)
    if seen < FEWEST_PX_PER_MM:
        raise Refused(
            "too_small",
            f"The sheet is too small in the picture: {seen:.1f} pixels to a millimetre, where "
            f"{FEWEST_PX_PER_MM:.0f} are needed.",
            "Go nearer until the sheet fills the picture, and send the picture in its full size.",
        )


def _check_sharp(edges: Array) -> None:
    smear = _smear(edges)
    if smear > MOST_SMEAR:
        raise Refused(
            "blurred", f"The picture is blurred: edges are smeared over {2 * smear:.1f} mm.", STEADY
        )


def _check_light(edges: Array, light: Array) -> None:
    ends = np.median(edges[:, [0, 1, -2, -1]], axis=0)
    contrast = float(ends[2:].mean() - ends[:2].mean())
    # The darkest tenth: a shadow that hides a part of the line spoils it all.
    paper = float(np.quantile(np.quantile(light, 0.8, axis=1), 0.1))
    if paper < _DARKEST_PAPER or contrast < _LEAST_CONTRAST:
        raise Refused("dark", "The picture is too dark to see a drawn line in.", BRIGHTER)


def _check_glare(light: Array) -> None:
    washed = (light >= WASHED_OUT).mean(axis=1) > 0.6
    share = float(washed.mean())
    # Of what is not washed out: half the sheet in glare would be its own measure.
    usual = float(np.median(light[~washed])) if share < 1 else 255.0
    if share > MOST_OVEREXPOSED or (share > _MOST_GLARE and usual * _GLARE_RISE < WASHED_OUT):
        raise Refused("glare", "Light shines back from the sheet and hides what is drawn on it.", NO_GLARE)


def _edges(grey: Grey, plane: Plane, corners: dict[int, Array], pages: tuple[Page, ...]) -> Array:
    """Return the brightness across the markers' edges, dark end first: shape (edges, steps)."""
    away = np.arange(-_REACH, _REACH + _STEP / 2, _STEP)
    points = []
    for page in pages:
        place = plane.page_offset(page.part)
        for marker in page.markers:
            if marker.id not in corners:
                continue
            middle = marker.corners.mean(axis=0)
            for first, second in zip(marker.corners, np.roll(marker.corners, -1, axis=0), strict=True):
                out = (first + second) / 2 - middle
                out /= np.linalg.norm(out)
                on_edge = first + _ALONG[:, None] * (second - first)
                points.append(place.to_sheet((on_edge[:, None] + away[:, None] * out).reshape(-1, 2)))
    seen = _sampled(grey, plane, np.concatenate(points))
    return np.asarray(seen.reshape(-1, len(_ALONG), len(away)).mean(axis=1))


def _smear(edges: Array) -> float:
    """Return the smear of the blurrier pair of sides: a shaken picture is sharp in one direction."""
    wider = (edges[:, 1:-1] * 2 + edges[:, :-2] + edges[:, 2:]) / 4
    steepest = np.diff(wider, axis=1).max(axis=1) / _STEP
    height = edges[:, -3:].mean(axis=1) - edges[:, :3].mean(axis=1)
    # An edge smeared by a normal curve is as steep in its middle as that curve is high.
    smear = height / np.maximum(steepest, 1e-6) / np.sqrt(2 * np.pi)
    sides = np.median(smear.reshape(-1, 4), axis=0)
    return float(max((sides[0] + sides[2]) / 2, (sides[1] + sides[3]) / 2))


def _light(grey: Grey, plane: Plane, pages: tuple[Page, ...]) -> Array:
    """Return brightness where a foot can stand: shape (blocks, samples)."""
    along = np.arange(5.0, pages[0].holds, _APART)
    across = np.arange(-50.0, 50.0, _APART) + _APART / 2
    along = along[: len(along) // _BLOCK * _BLOCK]
    grid = np.stack(np.meshgrid(along, across, indexing="ij"), axis=-1)
    blocks = grid.reshape(len(along) // _BLOCK, _BLOCK, len(across) // _BLOCK, _BLOCK, 2)
    points = blocks.transpose(0, 2, 1, 3, 4).reshape(-1, 2)
    on_page = pages[0].frame.to_page(points)
    seen = _sampled(grey, plane, on_page).reshape(-1, _BLOCK * _BLOCK)
    low = np.min([page.offset for page in pages], axis=0)
    high = np.max([page.offset + page.size for page in pages], axis=0)
    inside = ((on_page > low) & (on_page < high)).all(axis=1).reshape(seen.shape)
    return np.asarray(seen[inside.all(axis=1)])


def _sampled(grey: Grey, plane: Plane, points: Array) -> Array:
    px = plane.to_picture(points).astype(np.float32)
    # OpenCV takes no map of more than 32,767 rows; all that is sampled comes in whole eights.
    columns, rows = np.ascontiguousarray(px.T.reshape(2, -1, 8))
    seen = cv2.remap(grey, columns, rows, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(seen, np.float64).reshape(-1)
