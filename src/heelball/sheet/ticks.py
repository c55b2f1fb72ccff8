"""The two ticks at the ball joints: short strokes out from the line, one on each side."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
import numpy.typing as npt
from attrs import evolve, frozen

from heelball.sheet.drawing import of_the_other_foot
from heelball.sheet.ink import Ink
from heelball.sheet.values import Array, DrawnLine, Refused, Ticks
from heelball.sheet.ways import evenly, normals_of

#: Where along the length the two ball joints lie, in parts of it, and how far from there a stroke is
#: still weighed as their tick's: the survey's mean and, for a hand's 2 mm and odd feet, more than its sd.
JOINTS: Final = {"inner": (0.74, 0.035), "outer": (0.65, 0.04)}
_FARTHEST_SDS: Final = 3.0
# Where the ticks of the other foot stand: at each side the joint of the other.
_CROSSED: Final = {"inner": "outer", "outer": "inner"}
#: Shortest stroke that is a tick, and how far from the line it may begin [mm].
SHORTEST: Final = 3.5
FARTHEST_START: Final = 4.0

_STEP: Final = 0.25
_OUT_STEP: Final = 0.5
_OUT_TO: Final = 17.0
_LINE_HALF: Final = 1.0  # this near the line its own ink hides the tick's [mm]
# A tick may lean by this much from square to the line (tangent), tried in these steps.
_SLANTS: Final = np.arange(-0.8, 0.81, 0.1)
_INK_SDS: Final = 3.5
_LEAST_INK: Final = 0.15
_BREAK: Final = 1.0
# A second stroke of this share of the first's length makes it doubtful which is meant.
_RIVAL: Final = 0.75
_APART: Final = 4.0
# A tick of this length is a long one [mm].
_LONG: Final = 9.0
#: What a tick's meeting with the line is read to [mm].
READ_SD: Final = 0.3

_Float = npt.NDArray[np.float32]


@frozen(eq=False)
class _Stroke:
    """One stroke beside the line: where it meets it, how long it is, how dark, how likely there."""

    at: int
    length: float
    ink: float
    likely: float

    @property
    def weight(self) -> float:
        """How far it speaks for itself: what is longer than a tick, or darker, speaks no louder."""
        return min(self.length, _LONG) * float(np.sqrt(self.ink)) * self.likely


def find_ticks(ink: Ink, line: DrawnLine) -> Ticks:
    """Find the ticks at the inner and the outer ball joint.

    Parameters
    ----------
    ink, line
        What was drawn on the paper, and the line in it.

    Raises
    ------
    Refused
        `ticks`: none on a side, or several that could each be meant. `wrong_foot`: each where the
        joint of the other side is.
    """
    way = evenly(line.points, _STEP)
    beside = _Beside(ink, line, way, normals_of(way, smooth=16))
    found = {side: beside.strokes(side, joint=side) for side in JOINTS}
    if not all(found.values()):
        crossed = [beside.strokes(side, joint=joint) for side, joint in _CROSSED.items()]
        if all(crossed):
            inner, outer = (way[strokes[0].at] for strokes in crossed)
            if inner[0] < outer[0]:
                raise of_the_other_foot()
    inner, outer = (way[_the_one(strokes, side).at] for side, strokes in found.items())
    return Ticks(inner, outer, READ_SD, READ_SD)


class _Beside:
    """The paper beside a line, where strokes out from it are looked for."""

    def __init__(self, ink: Ink, line: DrawnLine, way: Array, normals: Array) -> None:
        self._ink, self._way, self._normals = ink, way, normals
        tip = int(way[:, 0].argmax())
        start = 0.0 if not line.closed else float(way[:, 0].min())
        self._share = (way[:, 0] - start) / (way[tip, 0] - start)
        self._side = {"inner": np.arange(len(way)) < tip, "outer": np.arange(len(way)) > tip}
        over = np.arange(-_LINE_HALF, _LINE_HALF + _STEP / 2, _STEP)
        across = ink.at(way[:, None] + over[None, :, None] * normals[:, None])
        # Drawn with the same tool: what is much fainter than the line is grain, or a fold.
        self._limit = max(_INK_SDS * ink.noise, _LEAST_INK * float(np.median(across.max(axis=1))))

    def strokes(self, side: str, joint: str) -> list[_Stroke]:
        """Return the strokes on a side that may be the tick of a side's joint, the likeliest first."""
        middle, sd = JOINTS[joint]
        away = (self._share - middle) / sd
        allowed = np.flatnonzero(self._side[side] & (np.abs(away) < _FARTHEST_SDS))
        return _strokes(self._ink, self._way, self._normals, allowed, away, self._limit)


def _strokes(
    ink: Ink, way: Array, normals: Array, allowed: npt.NDArray[np.intp], away: Array, limit: float
) -> list[_Stroke]:
    """Return the strokes that go out from a stretch of the line, of more ink than a limit."""
    if len(allowed) < 8:
        return []
    spare = round(_OUT_TO * float(_SLANTS[-1]) / _STEP) + 2
    first, last = max(allowed[0] - spare, 0), min(allowed[-1] + spare + 1, len(way))
    out = np.arange(0.0, _OUT_TO, _OUT_STEP)
    strip = ink.at(way[first:last, None] + out[None, :, None] * normals[first:last, None])
    # Only what is narrow along the line is a stroke out from it: the line beside it, tape and
    # shadows are as dark a little farther on.
    narrow = int(3.0 / _STEP) | 1
    strip = strip - cv2.morphologyEx(strip, cv2.MORPH_OPEN, np.ones((narrow, 1), np.uint8))
    outside = out >= _LINE_HALF
    # One layer a slant, each sheared so that a stroke of that slant goes straight out.
    layers = np.stack([_sheared(strip, out * slant / _STEP)[:, outside] for slant in _SLANTS])
    lengths, inks = _runs(layers, limit)
    slants, places = np.nonzero(lengths >= SHORTEST)
    found = [
        _Stroke(
            int(at) + first,
            float(lengths[slant, at]),
            float(inks[slant, at]),
            float(np.exp(-(away[at + first] ** 2) / 2)),
        )
        for slant, at in zip(slants, places, strict=True)
        if allowed[0] <= at + first <= allowed[-1]
    ]
    return _apart(found)


def _sheared(strip: _Float, shift: Array) -> _Float:
    """Return the strip with each distance out moved along the line by so many rows."""
    rows, columns = strip.shape
    along = np.arange(rows, dtype=np.float32)[:, None] + shift[None].astype(np.float32)
    across = np.broadcast_to(np.arange(columns, dtype=np.float32)[None], strip.shape)
    return np.asarray(cv2.remap(strip, np.ascontiguousarray(across), along, cv2.INTER_LINEAR), np.float32)


def _runs(layers: _Float, limit: float) -> tuple[Array, Array]:
    """Return how long the stroke is that begins near the line [mm], and its mean ink.

    Parameters
    ----------
    layers
        Shape (slants, places along the line, distances out).

    Returns
    -------
    tuple
        Each of shape (slants, places).
    """
    dark = layers > limit
    length, total, empty = (np.zeros(layers.shape[:2]) for _ in range(3))
    begun, over = (np.zeros(layers.shape[:2], bool) for _ in range(2))
    for column in range(layers.shape[2]):
        here = dark[..., column] & ~over
        begun |= here
        length += _OUT_STEP * here
        total += np.where(here, layers[..., column], 0)
        empty = np.where(here, 0, empty + _OUT_STEP)
        over |= np.where(begun, empty > _BREAK, empty > FARTHEST_START)
    return length, total / np.maximum(length / _OUT_STEP, 1)


def _apart(strokes: list[_Stroke]) -> list[_Stroke]:
    """Return one of the strokes that stand close together, the strongest first.

    They are one stroke at several slants. It meets the line where the one among them does that
    follows the ink; the strongest may slant toward where a joint is likely.
    """
    kept: list[_Stroke] = []
    left = strokes
    while left:
        follows = max(left, key=lambda one: one.length * one.ink)
        near = [abs(one.at - follows.at) * _STEP <= _APART for one in left]
        strongest = max(
            (one for one, same in zip(left, near, strict=True) if same), key=lambda one: one.weight
        )
        kept.append(evolve(strongest, at=follows.at))
        left = [one for one, same in zip(left, near, strict=True) if not same]
    return sorted(kept, key=lambda one: -one.weight)


def _the_one(strokes: list[_Stroke], side: str) -> _Stroke:
    remedy = (
        f"Draw one short tick at the {side} ball joint, out from the line, and photograph the sheet again."
    )
    if not strokes:
        raise Refused("ticks", f"No tick is to be seen at the {side} ball joint.", remedy)
    if len(strokes) > 1 and strokes[1].weight > _RIVAL * strokes[0].weight:
        raise Refused("ticks", f"There is more than one stroke that could be the {side} tick.", remedy)
    return strokes[0]
