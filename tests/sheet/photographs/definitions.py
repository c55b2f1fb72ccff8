"""The issue's definitions on an outline that is known to the last point: plain, slow, apart from the product.

Length, heel-to-ball and the rest of any closed outline, or of a line open at the heel, in the frame of
the foot: x about toward the toes, y toward the inner side [mm].
"""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np
from attrs import frozen

from heelball.sheet.values import Array
from tests.sheet.photographs.outlines import mesh_foot

HEEL_SHARE: Final = 0.16  # where the heel's width is taken, of the length
FRONT_SHARE: Final = 0.5  # beyond it the breadth is


@frozen
class Measured:
    """The five measures [mm], in the order of `heelball.sheet.values.DRAWN`, and the axis' turn [degrees]."""

    length: float
    ball: float
    outer_ball: float
    breadth: float
    ball_line: float
    turn_deg: float

    @property
    def values(self) -> Array:
        """All five in order."""
        return np.array([self.length, self.ball, self.outer_ball, self.breadth, self.ball_line])


def measured(outline: Array, inner: Array, outer: Array, *, on_wall: bool) -> Measured:
    """Return the measures of an outline.

    Parameters
    ----------
    outline
        Shape (n, 2) [mm], in order.
    inner, outer
        The ball points [mm].
    on_wall
        The heel stands against the line x = 0, which closes the outline and is where measures begin.
    """
    turn = np.radians(second_toe_turn_deg())

    def led(axis: Array) -> tuple[Array, Array, float, float]:
        start, length = _start_and_length(outline, axis, on_wall=on_wall)
        middle = _middle(outline, axis, start + HEEL_SHARE * length)
        toward = (inner + outer) / 2 - middle
        return _turned(toward / np.hypot(*toward), turn), middle, start, length

    before = np.array([1.0, 0.0])
    axis, middle, start, length = led(before)
    while np.abs(axis - before).max() >= 1e-12:
        before = axis
        axis, middle, start, length = led(before)
    if on_wall:
        start = _start_on_wall(middle, axis)
        length = float((outline @ axis).max()) - start
    square = np.array([-axis[1], axis[0]])
    along = outline @ axis - start
    across = (outline @ square)[along > FRONT_SHARE * length]
    return Measured(
        length,
        float(inner @ axis) - start,
        float(outer @ axis) - start,
        float(across.max() - across.min()),
        float(np.hypot(*(inner - outer))),
        float(np.degrees(np.arctan2(axis[1], axis[0]))),
    )


def _start_and_length(outline: Array, axis: Array, *, on_wall: bool) -> tuple[float, float]:
    """Return where measures begin along the axis, and the length from there."""
    along = outline @ axis
    start = 0.0 if on_wall else float(along.min())
    return start, float(along.max()) - start


def _start_on_wall(middle: Array, axis: Array) -> float:
    """Return where the axis comes to the heel edge, as a distance along the axis."""
    at_edge = middle - axis * (middle[0] / axis[0])
    return float(at_edge @ axis)


def _middle(outline: Array, axis: Array, at: float) -> Array:
    """Return the middle of the outline's width, square to the axis, at a distance along it."""
    square = np.array([-axis[1], axis[0]])
    along = outline @ axis - at
    here, there = along, np.roll(along, -1)
    crossing = np.nonzero((here <= 0) != (there <= 0))[0]
    share = here[crossing] / (here[crossing] - there[crossing])
    across = outline @ square
    met = across[crossing] + share * (np.roll(across, -1)[crossing] - across[crossing])
    return np.asarray(axis * at + square * (met.min() + met.max()) / 2)


def _turned(vector: Array, angle: float) -> Array:
    cos, sin = np.cos(angle), np.sin(angle)
    return np.array([cos * vector[0] - sin * vector[1], sin * vector[0] + cos * vector[1]])


@cache
def second_toe_turn_deg() -> float:
    """Return the constant turn that leads the shared mesh's axis to its second toe's tip [degrees].

    The mesh lies with its second toe's tip on y = 0, says its README; the tip is the foremost point
    of the outline near that line.
    """
    foot = mesh_foot()
    outline = foot.outline
    near = outline[np.abs(outline[:, 1]) < 8.0]
    tip = near[near[:, 0].argmax()]
    tip = np.array([tip[0], 0.0])
    length = float(outline[:, 0].max() - outline[:, 0].min())
    middle = _middle(outline, np.array([1.0, 0.0]), float(outline[:, 0].min()) + HEEL_SHARE * length)
    to_tip, to_ball = tip - middle, (foot.inner + foot.outer) / 2 - middle
    angle = np.arctan2(to_tip[1], to_tip[0]) - np.arctan2(to_ball[1], to_ball[0])
    return float(np.degrees(angle))
