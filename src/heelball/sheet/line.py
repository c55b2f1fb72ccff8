"""The line drawn round a foot: found as the cheapest closed way along what is dark and thin."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
import numpy.typing as npt
from attrs import evolve

from heelball.sheet.alone import check_alone
from heelball.sheet.ink import Ink, price_of
from heelball.sheet.path import cheapest_path, cheapest_ring
from heelball.sheet.rays import Rays, forefoot_of, rays
from heelball.sheet.values import Array, DrawnLine, Mask
from heelball.sheet.ways import evenly, normals_of, steady
from heelball.sheet.whole import FARTHEST_END, LONGEST_GAP, check_gaps, check_heel

# The heel edge closes the line on a wall. Behind the heel the fold counts as something faint: a
# line drawn there is stronger.
_FOLD_COST: Final = 0.45
_FOLD_HALF: Final = 32.0
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
        `outline_open` or `two_outlines`; `turned` where the line ran over print.
    """
    around = rays(holds, forefoot_of(_length(ink, holds)))
    field = ink.at(around.points)
    rows = _first_look(field, ink, around)
    rough = around.place(rows.astype(float))
    points, drawn, spread, strength = _second_look(ink, rough)
    line = _ended(points, drawn, spread)
    on_paper = check_gaps(line, ink.plan)
    check_alone(field, ink, around, rows, strength)
    # How round a heel is can only be asked of one line, and of a whole one.
    if on_paper:
        check_heel(line)
    return evolve(line, on_paper=on_paper)


def _length(ink: Ink, holds: float) -> float:
    """Return about how long the foot is [mm], for the rays to be set by."""
    around = rays(holds, step=1.0, every=2)
    rows = _first_look(ink.at(around.points), ink, around)
    return float(around.place(rows.astype(float))[:, 0].max())


def _first_look(field: _Float, ink: Ink, around: Rays) -> npt.NDArray[np.intp]:
    """Return the row of each ray where the cheapest closed way crosses it."""
    cost = price_of(field, ink)
    along, across = np.abs(around.points[..., 0]), np.abs(around.points[..., 1])
    fold = (along < 0.75 * max(1.0, around.step)) & (across < _FOLD_HALF)
    cost = np.where(fold, np.minimum(cost, _FOLD_COST), cost)
    cost *= around.lengths[:, None]
    return cheapest_ring(cost, bend=_BEND, widest_step=8)


def _second_look(ink: Ink, rough: Array) -> tuple[Array, Mask, Array, float]:
    """Return the line's middle every half millimetre, where it was drawn, its spread, and its ink."""
    way = steady(evenly(rough, _STEP), _ROUGH_SMOOTH)
    normals = normals_of(way, smooth=8)
    out = np.arange(-_STRIP_HALF, _STRIP_HALF + _STRIP_STEP / 2, _STRIP_STEP)
    strip = ink.at(way[:, None] + out[None, :, None] * normals[:, None])
    # Along the line, not across it: a stroke goes on, a grain does not.
    along = np.asarray(cv2.blur(strip, (1, 5)), np.float32)
    rows = cheapest_path(price_of(along, ink), bend=0.08, widest_step=1)
    centre, spread, strength = _centre(strip, out, rows, ink)
    level = float(np.median(strength[strength > 3 * ink.noise])) if (strength > 3 * ink.noise).any() else 0.0
    drawn = cv2.blur(strength[:, None], (1, 3))[:, 0] > max(3 * ink.noise, 0.22 * level)
    centre = _without_starts(centre, drawn)
    return way + centre[:, None] * normals, drawn, spread, level


def _centre(strip: _Float, out: Array, rows: npt.NDArray[np.intp], ink: Ink) -> tuple[Array, Array, _Float]:
    """Return the middle of the ink about the path, its spread, and the most ink near it."""
    # Of a stroke that crosses the line (a tick, a letter) little is seen in the mean along it.
    body = cv2.blur(np.maximum(strip - np.float32(2 * ink.noise), 0), (1, 5))
    body = np.minimum(body, np.float32(2.5) * np.median(body.max(axis=1)))
    places = out.astype(np.float32)
    middle = places[rows]
    for _ in range(3):
        near = np.clip((_CENTRE_HALF - np.abs(places - middle[:, None])) / np.float32(0.6), 0, 1)
        weight = body * near
        total = weight.sum(axis=1)
        middle = np.where(total > 1e-6, (weight @ places) / np.maximum(total, np.float32(1e-9)), middle)
    apart = places - middle[:, None]
    near = np.abs(apart) < _CENTRE_HALF
    weight = body * near
    spread = np.sqrt((weight * apart**2).sum(axis=1) / np.maximum(weight.sum(axis=1), np.float32(1e-9)))
    return middle.astype(float), spread.astype(float), np.where(near, strip, 0).max(axis=1)


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
