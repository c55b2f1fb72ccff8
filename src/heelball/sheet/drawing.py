"""What is measured on the drawn line: the foot's axis, and lengths along and across it."""

from __future__ import annotations

from typing import Final

import numpy as np

from heelball.foot.vector import HEEL_SHARE
from heelball.sheet.values import Array, Drawing, DrawnLine, Refused, Ticks

#: From the line between the heel's middle and the middle of the ball, toward the inner side, to the
#: second toe's tip [degrees]: so on the shared mesh, a modelled foot of average shape.
AXIS_TURN_DEG: Final = 1.49
#: A foot turned further than this from the printed axis is refused [degrees].
MOST_TURNED_DEG: Final = 8.0

_ROUNDS: Final = 8
_SETTLED: Final = 1e-6


def measure(line: DrawnLine, ticks: Ticks) -> Drawing:
    """Measure a drawn line by the definitions of `docs/sheet.md`.

    The axis goes from the middle of the line's width at 16 % of its length to the middle between
    the ball points, turned by a stated constant toward the inner side. Length goes from the heel
    (the heel edge on a wall, else the rearmost tangent square to the axis) to the farthest point;
    both ball lengths to the ball points; breadth is the extent square to the axis beyond half the
    length.

    Parameters
    ----------
    line, ticks
        In the foot's frame [mm].

    Raises
    ------
    Refused
        `wrong_foot` where the inner tick lies behind the outer one; `turned` where the foot stands
        more than 8 degrees from the printed axis.
    """
    points = line.points
    ball = (ticks.inner + ticks.outer) / 2
    turn = 0.0
    for _ in range(_ROUNDS):
        before = turn
        way = ball - _heel_middle(points, line.closed, turn)
        turn = float(np.arctan2(way[1], way[0])) + np.radians(AXIS_TURN_DEG)
        if abs(turn - before) < _SETTLED:
            break
    along, across = _directions(turn)
    middle = _heel_middle(points, line.closed, turn)
    start, length = _extent(points, line.closed, along, middle)
    inner, outer = ((tick @ along) - start for tick in (ticks.inner, ticks.outer))
    if inner <= outer:
        raise of_the_other_foot()
    turn_deg = float(np.degrees(turn))
    if abs(turn_deg) > MOST_TURNED_DEG:
        raise Refused(
            "turned",
            f"The foot stands {abs(turn_deg):.0f} degrees from the printed line.",
            "Draw it again with the second toe on the printed line.",
        )
    fore = points[points @ along > start + length / 2] @ across
    breadth = float(np.ptp(fore))
    heel = middle - along * (middle @ along - start)
    values = np.array([length, inner, outer, breadth, float(np.linalg.norm(ticks.inner - ticks.outer))])
    return Drawing(values, turn_deg, heel, heel + along * length)


def of_the_other_foot() -> Refused:
    """Return the refusal of ticks that only the other foot could have."""
    return Refused(
        "wrong_foot",
        "The tick at the inner side lies behind the one at the outer side, as on no foot.",
        "See whether the other foot stood on this foot's sheet, and draw it again on its own.",
    )


def _directions(turn: float) -> tuple[Array, Array]:
    """Return the axis's unit vector and the one square to it, toward the inner side."""
    cos, sin = np.cos(turn), np.sin(turn)
    return np.array([cos, sin]), np.array([-sin, cos])


def _heel_middle(points: Array, closed: bool, turn: float) -> Array:
    """Return the middle of the line's width at the heel's share of the length, for an axis so turned."""
    along, across = _directions(turn)
    middle = np.zeros(2)
    # The length begins where the axis meets the heel edge, and the axis goes through the middle.
    for _ in range(2):
        start, length = _extent(points, closed, along, middle)
        middle = _middle_at(points, along, across, start + HEEL_SHARE * length)
    return middle


def _extent(points: Array, closed: bool, along: Array, middle: Array) -> tuple[float, float]:
    """Return where the length begins along the axis, and the length."""
    far = points @ along
    # On a wall: where the axis, through the heel's middle, meets the heel edge (along the sheet: 0).
    at_wall = float((middle - along * (middle[0] / along[0])) @ along)
    start = float(far.min()) if closed else at_wall
    return start, float(far.max()) - start


def _middle_at(points: Array, along: Array, across: Array, at: float) -> Array:
    """Return the middle between the line's two sides at a distance along the axis."""
    far, aside = points @ along, points @ across
    tip = int(far.argmax())
    sides = []
    for side in (slice(0, tip + 1), slice(tip, len(points))):
        here, there = far[side], aside[side]
        # The crossing nearest the heel: the line may double back between the toes.
        crossed = np.flatnonzero((here[:-1] - at) * (here[1:] - at) <= 0)
        if len(crossed):
            k = int(crossed[0] if side.start == 0 else crossed[-1])
            step = here[k + 1] - here[k]
            share = (at - here[k]) / step if step else 0.0
            sides.append(there[k] + share * (there[k + 1] - there[k]))
        else:
            sides.append(there[int(np.abs(here - at).argmin())])
    return np.asarray(at * along + (sides[0] + sides[1]) / 2 * across)
