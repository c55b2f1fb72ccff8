"""The line drawn round a foot: found as the cheapest closed way along what is dark and thin."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

from heelball.sheet.drawing import HEEL_SHARE
from heelball.sheet.ink import Ink
from heelball.sheet.path import cheapest_path, cheapest_ring
from heelball.sheet.rays import Rays, forefoot_of, rays
from heelball.sheet.values import Array, DrawnLine, Mask, Plan, Refused
from heelball.sheet.ways import evenly, normals_of, steady

#: Longest gap that is bridged, longest at the toe's tip, and farthest end from the heel edge [mm].
LONGEST_GAP: Final = 12.0
LONGEST_GAP_AT_TIP: Final = 6.0
FARTHEST_END: Final = 15.0
#: A heel farther from the heel edge than this was not at the wall [mm]; at the wall it is 0 to 1.
MOST_OFF_WALL: Final = 6.0
_BODY_HALF: Final = 3.5

# The heel edge closes the line on a wall. Behind the heel the fold counts as something faint: a
# line drawn there is stronger.
_FOLD_COST: Final = 0.45
_FOLD_HALF: Final = 32.0
_BACK: Final = 16.0  # no further ahead of the heel edge is the fold's help given [mm]
# Ink of this many sd costs half of what bare paper does.
_HALF_PRICE_SDS: Final = 4.0
_BEND: Final = 0.006

# The second look: a strip along the first, points every half millimetre.
_STEP: Final = 0.5
# The first look goes in steps: smoothed over this many points, it can be followed.
_ROUGH_SMOOTH: Final = 5.0
_STRIP_HALF: Final = 5.0
_STRIP_STEP: Final = 0.2
_CENTRE_HALF: Final = 2.0
# A tick or a letter that touches the line is narrower than half of this many points.
_MEDIAN: Final = 17
#: A second line at least this far away, unbroken for so long at a time and over this share of the way
#: round in all, is another outline [mm].
_ANOTHER: Final = 3.2
_ANOTHER_RUN: Final = 20.0
_ANOTHER_SHARE: Final = 0.15

_Float = npt.NDArray[np.float32]


def find_line(ink: Ink, holds: float) -> DrawnLine:
    """Find the line drawn round a foot.

    Parameters
    ----------
    ink
        What was drawn on the paper.
    holds
        The longest foot that the layout holds [mm].

    Raises
    ------
    Refused
        `outline_open`, `two_outlines` or `off_sheet`.
    """
    around = rays(holds, forefoot_of(_length(ink, holds)))
    field = ink.at(around.points)
    rows = _first_look(field, ink, around)
    rough = around.place(rows.astype(float))
    points, drawn, spread, strength = _second_look(ink, rough)
    line = _ended(points, drawn, spread)
    _check_gaps(line, ink.plan)
    _check_heel(line)
    _check_alone(field, ink, around, rows, strength)
    return line


def _length(ink: Ink, holds: float) -> float:
    """Return about how long the foot is [mm], for the rays to be set by."""
    around = rays(holds, step=1.0, every=2)
    rows = _first_look(ink.at(around.points), ink, around)
    return float(around.place(rows.astype(float))[:, 0].max())


def _first_look(field: _Float, ink: Ink, around: Rays) -> npt.NDArray[np.intp]:
    """Return the row of each ray where the cheapest closed way crosses it."""
    cost = _price(field, ink)
    fold = (np.abs(around.points[..., 0]) < 0.75 * max(1.0, around.step)) & (
        np.abs(around.points[..., 1]) < _FOLD_HALF
    )
    cost = np.where(fold, np.minimum(cost, _FOLD_COST), cost)
    cost *= _lengths(around)[:, None]
    return cheapest_ring(cost.astype(np.float32), bend=_BEND, widest_step=8)


def _price(field: _Float, ink: Ink) -> _Float:
    """Return what a millimetre costs: 1 on bare paper, toward 0 where there is much ink."""
    half = np.float32(_HALF_PRICE_SDS * ink.noise)
    # Squared, so that what the grain adds up to over a long way stays dear.
    return np.asarray(1 / (1 + (field / half) ** 2), np.float32)


def _lengths(around: Rays) -> _Float:
    """Return how far the line goes from one ray to the next, about [mm]."""
    middle = around.points[:, around.points.shape[1] // 3]
    steps = np.linalg.norm(np.roll(middle, -1, axis=0) - middle, axis=1)
    return np.asarray(np.clip(steps, 0.5, 3.0), np.float32)


def _second_look(ink: Ink, rough: Array) -> tuple[Array, Mask, Array, float]:
    """Return the line's middle every half millimetre, where it was drawn, its spread, and its ink."""
    way = steady(evenly(rough, _STEP), _ROUGH_SMOOTH)
    normals = normals_of(way, smooth=8)
    out = np.arange(-_STRIP_HALF, _STRIP_HALF + _STRIP_STEP / 2, _STRIP_STEP)
    strip = ink.at(way[:, None] + out[None, :, None] * normals[:, None])
    # Along the line, not across it: a stroke goes on, a grain does not.
    along = np.asarray(cv2.blur(strip, (1, 5)), np.float32)
    rows = cheapest_path(_price(along, ink), bend=0.08, widest_step=1)
    centre, spread, strength = _centre(strip, out, rows, ink)
    level = float(np.median(strength[strength > 3 * ink.noise])) if (strength > 3 * ink.noise).any() else 0.0
    drawn = cv2.blur(strength[:, None], (1, 3))[:, 0] > max(3 * ink.noise, 0.22 * level)
    centre = _without_starts(centre, drawn)
    return way + centre[:, None] * normals, drawn, spread, level


def _centre(strip: _Float, out: Array, rows: npt.NDArray[np.intp], ink: Ink) -> tuple[Array, Array, _Float]:
    """Return the middle of the ink about the path, its spread, and the most ink near it."""
    at = out[rows]
    # Of a stroke that crosses the line (a tick, a letter) little is seen in the mean along it.
    body = cv2.blur(np.maximum(strip - 2 * np.float32(ink.noise), 0), (1, 5))
    body = np.minimum(body, 2.5 * np.median(body.max(axis=1)))
    middle = at.copy()
    spread = np.zeros(len(at))
    for _ in range(3):
        apart = out[None] - middle[:, None]
        weight = body * np.clip((_CENTRE_HALF - np.abs(apart)) / 0.6, 0, 1)
        total = weight.sum(axis=1)
        sure = total > 1e-6
        moved = np.where(sure, (weight * out).sum(axis=1) / np.maximum(total, 1e-9), middle)
        middle = moved
    apart = out[None] - middle[:, None]
    weight = body * (np.abs(apart) < _CENTRE_HALF)
    spread = np.sqrt((weight * apart**2).sum(axis=1) / np.maximum(weight.sum(axis=1), 1e-9))
    near = np.where(np.abs(out[None] - middle[:, None]) < _CENTRE_HALF, strip, 0)
    return middle, spread, near.max(axis=1)


def _without_starts(centre: Array, drawn: Mask) -> Array:
    """Return the middle smoothed: what starts away over less than a few millimetres is not the line."""
    known = np.flatnonzero(drawn)
    if len(known) < 3:
        return centre
    bridged = np.interp(np.arange(len(centre)), known, centre[known])
    wrapped = np.pad(bridged, _MEDIAN // 2, mode="edge")
    medians = np.median(np.lib.stride_tricks.sliding_window_view(wrapped, _MEDIAN), axis=1)
    return np.asarray(cv2.GaussianBlur(medians[:, None], (1, 9), 0, sigmaY=2.0)[:, 0])


def _ended(points: Array, drawn: Mask, spread: Array) -> DrawnLine:
    """Return the line without what closed it behind the heel, or closed where it was drawn there."""
    behind = (np.abs(points[:, 1]) < _FOLD_HALF) & (points[:, 0] < FARTHEST_END)
    closed = bool(behind.any()) and float(drawn[behind].mean()) > 0.75
    tip = int(points[:, 0].argmax())
    if not closed:
        first, last = (
            tip - _reach(points[tip::-1], drawn[tip::-1]),
            tip + _reach(points[tip:], drawn[tip:]) + 1,
        )
        points, drawn, spread = points[first:last], drawn[first:last], spread[first:last]
    middle = float(np.median(spread[drawn])) if drawn.any() else 0.0
    return DrawnLine(points, drawn, closed, middle)


def _reach(points: Array, drawn: Mask) -> int:
    """Return the last point of one side, from the toes down to the wall, that was drawn.

    Near the heel edge the line ends where it first stops for longer than any gap: what is dark
    beyond that, between its two ends, is not of it.
    """
    known = np.flatnonzero(drawn)
    if not len(known):
        return len(points) - 1
    stops = np.diff(known) * _STEP > LONGEST_GAP
    at_wall = points[known[:-1], 0] < FARTHEST_END
    ends = np.flatnonzero(stops & at_wall)
    return int(known[ends[0]] if len(ends) else known[-1])


def _check_gaps(line: DrawnLine, plan: Plan) -> None:
    if line.drawn.mean() < 0.5:
        raise _open("No line round a foot is to be seen.")
    tip = line.points[:, 0].max() - 3.0
    for first, last in _gaps(line.drawn):
        gap = float(np.linalg.norm(np.diff(line.points[first : last + 1], axis=0), axis=1).sum())
        at_tip = bool((line.points[first : last + 1, 0] > tip).any())
        if gap > LONGEST_GAP and _off_paper(line.points[first : last + 1], plan):
            raise Refused(
                "off_sheet",
                "The line runs off the paper.",
                "Print the sheet for longer feet (two pages), or set the heel against the fold.",
            )
        if gap > (LONGEST_GAP_AT_TIP if at_tip else LONGEST_GAP):
            where = "at the toes' tip" if at_tip else "on its way"
            raise _open(f"The line has a gap of {gap:.0f} mm {where}.")
    if not line.closed:
        for end, side in ((line.points[0], "inner"), (line.points[-1], "outer")):
            if end[0] > FARTHEST_END:
                raise _open(f"The line ends {end[0]:.0f} mm from the heel edge on the {side} side.")


def _check_heel(line: DrawnLine) -> None:
    """Refuse a line that stays open at the heel of a foot that stood off the wall: nothing ends its length.

    A heel is about round. How far apart the line's two ends are, beside how wide it is at the
    heel's share of the length, tells how far ahead of the heel edge the round begins: on the shared
    mesh to 2 mm.
    """
    if line.closed:
        return
    points = line.points
    tip = int(points[:, 0].argmax())
    inner, outer = points[: tip + 1], points[tip:][::-1]

    def half_width(along: float) -> float:
        return float(np.interp(along, *inner.T) - np.interp(along, *outer.T)) / 2

    radius = half_width(HEEL_SHARE * float(points[tip, 0]))
    end = max(float(points[0, 0]), float(points[-1, 0]))
    reach = max(radius**2 - half_width(end) ** 2, 0.0)
    off_wall = end - (radius - _BODY_HALF) + float(np.sqrt(reach))
    if off_wall > MOST_OFF_WALL:
        raise _open(f"The heel stood about {off_wall:.0f} mm off the wall, and no line closes it.")


def _open(text: str) -> Refused:
    return Refused(
        "outline_open",
        text,
        "Draw the line again without gaps, down to the wall on both sides, and photograph it.",
    )


def _off_paper(points: Array, plan: Plan) -> bool:
    """Whether a part of the line stands at or off the paper's edge."""
    reach = 6.0
    around = points[:, None] + reach * np.array([[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]])
    columns = np.round((around[..., 0] - plan.along_from) * plan.px_per_mm).astype(int)
    rows = np.round((around[..., 1] - plan.across_from) * plan.px_per_mm).astype(int)
    height, width = plan.on_paper.shape
    inside = (rows >= 0) & (rows < height) & (columns >= 0) & (columns < width)
    on = np.zeros(inside.shape, bool)
    on[inside] = plan.on_paper[rows[inside], columns[inside]]
    return bool((~on).any(axis=1).mean() > 0.3)


def _gaps(drawn: Mask) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.r_[1, drawn.astype(int), 1]))
    return [(max(int(first) - 1, 0), int(last)) for first, last in edges.reshape(-1, 2)]


def _check_alone(field: _Float, ink: Ink, around: Rays, rows: npt.NDArray[np.intp], strength: float) -> None:
    """Refuse a second outline: another way round, away from the first, on ink as well."""
    left = field.copy()
    reach = round(_ANOTHER / around.step)
    every = np.arange(left.shape[1])[None]
    left[np.abs(every - rows[:, None]) < reach] = 0
    cost = _price(left, ink) * _lengths(around)[:, None]
    other = cheapest_path(cost.astype(np.float32), bend=_BEND, widest_step=5)
    # Drawn with the same tool: writing and scribbles mostly are not.
    found = left[np.arange(len(other)), other]
    on_ink = (found > max(4 * ink.noise, 0.45 * strength)) & (found < 2.2 * strength)
    lengths = _lengths(around)
    edges = np.flatnonzero(np.diff(np.r_[0, on_ink.astype(int), 0])).reshape(-1, 2)
    runs = np.array([lengths[first:last].sum() for first, last in edges])
    share = float(runs[runs > _ANOTHER_RUN].sum() / lengths.sum())
    if share > _ANOTHER_SHARE:
        raise Refused(
            "two_outlines",
            "There are two lines round a foot.",
            "Draw one foot once on a fresh sheet.",
        )
