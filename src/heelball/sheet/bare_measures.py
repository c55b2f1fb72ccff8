"""From the seen edge of a bare foot to its measures: parallax undone by a prior of the edge's height.

What is seen against the paper is the foot's widest rim, which is above the paper; seen from a lens
at a height H, a rim h above the paper stands farther from the lens's foot by h / (H - h).
"""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
import numpy.typing as npt
from attrs import frozen

from heelball.sheet.bare_heights import Unsure, edge_heights, joint_heights
from heelball.sheet.drawing import MOST_TURNED_DEG
from heelball.sheet.values import Array, Mask, Refused

#: From the line that leads from the heel's cap to the middle of the breadth to the foot's axis, toward
#: the inner side [degrees]: on the shared mesh this leads to the second toe's tip.
AXIS_TURN_DEG: Final = 2.43

# The heel's cap is cut so far ahead of its rearmost point, as a share of the length.
_CAP: Final = 0.012
# Breadth is taken beyond this share of the length (on adult feet the greatest lies between 0.6 and 0.8
# on either side), within so much of it of the axis: a leg that is seen beside the foot lies farther off.
_FORE: Final = 0.55
_ASIDE: Final = 0.27
# The rearmost point of the heel is looked for about here: from the printed axis to the inner side, and
# so far to either side of that [mm].
_HEEL_MIDDLE: Final = 6.0
_HEEL_ASIDE: Final = 20.0
_HEEL_INSET: Final = 1.5
# The heel stands at its printed edge to within so much [mm]; what reaches farther back is a leg.
_HEEL_OFF: Final = 12.0
# No foot that is read is shorter [mm].
_SHORTEST: Final = 120.0
# Feet are this broad, as shares of their length: 0.33 to 0.45 in surveys of adults, with some to spare.
_SLENDEREST: Final = 0.30
_BROADEST: Final = 0.50

# Behind the toes' roots, a share of the length, a side that bends outward in a corner does so where a
# leg begins: its slope over so many mm changes by more than this. On feet it changes by up to 0.3.
_ROOTS: Final = 0.77
_BEND_OVER: Final = 8
_CORNER: Final = 0.5
# In the corner between foot and leg the two run together for so many mm.
_TOGETHER: Final = 4
# And a side that grows broader by this up to the leg [mm] goes on behind it.
_STILL_GROWS: Final = 0.5

# A leg over the ankle, for whether it hides what is measured: where its middle stands and half its
# size, as shares of the foot's length; heights [mm].
_LEG_MIDDLE: Final = (0.21, 0.0)
_LEG_HALF: Final = (0.16, 0.13)
_LEG_HEIGHTS: Final = (100.0, 140.0, 200.0, 260.0, 330.0, 400.0)
_LEG_CLEAR: Final = 3.0

_SEEN: Final = (
    "Photograph from beside the heel, a step away, the telephone at the height of a table or higher, so "
    "that the heel, both sides of the ball and all toes are seen."
)


@frozen(eq=False)
class Measured:
    """A foot's measures [mm], and where on the paper's plane they were seen.

    Parameters
    ----------
    length, breadth, ball, outer_ball
        The latter two None where no points were given.
    turn_deg
        Of the foot's axis from the printed one, toward the inner side.
    seen
        Heel, toe, inner and outer side as they stand on the paper's plane, shape (4, 2).
    """

    length: float
    breadth: float
    ball: float | None
    outer_ball: float | None
    turn_deg: float
    seen: Array


@frozen(eq=False)
class _Axis:
    """The foot's axis: its turn [radians], heel, toe and breadth [mm], and which points these are."""

    turn: float
    heel: float
    toe: float
    breadth: float
    ends: list[int]


def measure_bare(
    points: Array, lens: Array, given: Array | None = None, unsure: Unsure | None = None
) -> Measured:
    """Measure a foot on its seen edge.

    Parameters
    ----------
    points
        The edge on the paper's plane, (along, across) [mm], shape (n, 2).
    lens
        Along, across, and height over the paper [mm].
    given
        The inner and the outer ball point as they are seen on the paper's plane, shape (2, 2).
    unsure
        What is otherwise than the prior has it.
    """
    unsure = unsure or Unsure()
    heel, toe = max(float(points[:, 0].min()), -2 * _HEEL_OFF), float(points[:, 0].max())
    axis = _Axis(0.0, heel, toe, 0.0, [])
    for _ in range(4):
        true = _at_height(points, lens, _heights(points, lens, axis, unsure))
        axis = _along_axis(true, axis.turn, unsure.turn_deg)
    ball = outer_ball = None
    if given is not None:
        along, _ = _directions(axis.turn)
        joints = _at_height(given, lens, joint_heights(axis.toe - axis.heel, unsure))
        ball, outer_ball = (joints @ along - axis.heel).tolist()
    turn_deg = float(np.degrees(axis.turn))
    return Measured(axis.toe - axis.heel, axis.breadth, ball, outer_ball, turn_deg, points[axis.ends])


def check_seen(measured: Measured, lens: Array) -> None:
    """Refuse a foot that stands elsewhere, is turned, or whose leg hides what was measured.

    Raises
    ------
    Refused
        ``outline_open`` or ``turned``.
    """
    heel, toe, inner, outer = measured.seen
    length = measured.length
    whole = _Axis(np.radians(measured.turn_deg), float(heel[0]), float(toe[0]), 0.0, [])
    behind = float(_at_height(heel[None], lens, _heights(heel[None], lens, whole, Unsure()))[0, 0])
    if abs(behind) > _HEEL_OFF:
        raise Refused(
            "outline_open",
            f"The heel is not seen at the printed heel edge but {abs(behind):.0f} mm "
            f"{'behind' if behind < 0 else 'ahead of'} it: the leg hides it, or it stands elsewhere.",
            f"Put the heel on the printed edge. {_SEEN}",
        )
    share = measured.breadth / length
    leg = _leg(length, lens)
    for what, point in (
        ("heel", heel),
        ("toe's tip", toe),
        ("inner side of the ball", inner),
        ("outer side of the ball", outer),
    ):
        place = point.astype(np.float32).tolist()
        if cv2.pointPolygonTest(leg, place, True) > -_LEG_CLEAR:
            raise Refused("outline_open", f"From where the camera was, the leg hides the {what}.", _SEEN)
    if not _SLENDEREST < share < _BROADEST:
        raise Refused(
            "outline_open",
            f"What is seen is {length:.0f} mm long and {measured.breadth:.0f} mm broad, which no foot is: a "
            "part of the foot is hidden, or something lies beside it.",
            _SEEN,
        )
    if abs(measured.turn_deg) > MOST_TURNED_DEG:
        raise Refused(
            "turned",
            f"The foot is turned {abs(measured.turn_deg):.0f} degrees from the printed axis; "
            f"{MOST_TURNED_DEG:.0f} can be undone.",
            "Stand with the second toe on the printed axis.",
        )


def _at_height(points: Array, lens: Array, heights: Array) -> Array:
    """Return where points seen on the paper's plane are, when they are so high over it."""
    return np.asarray(points + (lens[:2] - points) * (heights / lens[2])[:, None])


def _heights(points: Array, lens: Array, axis: _Axis, unsure: Unsure) -> Array:
    along, inner = _directions(axis.turn)
    length = axis.toe - axis.heel
    at = np.clip((points @ along - axis.heel) / length, 0.0, 1.0)
    slopes = (points - lens[:2]) / lens[2]
    to_both = np.stack([slopes @ along, slopes @ inner], axis=-1)
    return edge_heights(at, points @ inner, to_both, length, unsure)


def _along_axis(true: Array, turn: float, more_deg: float) -> _Axis:
    """Return the foot's axis, sought from a turn [radians] that is near it."""
    axis = _Axis(turn, 0.0, 0.0, 0.0, [])
    for _ in range(3):
        axis = _nearer_axis(true, axis.turn, more_deg)
        if abs(axis.turn) > np.radians(30):
            raise Refused("turned", "The foot does not stand along the printed axis.", _SEEN)
    return axis


def _nearer_axis(true: Array, turn: float, more_deg: float) -> _Axis:
    along, inner = _directions(turn)
    at, side = true @ along, true @ inner
    back, heel = _rearmost(true, at)
    reach = _ASIDE * float(at.max() - at[heel])
    within = np.abs(side - side[heel]) < reach
    toe = int(np.where(within, at, -np.inf).argmax())
    length = float(at[toe] - at[heel])
    level = at[heel] + _CAP * length
    near = back[np.abs(at[back] - level) < 0.7]
    if len(near) < 2 or length < _SHORTEST:
        raise Refused("outline_open", "The heel or the toes are not seen against bare paper.", _SEEN)
    fore = within & (at > at[heel] + _FORE * length)
    left = _widest(at, side, fore, at[heel], length)
    right = _widest(at, -side, fore, at[heel], length)
    cap = np.array([level, (side[near].max() + side[near].min()) / 2])
    ball = np.array([(at[left] + at[right]) / 2, (side[left] + side[right]) / 2])
    way = ball - cap
    turn += float(np.arctan2(way[1], way[0])) + float(np.radians(AXIS_TURN_DEG + more_deg))
    breadth = float(side[left] - side[right])
    return _Axis(turn, float(at[heel]), float(at[toe]), breadth, [heel, toe, left, right])


def _rearmost(true: Array, at: Array) -> tuple[npt.NDArray[np.intp], int]:
    """Return the points of the heel's cap, and the rearmost of them.

    Where that lies at a side of what is looked at, a leg reaches back there: less is looked at.
    """
    off = np.abs(true[:, 1] - _HEEL_MIDDLE)
    for aside in (_HEEL_ASIDE, 0.75 * _HEEL_ASIDE, 0.5 * _HEEL_ASIDE):
        back = np.nonzero(off < aside)[0]
        if len(back):
            heel = int(back[at[back].argmin()])
            if off[heel] < aside - _HEEL_INSET:
                return back, heel
    raise Refused("outline_open", "The heel is not seen against bare paper: the leg hides it.", _SEEN)


def _widest(at: Array, side: Array, fore: Mask, heel: float, length: float) -> int:
    """Return which point beyond half the length reaches farthest to a side, a leg beside it left out.

    From the toes' roots backward a foot's side runs evenly; where what is seen turns outward in a
    corner, the leg begins.

    Raises
    ------
    Refused
        ``outline_open`` where the side still grows broader when the leg begins.
    """
    bins = np.floor(at - heel).astype(int)
    reach = np.full(int(1.1 * length) + 2, -np.inf)
    np.maximum.at(reach, np.clip(bins[fore], 0, len(reach) - 1), side[fore])
    leg = _corner(reach, int(_FORE * length) + _BEND_OVER + 1, int(_ROOTS * length))
    kept = np.nonzero(fore & (bins >= (0 if leg is None else leg + _TOGETHER)))[0]
    if not len(kept):
        raise Refused("outline_open", "The leg hides one side of the ball.", _SEEN)
    widest = int(kept[side[kept].argmax()])
    if leg is not None and reach[leg + 1 : leg + _TOGETHER].max() > side[widest] + _STILL_GROWS:
        raise Refused("outline_open", "The leg hides one side of the ball.", _SEEN)
    return widest


def _corner(reach: Array, start: int, end: int) -> int | None:
    """Return where, from the toes backward, a side's reach at each mm turns outward in a corner."""
    over = _BEND_OVER
    bends = np.full(len(reach), -np.inf)
    places = np.arange(start, end + 1)
    ahead, here, behind = reach[places + over], reach[places], reach[places - over]
    # What is farther aside than any foot is not looked at: a leg is, and begins before.
    seen = np.isfinite(here) & np.isfinite(behind)
    bends[places] = np.where(seen, (np.where(seen, behind - 2 * here, 0.0) + ahead) / over, np.inf)
    corners = np.nonzero(bends > _CORNER)[0]
    if not len(corners):
        return None
    # The corner itself is where it is sharpest, within what a bend is taken over.
    first = int(corners[-1])
    near = bends[first - over : first + 1]
    near = np.where(np.isfinite(near), near, -1.0)
    return first if near.max() < _CORNER else first - over + int(near.argmax())


def _directions(turn: float) -> tuple[Array, Array]:
    cos, sin = np.cos(turn), np.sin(turn)
    return np.array([cos, sin]), np.array([-sin, cos])


def _leg(length: float, lens: Array) -> np.ndarray:
    """Return the hull on the paper's plane of what a leg hides, float32, for OpenCV."""
    round_ = np.linspace(0, 2 * np.pi, 32, endpoint=False)
    rim = np.stack([np.cos(round_), np.sin(round_)], axis=1) * _LEG_HALF + _LEG_MIDDLE
    hidden = []
    for height in _LEG_HEIGHTS:
        if height > 0.6 * lens[2]:
            break
        hidden.append(lens[:2] + (rim * length - lens[:2]) * lens[2] / (lens[2] - height))
    return np.asarray(cv2.convexHull(np.concatenate(hidden).astype(np.float32)))
