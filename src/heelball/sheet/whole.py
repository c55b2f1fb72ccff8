"""Whether the line round a foot is whole: no long gaps, down to the wall or closed, all on the paper."""

from __future__ import annotations

from typing import Final

import numpy as np

from heelball.foot.vector import HEEL_SHARE
from heelball.sheet.values import Array, DrawnLine, Mask, Plan, Refused

#: Longest gap that is bridged, longest at the toe's tip, and farthest end from the heel edge [mm].
LONGEST_GAP: Final = 12.0
LONGEST_GAP_AT_TIP: Final = 6.0
FARTHEST_END: Final = 15.0
#: What lies no farther behind the foremost point than this is the toe's tip [mm].
TIP: Final = 3.0
#: A heel farther from the heel edge than this was not at the wall [mm]; at the wall it is 0 to 1.
MOST_OFF_WALL: Final = 6.0
_BODY_HALF: Final = 3.5


def check_gaps(line: DrawnLine, plan: Plan) -> bool:
    """Refuse a line that is not whole, and tell whether it stays on the paper.

    Returns
    -------
    bool
        False where a gap too long to bridge stands at the paper's edge: there the line ran off it.

    Raises
    ------
    Refused
        `outline_open`; `turned` where the gap stands on print.
    """
    if line.drawn.mean() < 0.5:
        raise _open("No line round a foot is to be seen.")
    on_paper = True
    tip = line.points[:, 0].max() - TIP
    gaps = [line.points[first : last + 1] for first, last in _gaps(line.drawn)]
    for bridge in gaps:
        gap = _way(bridge)
        at_tip = bool((bridge[:, 0] > tip).any())
        if gap > LONGEST_GAP and _off_paper(bridge, plan):
            on_paper = False
        elif gap > (LONGEST_GAP_AT_TIP if at_tip else LONGEST_GAP):
            if any(_way(one) > LONGEST_GAP and _over_print(one, plan) for one in gaps):
                raise _turned()
            where = "at the toes' tip" if at_tip else "on its way"
            raise _open(f"The line has a gap of {gap:.0f} mm {where}.")
    if not line.closed:
        for end, side in ((line.points[0], "inner"), (line.points[-1], "outer")):
            if end[0] > FARTHEST_END:
                raise _open(f"The line ends {end[0]:.0f} mm from the heel edge on the {side} side.")
    return on_paper


def check_on_paper(line: DrawnLine) -> None:
    """Refuse a line that runs off the paper.

    Raises
    ------
    Refused
        `off_sheet`.
    """
    if not line.on_paper:
        raise Refused(
            "off_sheet",
            "The line runs off the paper.",
            "Print the sheet for longer feet (two pages), or set the heel against the fold.",
        )


def check_heel(line: DrawnLine) -> None:
    """Refuse a line that stays open at the heel of a foot that stood off the wall: nothing ends its length.

    A heel is about round. How far apart the line's two ends are, beside how wide it is at the
    heel's share of the length, tells how far ahead of the heel edge the round begins: on the shared
    mesh to 2 mm.

    Raises
    ------
    Refused
        `outline_open`.
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


def _way(points: Array) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def _turned() -> Refused:
    # Print keeps clear of any foot that stands along the axis.
    return Refused(
        "turned",
        "The line runs over what is printed beside the foot.",
        "Draw it again with the heel at the fold and the second toe on the printed line.",
    )


def _off_paper(points: Array, plan: Plan) -> bool:
    """Whether a part of the line stands at or off the paper's edge."""
    reach = 6.0
    around = points[:, None] + reach * np.array([[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]])
    return bool((~_at(plan.on_paper, around, plan)).any(axis=1).mean() > 0.3)


def _over_print(bridge: Array, plan: Plan) -> bool:
    """Whether a good part of a stretch of the line, or of the straight way across it, stands on print."""
    straight = np.linspace(bridge[0], bridge[-1], len(bridge))
    printed = [_at(plan.on_paper, way, plan) & ~_at(plan.free, way, plan) for way in (bridge, straight)]
    return max(float(one.mean()) for one in printed) > 0.25


def _at(mask: Mask, points: Array, plan: Plan) -> Mask:
    """Return a mask of the plan at points (..., 2); false off the plan."""
    columns = np.round((points[..., 0] - plan.along_from) * plan.px_per_mm).astype(int)
    rows = np.round((points[..., 1] - plan.across_from) * plan.px_per_mm).astype(int)
    height, width = mask.shape
    inside = (rows >= 0) & (rows < height) & (columns >= 0) & (columns < width)
    there = np.zeros(inside.shape, bool)
    there[inside] = mask[rows[inside], columns[inside]]
    return there


def _gaps(drawn: Mask) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.r_[1, drawn.astype(int), 1]))
    return [(max(int(first) - 1, 0), int(last)) for first, last in edges.reshape(-1, 2)]
