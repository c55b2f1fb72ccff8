"""Outlines from above, in mm, built from a foot's or a boot's own numbers: for drawing only.

Every outline stands in the frame of the foot: the first coordinate points from the axis to the
inner side of the foot, the second forward from the rearmost heel, along the axis. The axis runs
from the middle of the heel to the second toe.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Final

from attrs import frozen

from heelball.foot.vector import HEEL_SHARE
from heelball.last.values import Toe

Point = tuple[float, float]

#: Steepness of the line through the ball joints: the cotangent of 70 degrees to the axis
#: (published lines lie at 62 to 77 degrees; for drawing only).
BALL_LINE_SLOPE: Final = 0.36397

#: Share of the breadth on the inner side of the axis (judgement, for drawing only).
INNER_SHARE: Final = 0.43

#: Heel-to-ball as a share of length in the common foot (F06, F07), to place a boot's heel.
BALL_SHARE: Final = 0.74

# Handles of a curve as a share of its chord: 0.39 makes a quarter of a circle almost exactly.
_HANDLE: Final = 0.39

_INWARD: Final = (1.0, 0.0)
_FORWARD: Final = (0.0, 1.0)
_OUTWARD: Final = (-1.0, 0.0)
_BACKWARD: Final = (0.0, -1.0)
# Down the outer side of the heel, which narrows a little toward the back.
_HEELWARD: Final = (0.12, -0.99277)
# Over the tip of a lesser toe, toward the next one.
_ASLANT: Final = (-0.95, -0.31225)

# The tips of the toes from the big to the little one, and each dip between two: share of the breadth
# from the axis, share of what lies ahead of the ball joint. Drawn after the common foot, not measured.
_TOE_TIPS: Final[tuple[Point, ...]] = (
    (0.25, 1.0),
    (0.0, 0.97),
    (-0.135, 0.875),
    (-0.26, 0.735),
    (-0.365, 0.545),
)
_TOE_DIPS: Final[tuple[Point, ...]] = ((0.10, 0.915), (-0.078, 0.84), (-0.206, 0.705), (-0.316, 0.52))


@frozen
class Curve:
    """A cubic curve by its four points."""

    start: Point
    leaving: Point
    arriving: Point
    end: Point

    def at(self, share: float) -> Point:
        """Return the point at the parameter `share`, 0 to 1."""
        rest = 1 - share
        weights = (rest**3, 3 * rest**2 * share, 3 * rest * share**2, share**3)
        points = (self.start, self.leaving, self.arriving, self.end)
        across, along = (sum(w * p[axis] for w, p in zip(weights, points, strict=True)) for axis in (0, 1))
        return across, along


@frozen
class Outline:
    """A closed outline and its landmarks.

    Parameters
    ----------
    curves
        Cubic curves that meet without a corner, the last one ending where the first starts.
    inner_joint, outer_joint
        The widest points on the inner and on the outer side.
    front
        The foremost point: the longest toe, or the boot's inside end.
    second_toe
        Where the axis ends on a foot; None on a boot.
    cap_edge
        The rear edge of a hard cap; None without one.
    """

    curves: tuple[Curve, ...]
    inner_joint: Point
    outer_joint: Point
    front: Point
    second_toe: Point | None = None
    cap_edge: Curve | None = None


@frozen
class _Knot:
    """A point that an outline passes through, and its direction there; None: from its neighbours."""

    at: Point
    direction: Point | None = None


@frozen
class _ToeShape:
    """How a boot closes ahead of its joints.

    `inner` and `outer` say how long each side runs straight on from its joint, and then how blunt
    it comes in to the tip, both as shares of the way; 0.55 and 0.55 are an ellipse.
    """

    inner: tuple[float, float]
    outer: tuple[float, float]


# Share of the breadth from the axis to the tip: between the big toe and the second.
_TIP: Final = 0.14
# Drawn so that the toes of a foot that the boot is built for lie within.
_TOES: Final[dict[Toe, _ToeShape]] = {
    "round": _ToeShape((0.80, 0.60), (0.66, 0.60)),
    "almond": _ToeShape((0.80, 0.32), (0.70, 0.32)),
    "pointed": _ToeShape((0.82, 0.06), (0.78, 0.08)),
    "hard-cap": _ToeShape((0.88, 0.88), (0.72, 0.82)),
}


def foot_outline(
    foot_length: float, heel_to_ball: float, foot_breadth: float, heel_breadth: float
) -> Outline:
    """Build the outline of a bare foot from above.

    The outline reaches exactly from 0 to `foot_length`, is widest from the inner joint at
    `heel_to_ball` to the outer joint, which together are `foot_breadth` apart square to the axis,
    and is `heel_breadth` wide at 16 % of its length (the definitions of MODEL 1). Everything
    between these marks is drawn after the common foot.

    Parameters
    ----------
    foot_length, heel_to_ball, foot_breadth, heel_breadth
        The foot [mm]; the heel less than 0.86 of the breadth, beyond which it would be the widest part.

    Returns
    -------
    Outline
        In the frame of the foot [mm].

    Examples
    --------
    >>> foot = foot_outline(271.0, 201.0, 100.0, 68.0)
    >>> foot.inner_joint, foot.front
    ((43.0, 201.0), (25.0, 271.0))
    """
    ahead = foot_length - heel_to_ball
    inner, outer = _joints(heel_to_ball, foot_breadth)
    tips = [(across * foot_breadth, heel_to_ball + along * ahead) for across, along in _TOE_TIPS]
    dips = [(across * foot_breadth, heel_to_ball + along * ahead) for across, along in _TOE_DIPS]
    lesser_toes = [
        knot
        for dip, tip in zip(dips, tips[1:], strict=True)
        for knot in (_Knot(dip, _OUTWARD), _Knot(tip, _ASLANT))
    ]
    knots = [
        *_inner_side(HEEL_SHARE * foot_length, heel_breadth, 0.85, inner),
        _Knot((0.385 * foot_breadth, heel_to_ball + 0.58 * ahead)),
        _Knot(tips[0], _OUTWARD),
        *lesser_toes,
        _Knot((-0.475 * foot_breadth, heel_to_ball + 0.25 * ahead)),
        *_outer_side(HEEL_SHARE * foot_length, heel_breadth, outer),
    ]
    curves = _join([*knots, knots[0]])
    return Outline(curves, inner, outer, tips[0], second_toe=tips[1])


def boot_outline(
    inside_length: float, flex_line: float, built_for_breadth: float, built_for_heel_breadth: float, toe: Toe
) -> Outline:
    """Build the outline of the inside of a boot from above.

    It reaches exactly from 0 to `inside_length`, is `built_for_breadth` wide from the inner joint
    at `flex_line` to the outer one, and `built_for_heel_breadth` wide where the heel is measured of
    the common foot that bends there. The toe has one of four shapes.

    Parameters
    ----------
    inside_length, flex_line, built_for_breadth, built_for_heel_breadth
        The boot [mm]; the breadths are those of the foot it is built for.
    toe
        The shape of the toe; a hard cap brings the rear edge of the cap with it.

    Returns
    -------
    Outline
        In the frame of the foot [mm].

    Examples
    --------
    >>> boot = boot_outline(288.0, 203.0, 101.0, 69.0, "pointed")
    >>> boot.front[1], boot.cap_edge
    (288.0, None)
    """
    heel = HEEL_SHARE / BALL_SHARE * flex_line
    inner, outer = _joints(flex_line, built_for_breadth)
    tip = (_TIP * built_for_breadth, inside_length)
    shape = _TOES[toe]
    inner_toe = _close_toe(inner, tip, shape.inner)
    outer_toe = _close_toe(outer, tip, shape.outer)
    curves = (
        *_join(_inner_side(heel, built_for_heel_breadth, 0.96, inner)),
        inner_toe,
        Curve(outer_toe.end, outer_toe.arriving, outer_toe.leaving, outer_toe.start),
        *_join([*_outer_side(heel, built_for_heel_breadth, outer), _Knot((0.0, 0.0), _INWARD)]),
    )
    cap_edge = _cap_edge(inner_toe.at(0.38), outer_toe.at(0.55)) if toe == "hard-cap" else None
    return Outline(curves, inner, outer, tip, cap_edge=cap_edge)


def _joints(ball: float, breadth: float) -> tuple[Point, Point]:
    """Return the inner joint at `ball` and the outer one where the ball line meets the outer side."""
    inner = INNER_SHARE * breadth
    return (inner, ball), (inner - breadth, ball - breadth * BALL_LINE_SLOPE)


def _inner_side(heel: float, heel_breadth: float, waist: float, joint: Point) -> list[_Knot]:
    """Return the knots from the rearmost heel to the inner joint; `waist` is a share of the half heel."""
    half = heel_breadth / 2
    return [
        _Knot((0.0, 0.0), _INWARD),
        _Knot((half, heel), _FORWARD),
        _Knot((waist * half, heel + 0.5 * (joint[1] - heel))),
        _Knot(joint, _FORWARD),
    ]


def _outer_side(heel: float, heel_breadth: float, joint: Point) -> list[_Knot]:
    """Return the knots from the outer joint back to the heel."""
    half = -heel_breadth / 2
    return [
        _Knot(joint, _BACKWARD),
        _Knot((half + 0.58 * (joint[0] - half), heel + 0.45 * (joint[1] - heel))),
        _Knot((half, heel), _HEELWARD),
    ]


def _close_toe(joint: Point, tip: Point, side: tuple[float, float]) -> Curve:
    """Return the side of a boot's toe from its joint, running forward, to its tip, running across."""
    straight, blunt = side
    return Curve(
        joint,
        (joint[0], joint[1] + straight * (tip[1] - joint[1])),
        (tip[0] + blunt * (joint[0] - tip[0]), tip[1]),
        tip,
    )


def _cap_edge(inner: Point, outer: Point) -> Curve:
    """Return the rear edge of a cap between two points of the outline, bowed forward a little."""
    across, along = outer[0] - inner[0], outer[1] - inner[1]
    bow = 0.08 * -across
    return Curve(
        inner,
        (inner[0] + across / 3, inner[1] + along / 3 + bow),
        (inner[0] + 2 * across / 3, inner[1] + 2 * along / 3 + bow),
        outer,
    )


def _join(knots: list[_Knot]) -> tuple[Curve, ...]:
    """Join knots by curves without corners; the first and the last knot must have directions."""
    directions = [knot.direction for knot in knots]
    for place in range(1, len(knots) - 1):
        if directions[place] is None:
            before, after = knots[place - 1].at, knots[place + 1].at
            directions[place] = _unit(after[0] - before[0], after[1] - before[1])
    return tuple(
        _curve(start.at, leaving, end.at, arriving)
        for (start, end), (leaving, arriving) in zip(pairwise(knots), pairwise(directions), strict=True)
        if leaving and arriving
    )


def _curve(start: Point, leaving: Point, end: Point, arriving: Point) -> Curve:
    reach = _HANDLE * math.dist(start, end)
    return Curve(
        start,
        (start[0] + reach * leaving[0], start[1] + reach * leaving[1]),
        (end[0] - reach * arriving[0], end[1] - reach * arriving[1]),
        end,
    )


def _unit(across: float, along: float) -> Point:
    length = math.hypot(across, along)
    return across / length, along / length
