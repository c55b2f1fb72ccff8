"""Whether the line round a foot stands alone, or another was drawn beside it."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

from heelball.sheet.ink import Ink, price_of
from heelball.sheet.path import cheapest_path
from heelball.sheet.rays import Rays
from heelball.sheet.values import Mask, Refused

#: Nearer than this to the line all ink is the line's own: a doubled stroke, a felt pen's edge [mm].
OWN: Final = 3.2
#: A second line comes at least this far away; a doubled stroke does not [mm].
APART: Final = 3.7
#: A stretch of ink this long, all on one way round, may be a second line's [mm].
STRETCH: Final = 20.0
#: Such stretches are another outline from this share of the way round on; handwriting, tape and
#: scribbles come to less.
MOST_SHARE: Final = 0.25
#: A line drawn twice, the foot moved along by a few millimetres, parts from itself at the toes only:
#: there this much beside the line, no farther away than that, is enough, over the foremost of it [mm].
MOST_AT_TOES: Final = 15.0
BESIDE: Final = 10.0
FOREMOST: Final = 8.0

# Rays that a stroke may miss a few of without an end of it.
_MISSED: Final = 4
# Drawn with the same tool: of writing and scribbles the ink is mostly another.
_LEAST_INK, _MOST_INK = 0.45, 2.2
_BEND: Final = 0.006

_Float = npt.NDArray[np.float32]
_Whole = npt.NDArray[np.intp]


def check_alone(field: _Float, ink: Ink, around: Rays, rows: _Whole, strength: float) -> None:
    """Refuse a drawing with a second line round a foot.

    Parameters
    ----------
    field
        The ink along each ray.
    ink
        What it was taken from.
    around, rows
        The rays, and where the first line crosses each.
    strength
        How much ink the first line has.

    Raises
    ------
    Refused
        `two_outlines`.
    """
    reach = round(OWN / around.step)
    left = np.where(np.abs(np.arange(field.shape[1]) - rows[:, None]) < reach, 0, field)
    lengths = around.lengths
    cost = price_of(left, ink) * lengths[:, None]
    other = cheapest_path(cost, bend=_BEND, widest_step=5)
    found = left[np.arange(len(other)), other]
    on_ink = (found > max(4 * ink.noise, _LEAST_INK * strength)) & (found < _MOST_INK * strength)
    away = np.abs(other - rows) * around.step
    second = _stretches(on_ink, away, lengths)
    along, along_other = (around.place(way.astype(float))[:, 0] for way in (rows, other))
    foremost = np.maximum(along, along_other) > along.max() - FOREMOST
    at_toes = second & foremost & (away < BESIDE)
    if lengths[second].sum() > MOST_SHARE * lengths.sum() or lengths[at_toes].sum() > MOST_AT_TOES:
        raise Refused(
            "two_outlines",
            "There are two lines round a foot.",
            "Draw one foot once on a fresh sheet.",
        )


def _stretches(on_ink: Mask, away: npt.NDArray[np.float64], lengths: _Float) -> Mask:
    """Return where a way round runs on ink for long enough, and far enough from the line."""
    bridged = cv2.morphologyEx(
        on_ink.astype(np.uint8)[:, None], cv2.MORPH_CLOSE, np.ones((_MISSED + 1, 1), np.uint8)
    )[:, 0]
    second = np.zeros(len(on_ink), bool)
    for first, last in np.flatnonzero(np.diff(np.r_[0, bridged.astype(np.int8), 0])).reshape(-1, 2):
        long = lengths[first:last].sum() > STRETCH
        second[first:last] = long and np.percentile(away[first:last], 90) > APART
    return second
