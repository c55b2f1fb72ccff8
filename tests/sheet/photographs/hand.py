"""A helper's hand: the foot set down, the line drawn round it and the two ticks, as well as hands do it.

Everything here is true millimetres in the sheet's own foot frame: along from the heel edge toward the
toes, across toward the foot's inner side.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from attrs import field, frozen
from scipy.ndimage import gaussian_filter1d
from scipy.spatial import cKDTree

from heelball.sheet.values import Array, Tool
from tests.sheet.photographs.outlines import Foot, even

#: Body of the tool [mm], as the issue says; sd of the body, of lean over a drawing, along it, of a tick.
BODY: Final[dict[Tool, float]] = {"pencil": 7.0, "pen": 9.0, "felt-pen": 10.0}
BODY_SD, LEAN_SD, ALONG_SD, ALONG_OVER, TICK_SD, TURN_SD = 0.5, 0.6, 0.5, 30.0, 2.0, 2.0

#: Width of the stroke [mm] and how much light it takes away, least and most.
_STROKES: Final[dict[Tool, tuple[tuple[float, float], tuple[float, float]]]] = {
    "pencil": ((0.45, 0.9), (0.38, 0.65)),
    "pen": ((0.4, 0.7), (0.6, 0.85)),
    "felt-pen": ((0.9, 2.2), (0.7, 0.9)),
}


@frozen(eq=False)
class Stroke:
    """A stroke on paper: points [mm], width [mm], the share of light it takes, and whether it is grainy."""

    points: Array
    width: float
    dark: float
    grainy: bool


@frozen
class Manner:
    """How a hand draws. `gap` [mm] and `doubled` [mm] are 0 where the line is whole and single."""

    tool: Tool = "pencil"
    on_wall: bool = True
    gaps: int = 0
    longest_gap: float = 8.0
    doubled: float = 0.0
    doubled_all: bool = False
    faint: bool = False
    toe_gap: float = 0.0
    ticks: tuple[str, ...] = ("inner", "outer")
    swapped_ticks: bool = False
    turn_deg: float | None = None
    open_heel: float = 0.0


@frozen(eq=False)
class Drawn:
    """The foot as it stood, the mean line round it, where the ticks lead, and the strokes themselves."""

    foot: Foot
    line: Array
    closed: bool
    inner: Array
    outer: Array
    strokes: tuple[Stroke, ...] = field(repr=False)


def set_down(foot: Foot, manner: Manner, chance: np.random.Generator) -> Foot:
    """Return the foot as it stands on the sheet: turned a little, heel by the heel edge."""
    turn = chance.normal(scale=TURN_SD) if manner.turn_deg is None else manner.turn_deg
    turned = _turned(foot, float(np.radians(np.clip(turn, -6.0, 6.0) if manner.turn_deg is None else turn)))
    off = chance.uniform(0.0, 1.0) if manner.on_wall else chance.uniform(6.0, 9.0)
    shift = np.array([off - turned.outline[:, 0].min(), chance.normal(scale=1.5)])
    return Foot(turned.outline + shift, turned.inner + shift, turned.outer + shift)


def _turned(foot: Foot, angle: float) -> Foot:
    cos, sin = np.cos(angle), np.sin(angle)
    turn = np.array([[cos, sin], [-sin, cos]])
    return Foot(foot.outline @ turn, foot.inner @ turn, foot.outer @ turn)


def drawn_round(foot: Foot, manner: Manner, chance: np.random.Generator, body: float | None = None) -> Drawn:
    """Return what a hand draws round a foot that stands on the sheet."""
    body = chance.normal(BODY[manner.tool], BODY_SD) if body is None else body
    closed = _line_round(foot, body / 2, chance)
    line = _open_at_the_wall(closed, body, chance) if manner.on_wall else closed
    shown = _without_heel(line, manner.open_heel) if manner.open_heel else line
    (low, high), (light, dark) = _STROKES[manner.tool]
    width = chance.uniform(low, high)
    darkness = chance.uniform(0.16, 0.24) if manner.faint else chance.uniform(light, dark)
    grainy = manner.tool == "pencil"
    strokes = [
        Stroke(points, width, darkness, grainy)
        for one in _doubled(shown, manner, chance)
        for points in _broken(one, manner, chance)
    ]
    # On the other foot's sheet each side's tick stands where the joint of the other side is.
    joints = (foot.outer, foot.inner) if manner.swapped_ticks else (foot.inner, foot.outer)
    inner_tick, inner = _tick(line, joints[0], 1.0, chance)
    outer_tick, outer = _tick(line, joints[1], -1.0, chance)
    for name, tick in (("inner", inner_tick), ("outer", outer_tick)):
        if name in manner.ticks:
            strokes.append(Stroke(tick, width, max(darkness, 0.2), grainy))
    return Drawn(foot, line, not manner.on_wall, inner, outer, tuple(strokes))


def _line_round(foot: Foot, half: float, chance: np.random.Generator) -> Array:
    """Return the closed curve of the tool's middle: half its body off the foot, leaning."""
    outline = foot.outline
    step = 0.5
    over = ALONG_OVER / 2 / step
    lean = gaussian_filter1d(chance.normal(size=len(outline)), over, mode="wrap")
    lean *= ALONG_SD * np.sqrt(2.0 * np.sqrt(np.pi) * over)
    off = half + chance.normal(scale=LEAN_SD) + lean
    tangent = gaussian_filter1d(np.roll(outline, -1, 0) - np.roll(outline, 1, 0), 2.0, axis=0, mode="wrap")
    tangent /= np.hypot(*tangent.T)[:, None]
    area = np.sum(outline[:, 0] * np.roll(outline[:, 1], -1) - np.roll(outline[:, 0], -1) * outline[:, 1])
    outward = np.stack([tangent[:, 1], -tangent[:, 0]], axis=1) * np.sign(area)
    moved = outline + outward * off[:, None]
    away = cKDTree(outline).query(moved)[0]
    # A tool as thick as that does not come into the clefts between toes.
    kept = even(moved[away > off - 0.25], 0.25)
    line = gaussian_filter1d(kept, 4.0, axis=0, mode="wrap")
    start = int(line[:, 0].argmin())
    line = np.roll(line, -start, axis=0)
    # From the heel up the inner side first.
    return line if line[len(line) // 5, 1] > line[-len(line) // 5, 1] else line[::-1]


def _open_at_the_wall(line: Array, body: float, chance: np.random.Generator) -> Array:
    """Return the line without what the tool could not draw: it ends some mm before the wall."""
    ends = [chance.uniform(max(3.0, body / 2 - 0.5), 12.0) for _ in range(2)]
    half = len(line) // 2
    first = int(np.nonzero(line[:half, 0] < ends[0])[0].max(initial=0)) + 1
    last = half + int(np.nonzero(line[half:, 0] < ends[1])[0].min(initial=len(line) - half)) - 1
    return line[first:last]


def _without_heel(line: Array, up_to: float) -> Array:
    low = np.nonzero(line[:, 0] >= up_to)[0]
    return line[low.min() : low.max() + 1]


def _doubled(line: Array, manner: Manner, chance: np.random.Generator) -> list[Array]:
    """Return the line once, or twice beside itself, over all of it or a part."""
    if not manner.doubled:
        return [line]
    tangent = gaussian_filter1d(np.gradient(line, axis=0), 6.0, axis=0)
    tangent /= np.hypot(*tangent.T)[:, None]
    normal = np.stack([tangent[:, 1], -tangent[:, 0]], axis=1)
    share = np.ones(len(line))
    if not manner.doubled_all:
        at, wide = chance.uniform(0.2, 0.8), chance.uniform(0.1, 0.25)
        place = np.linspace(0.0, 1.0, len(line))
        share = np.clip((wide - np.abs(place - at)) / 0.03, 0.0, 1.0)
    apart = normal * (share * manner.doubled / 2)[:, None]
    return [line + apart, line - apart]


def _broken(line: Array, manner: Manner, chance: np.random.Generator) -> list[Array]:
    """Return the pieces of a line with gaps left in it; none at the toes' tip nor by the ticks."""
    seen = np.ones(len(line), dtype=bool)
    step = 0.25
    tip = int(line[:, 0].argmax())
    reach = line[:, 0].max() - line[:, 0].min()
    share = (line[:, 0] - line[:, 0].min()) / reach
    allowed = (share > 0.1) & (share < 0.9) & ~((share > 0.58) & (share < 0.8))
    for _ in range(manner.gaps):
        middle = int(chance.choice(np.nonzero(allowed)[0]))
        half = int(chance.uniform(2.0, manner.longest_gap) / 2 / step)
        seen[max(middle - half, 0) : middle + half] = False
    if manner.toe_gap:
        half = int(manner.toe_gap / 2 / step)
        seen[tip - half : tip + half] = False
    pieces = np.split(np.arange(len(line)), np.nonzero(np.diff(seen.astype(int)))[0] + 1)
    tremor = gaussian_filter1d(chance.normal(scale=0.35, size=line.shape), 8.0, axis=0)
    return [(line + tremor)[piece] for piece in pieces if seen[piece[0]] and len(piece) > 8]


def _tick(line: Array, joint: Array, side: float, chance: np.random.Generator) -> tuple[Array, Array]:
    """Return a tick's two ends, and the point where it leads onto the line."""
    on_side = line[:, 1] * side > 10.0
    slip = chance.normal(scale=TICK_SD)
    wanted = joint + np.array([slip, 0.0])
    gap = np.where(on_side & (line[:, 0] > 0.4 * line[:, 0].max()), np.abs(line[:, 0] - wanted[0]), np.inf)
    near = int(gap.argmin())
    at = line[near]
    tangent = line[min(near + 12, len(line) - 1)] - line[near - 12]
    tangent = tangent / np.hypot(*tangent)
    outward = np.array([tangent[1], -tangent[0]])
    outward = outward if outward[1] * side > 0 else -outward
    slant = chance.normal(scale=np.radians(6.0))
    cos, sin = np.cos(slant), np.sin(slant)
    way = np.array([cos * outward[0] - sin * outward[1], sin * outward[0] + cos * outward[1]])
    start, long = chance.uniform(-1.0, 2.0), chance.uniform(6.0, 14.0)
    return np.stack([at + way * start, at + way * (start + long)]), at
