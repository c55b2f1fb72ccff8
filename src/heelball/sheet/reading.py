"""A photograph of a sheet, read: bytes in, a foot with its ± out, or the first reason why not."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import evolve, field, frozen

from heelball.errors import PhotographError
from heelball.foot.vector import Foot
from heelball.sheet.calibration import Calibration
from heelball.sheet.combining import combined
from heelball.sheet.drawing import measure
from heelball.sheet.edges import find_edges
from heelball.sheet.hand import FootDrawn, foot_of
from heelball.sheet.ink import ink_of
from heelball.sheet.layout import Page
from heelball.sheet.line import find_line
from heelball.sheet.markers import find_markers, the_sheet
from heelball.sheet.picture import open_picture
from heelball.sheet.plan import make_plan
from heelball.sheet.plane import Plane, fit_plane
from heelball.sheet.quality import check_quality
from heelball.sheet.scale import line_on, scale_of, ticks_on, true_line, true_ticks
from heelball.sheet.shape import check_shape
from heelball.sheet.ticks import find_ticks
from heelball.sheet.values import (
    Array,
    Circumstances,
    Drawing,
    DrawnLine,
    Plan,
    Scale,
    Ticks,
)
from heelball.sheet.whole import check_on_paper

#: How far from where it was meant a fitter puts a tick on the picture [mm].
_MOVED_SD = 1.5

#: Where the line crosses what is printed, so much of it is not seen without its being broken [mm].
_HIDDEN = 3.0


@frozen(eq=False)
class SeenOnSheet:
    """What a reading rests on, to measure again or to draw.

    Parameters
    ----------
    plan, plane, pages
        The paper as seen, and which pages they are.
    line, ticks
        In true millimetres.
    told, calibration
        What was told beside the sheet, and what pairs of sheet and gauge taught.
    mirrored
        Whether the photograph was a mirrored one.
    """

    plan: Plan
    plane: Plane
    pages: tuple[Page, ...]
    line: DrawnLine
    ticks: Ticks
    told: Circumstances
    calibration: Calibration | None
    mirrored: bool


@frozen(eq=False)
class SheetReading:
    """What one photograph, or several of one sheet, say of a foot.

    Parameters
    ----------
    photo
        What the photograph is called.
    foot
        Which foot the sheet was printed for.
    drawing
        What is measured on the drawn line, in true mm.
    drawn_round
        The foot that the line was drawn round.
    scale
        The print's scale.
    quality
        ``px_per_mm``, ``tilt_deg``, ``reprojection_mm``.
    remarks
        Sentences.
    seen
        What it rests on.
    """

    photo: str
    foot: Foot
    drawing: Drawing
    drawn_round: FootDrawn
    scale: Scale
    quality: dict[str, float]
    remarks: tuple[str, ...]
    seen: SeenOnSheet = field(repr=False)


def read_photograph(
    content: bytes, name: str, told: Circumstances, calibration: Calibration | None = None
) -> SheetReading:
    """Read one photograph of one foot's sheet.

    Parameters
    ----------
    content
        The file: JPEG, PNG or HEIC.
    name
        What the reading calls it.
    told
        What the wearer told beside the sheet.
    calibration
        What pairs of sheet and gauge taught of the hand, where there is one.

    Raises
    ------
    Refused
        With the first reason that no reading can be taken.
    MissingExtra
        Where what reads photographs is not installed.
    """
    picture = open_picture(content)
    found = find_markers(picture.grey)
    pages, corners = the_sheet(found)
    plane = fit_plane(corners, pages, found.grey.shape, picture.focal_px)
    check_quality(found.grey, plane, corners, pages)
    edges = find_edges(found.grey, plane, pages)
    scale = scale_of(told, pages[0].frame, edges.scale if edges else None)
    plan = make_plan(found.grey, plane, pages, edges)
    ink = ink_of(plan)
    line = find_line(ink, pages[0].holds)
    ticks = find_ticks(ink, line)
    check_on_paper(line)
    # On the print first: what is refused of a drawing is refused of it as it was drawn.
    check_shape(measure(line, ticks))
    seen = SeenOnSheet(
        plan,
        plane,
        pages,
        true_line(line, scale),
        true_ticks(ticks, scale),
        told,
        calibration,
        found.mirrored,
    )
    quality = {
        "px_per_mm": plan.seen_px_per_mm,
        "tilt_deg": plane.tilt_deg,
        "reprojection_mm": plane.reprojection_mm,
    }
    return _reading(name, seen, scale, quality, (*scale.remarks, *_remarks(seen)))


def with_ticks(reading: SheetReading, inner: float, outer: float) -> SheetReading:
    """Return a reading with its ticks where a fitter puts them.

    Parameters
    ----------
    reading
        As read from a photograph.
    inner, outer
        From the heel edge along the printed axis [mm].

    Raises
    ------
    Refused
        Where ticks there would make another foot of it.
    """
    seen = reading.seen
    points = [_on_line(seen.line, along, inner=side) for along, side in ((inner, True), (outer, False))]
    moved = evolve(seen, ticks=Ticks(points[0], points[1], _MOVED_SD, _MOVED_SD))
    remark = "The ticks were moved by the fitter."
    remarks = reading.remarks if remark in reading.remarks else (*reading.remarks, remark)
    return _reading(reading.photo, moved, reading.scale, reading.quality, remarks)


def _reading(
    name: str, seen: SeenOnSheet, scale: Scale, quality: dict[str, float], remarks: tuple[str, ...]
) -> SheetReading:
    drawing = measure(seen.line, seen.ticks)
    foot = foot_of(drawing, seen.line, seen.ticks, seen.told, scale, seen.calibration)
    return SheetReading(name, seen.pages[0].foot, drawing, foot, scale, quality, remarks, seen)


def _remarks(seen: SeenOnSheet) -> list[str]:
    said = []
    if seen.mirrored:
        said.append("The picture was a mirrored one; it was read turned back.")
    if _longest_gap(seen.line) > _HIDDEN:
        said.append("The line has gaps that were bridged.")
    if seen.line.closed:
        said.append("The line goes round behind the heel: it was drawn away from a wall.")
    if seen.told.tool is None:
        said.append("What it was drawn with was not told: a pencil is taken.")
    if seen.told.alone:
        said.append("Drawn alone: every ± is doubled.")
    return said


def _longest_gap(line: DrawnLine) -> float:
    """Return the length of the longest piece of the line that nothing was drawn on [mm]."""
    steps = np.hypot(*np.diff(line.points, axis=0).T) * ~line.drawn[1:]
    pieces = np.split(steps, np.flatnonzero(line.drawn[1:]))
    return max(float(piece.sum()) for piece in pieces)


def _on_line(line: DrawnLine, along: float, *, inner: bool) -> Array:
    """Return the point of the line at a distance from the heel edge, on the foot's inner or outer side."""
    points = line.points
    tip = int(points[:, 0].argmax())
    side = points[: tip + 1] if inner else points[tip:]
    return np.asarray(side[int(np.abs(side[:, 0] - along).argmin())])


def together(readings: Sequence[SheetReading]) -> SheetReading:
    """Return what several photographs of one foot's sheet say together, with the first one's picture.

    Raises
    ------
    PhotographError
        Where they contradict each other, with a sentence for each contradiction.
    """
    # One print has one scale: that of the photograph which shows the most of what proves it.
    surest = min(readings, key=lambda one: one.scale.sd).scale
    alike = [one if one.scale is surest else _on_scale(one, surest) for one in readings]
    both = combined([one.drawn_round for one in alike])
    if both.foot is None:
        remedy = "They are of two drawings, or one of them is wrong: leave one out."
        raise PhotographError(" ".join(both.remarks), remedy)
    said = [remark for one in readings for remark in one.remarks]
    if surest.witness != "none":
        unproven = {remark for one in readings if one.scale.witness == "none" for remark in one.scale.remarks}
        said = [remark for remark in said if remark not in unproven]
    name = ", ".join(one.photo for one in readings)
    return evolve(alike[0], photo=name, drawn_round=both.foot, remarks=tuple(dict.fromkeys(said)))


def _on_scale(reading: SheetReading, scale: Scale) -> SheetReading:
    """Return a reading as another scale of its print has it."""
    seen = reading.seen
    moved = evolve(
        seen,
        line=true_line(line_on(seen.line, reading.scale), scale),
        ticks=true_ticks(ticks_on(seen.ticks, reading.scale), scale),
    )
    return _reading(reading.photo, moved, scale, reading.quality, reading.remarks)
