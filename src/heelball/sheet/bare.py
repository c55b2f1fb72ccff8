"""A bare foot that stands on the sheet, read from one photograph: coarser than a drawn line.

Length and breadth from the foot's edge against the paper; heel-to-ball only from two points that a
person gives, for the joint cannot be seen from above.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from attrs import asdict, evolve, field, frozen

from heelball.errors import UsageError
from heelball.foot.reading import Load
from heelball.foot.vector import Foot
from heelball.sheet.bare_checks import check_edge_lit, check_taken
from heelball.sheet.bare_heights import UNSURE, Unsure
from heelball.sheet.bare_mask import find_outline
from heelball.sheet.bare_measures import Measured, check_seen, measure_bare
from heelball.sheet.edges import find_edges
from heelball.sheet.layout import Page
from heelball.sheet.markers import find_markers, the_sheet
from heelball.sheet.picture import open_in_colour, open_picture
from heelball.sheet.plan import seen_px_per_mm
from heelball.sheet.plane import Plane, fit_plane
from heelball.sheet.scale import scale_of, true_points
from heelball.sheet.values import FOOT, Array, Circumstances, Refused, Scale

#: No standard deviation is below this [mm]; of a heel-to-ball, this.
LEAST_SD: Final = 2.5
LEAST_BALL_SD: Final = 3.0

# Standard deviations, judgement: of the seen edge against the paper at either end [mm]; of a point a
# person gives [mm]; and how far the focal length is off, told by the file or not (a share).
_EDGE_SD: Final = 1.0
_POINT_SD: Final = 2.6
_FOCAL_SDS: Final = (0.03, 0.12)


@frozen(eq=False)
class BareReading:
    """What one photograph says of a bare foot.

    Parameters
    ----------
    mean, cov
        In the order of `FOOT` [mm], [mm²]; heel-to-ball and outer ball NaN where no points were given.
    turn_deg
        Of the foot's axis from the printed one, toward the inner side.
    quality
        ``px_per_mm``, ``tilt_deg``, ``reprojection_mm``, ``distance_mm``.
    found
        Heel, toe, inner and outer side as seen, in the photograph's pixels, shape (4, 2).
    outline
        The foot's edge, and the leg's, as seen against the paper, likewise, shape (n, 2).
    joints
        The ball points that a person gave, likewise; shape (0, 2) where none were given.
    """

    photo: str
    foot: Foot
    mean: Array
    cov: Array
    scale: Scale
    turn_deg: float
    quality: dict[str, float]
    load: Load
    remarks: tuple[str, ...]
    found: Array = field(repr=False)
    outline: Array = field(repr=False)
    joints: Array = field(repr=False)


@frozen(eq=False)
class _Seen:
    """What is measured on: the edge and the given points in the print's mm, and the way to true ones."""

    points: Array
    given: Array | None
    plane: Plane
    page: Page
    scale: Scale

    def measured(self, unsure: Unsure | None = None, *, focal: float = 1.0, scale: float = 1.0) -> Measured:
        """Measure, the focal length and the scale off by a factor."""
        plane = evolve(self.plane, focal_px=self.plane.focal_px * focal)
        camera = plane.camera()
        flat = true_points(self.page.frame.to_foot(camera[None, :2]), self.scale)[0]
        lens = np.array([*flat, camera[2] * self.scale.mean]) * scale
        given = None if self.given is None else true_points(self.given, self.scale) * scale
        return measure_bare(true_points(self.points, self.scale) * scale, lens, given, unsure)


def read_bare(
    content: bytes,
    name: str,
    told: Circumstances,
    inner: tuple[float, float] | None = None,
    outer: tuple[float, float] | None = None,
) -> BareReading:
    """Read a bare foot that stands on the sheet.

    Parameters
    ----------
    content
        The file: JPEG, PNG or HEIC, in colour.
    name
        What the reading calls it.
    told
        What was told beside it; the tool counts for nothing.
    inner, outer
        The ball points that a person gives, both or neither: column and row in the photograph as it
        is shown upright [pixels].

    Raises
    ------
    Refused
        With the first reason that no reading can be taken.
    UsageError
        Where only one of the two points is given.
    """
    picture = open_picture(content)
    found = find_markers(picture.grey)
    pages, corners = the_sheet(found)
    plane = fit_plane(corners, pages, found.grey.shape, picture.focal_px)
    page = pages[0]
    lens = _lens(plane, page)
    distance = float(np.linalg.norm(lens - [page.holds * 0.4, 0.0, 0.0]))
    px_per_mm = seen_px_per_mm(plane, pages)
    check_taken(
        found.grey,
        plane,
        corners,
        pages,
        px_per_mm=px_per_mm,
        distance=distance,
        focal_told=picture.focal_px is not None,
    )
    edges = find_edges(found.grey, plane, pages)
    scale = scale_of(told, page.frame, edges.scale if edges else None)
    colour = open_in_colour(content)
    if found.mirrored:
        colour = np.ascontiguousarray(colour[:, ::-1])
    outline = find_outline(colour, plane, pages, corners)
    check_edge_lit(found.grey, plane, page, outline.points[outline.free])
    given = _given(inner, outer, plane, page, found.mirrored)
    seen = _Seen(outline.points, given, plane, page, scale)
    measured = seen.measured()
    check_seen(measured, np.array([*true_points(lens[None, :2], scale)[0], lens[2] * scale.mean]))
    _check_against_paper(measured, true_points(outline.points, scale), outline.free)
    if given is not None:
        _check_points(measured, given)
    mean = _values(measured)
    cov = _covariance(seen, mean, told, picture.focal_px is not None)
    where = _nominal(measured.seen, true_points(outline.points, scale), outline.points)
    at, edge = (_in_picture(points, plane, page, found.mirrored) for points in (where, outline.points))
    joints = np.array([] if inner is None or outer is None else [inner, outer], float).reshape(-1, 2)
    quality = {
        "px_per_mm": px_per_mm,
        "tilt_deg": plane.tilt_deg,
        "reprojection_mm": plane.reprojection_mm,
        "distance_mm": distance,
    }
    remarks = (*scale.remarks, *_remarks(given is not None, told, picture.focal_px is not None))
    return BareReading(
        name, page.foot, mean, cov, scale, measured.turn_deg, quality, told.load, remarks, at, edge, joints
    )


def _lens(plane: Plane, page: Page) -> Array:
    """Return along, across and height of the lens, in the print's mm."""
    camera = plane.camera()
    return np.array([*page.frame.to_foot(camera[None, :2])[0], camera[2]])


def _check_against_paper(measured: Measured, points: Array, free: np.ndarray) -> None:
    """Refuse where what was measured on is the paper's own edge."""
    names = ("heel", "toe's tip", "inner side of the ball", "outer side of the ball")
    for name, point in zip(names, measured.seen, strict=True):
        if not free[int(np.hypot(*(points - point).T).argmin())]:
            raise Refused(
                "off_sheet" if name != "heel" else "outline_open",
                f"No bare paper is seen beyond the {name}.",
                "Stand with the heel on the printed edge and the second toe on the axis; photograph from "
                "beside the heel.",
            )


def _given(
    inner: tuple[float, float] | None,
    outer: tuple[float, float] | None,
    plane: Plane,
    page: Page,
    mirrored: bool,
) -> Array | None:
    """Return the given ball points in the foot's frame, in the print's mm."""
    if inner is None and outer is None:
        return None
    if inner is None or outer is None:
        raise UsageError("Only one of the two ball points was given.", "Give both, or neither.")
    px = np.array([inner, outer], float)
    if mirrored:
        px[:, 0] = plane.size[1] - 1 - px[:, 0]
    return page.frame.to_foot(plane.to_sheet(px))


def _check_points(measured: Measured, given: Array) -> None:
    """Refuse points that no foot's ball has."""
    ball, outer = measured.ball or 0.0, measured.outer_ball or 0.0
    if given[0, 1] <= given[1, 1] or ball <= outer:
        raise Refused(
            "wrong_foot",
            "The inner ball point does not lie ahead of the outer one and at the foot's inner side, as on "
            "every foot.",
            "Give the point at the big toe's joint as the inner one, and check which foot the sheet is for.",
        )
    if not 0.6 < ball / measured.length < 0.85:
        raise Refused(
            "ticks",
            "The inner ball point given is not where a ball joint is.",
            "Give the column and row of the big toe's joint in the upright photograph.",
        )


def _values(measured: Measured) -> Array:
    ball, outer = (np.nan if one is None else one for one in (measured.ball, measured.outer_ball))
    return np.array([measured.length, ball, outer, measured.breadth])


def _covariance(seen: _Seen, mean: Array, told: Circumstances, focal_told: bool) -> Array:
    """Return the covariance [mm²], no standard deviation below the least."""
    slopes = []
    for name, sd in asdict(UNSURE).items():
        slopes.append(_values(seen.measured(Unsure(**{name: sd}))) - mean)
    slopes.append(_values(seen.measured(focal=1 + _FOCAL_SDS[0 if focal_told else 1])) - mean)
    slopes.append(_values(seen.measured(scale=1 + seen.scale.sd / seen.scale.mean)) - mean)
    loadings = np.stack(slopes)
    cov = loadings.T @ loadings
    own = np.array([2 * _EDGE_SD**2, *[_EDGE_SD**2 + _POINT_SD**2] * 2, 2 * _EDGE_SD**2])
    cov += np.diag(own)
    heel = _EDGE_SD**2  # length and both balls are taken from one heel
    for one, other in ((0, 1), (0, 2), (1, 2)):
        cov[one, other] += heel
        cov[other, one] += heel
    least = np.array([LEAST_BALL_SD if name in ("ball", "outer_ball") else LEAST_SD for name in FOOT]) ** 2
    cov += np.diag(np.maximum(least - np.diag(cov), 0.0))
    cov[np.isnan(mean)] = np.nan
    cov[:, np.isnan(mean)] = np.nan
    return cov * 4 if told.alone else cov


def _nominal(wanted: Array, true: Array, points: Array) -> Array:
    """Return the print's points of true ones."""
    return np.array([points[int(np.hypot(*(true - one).T).argmin())] for one in wanted])


def _in_picture(points: Array, plane: Plane, page: Page, mirrored: bool) -> Array:
    """Return where points of the foot's frame are in the photograph as it was sent [pixels]."""
    at = plane.to_picture(page.frame.to_page(points))
    if mirrored:
        at[:, 0] = plane.size[1] - 1 - at[:, 0]
    return at


def _remarks(ball: bool, told: Circumstances, focal_told: bool) -> list[str]:
    said = ["A bare foot is read more coarsely than a drawn line: the height of its edge is guessed."]
    if not ball:
        said.append("Heel-to-ball is not read: the two ball points were not given.")
    if not focal_told:
        said.append("The file does not tell the lens, so the camera's distance is less sure.")
    if told.alone:
        said.append("Taken alone: every ± is doubled.")
    return said
