"""What was drawn: thin dark strokes on the paper, told from shadows, folds and the light's fall."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
import numpy.typing as npt
from attrs import frozen

from heelball.sheet.values import Array, Plan

#: Strokes up to this width are strokes [mm]; what is wider is a shadow, or print.
WIDEST: Final = 3.5
#: Ink of this many sd costs a way half of what bare paper does.
HALF_PRICE_SDS: Final = 4.0
# Fine grain is smoothed away over this much [mm]: less than the width of a pencil's line.
_GRAIN: Final = 0.3

# The printed axis is a band no wider than this, and lies no farther aside than that, even on a second
# page that is laid askew [mm].
_AXIS_WIDE: Final = 2.6
_AXIS_ASIDE: Final = 9.0

_Float = npt.NDArray[np.float32]


@frozen(eq=False)
class Ink:
    """How much darker than the bare paper about it each place is, as a share of the paper's light.

    Parameters
    ----------
    values
        Shape of the plan; 0 where nothing can be told; on the printed axis, what both sides of it say.
    noise
        Standard deviation where nothing is drawn.
    plan
        What it was read from.
    """

    values: _Float
    noise: float
    plan: Plan

    def at(self, mm: Array) -> _Float:
        """Return the ink at points (..., 2) of the foot's frame [mm]; 0 off the plan."""
        plan = self.plan
        columns = ((mm[..., 0] - plan.along_from) * plan.px_per_mm).astype(np.float32)
        rows = ((mm[..., 1] - plan.across_from) * plan.px_per_mm).astype(np.float32)
        return np.asarray(cv2.remap(self.values, columns, rows, cv2.INTER_LINEAR), np.float32)


def ink_of(plan: Plan) -> Ink:
    """Return what was drawn on a plan.

    A closing lifts thin dark strokes to the light of the paper about them and leaves the edge of a
    shadow where it is: what it lifted by is the ink.
    """
    grain = _GRAIN * plan.px_per_mm
    smooth = cv2.GaussianBlur(plan.grey, (0, 0), grain)
    wide = int(WIDEST * plan.px_per_mm) | 1
    bare = cv2.morphologyEx(smooth, cv2.MORPH_CLOSE, np.ones((wide, wide), np.uint8))
    lifted = cv2.subtract(bare, smooth).astype(np.float32)
    values = lifted / np.maximum(bare, 16).astype(np.float32)
    # A closing takes the brightest grain about for the paper: what it lifts bare paper by is no ink.
    sample = values[plan.free][::7]
    middle = float(np.median(sample)) if sample.size else 0.0
    noise = 1.4826 * float(np.median(np.abs(sample - middle))) if sample.size else 0.0
    around = cv2.blur(np.minimum(values, middle + 3 * noise), (8 * wide | 1, 8 * wide | 1))
    told = np.asarray(np.maximum(values - around, 0), np.float32)
    told[~plan.free] = 0
    _carry_over_axis(told, plan)
    return Ink(told, max(noise, 1 / 512), plan)


def _carry_over_axis(values: _Float, plan: Plan) -> None:
    """Take what the printed axis hides from either side of it: a line that crosses it goes on."""
    first, last = (
        round((aside - plan.across_from) * plan.px_per_mm) for aside in (-_AXIS_ASIDE, _AXIS_ASIDE)
    )
    free, ink = plan.free[first:last], values[first:last]
    rows = np.arange(len(free))[:, None]
    before = np.maximum.accumulate(np.where(free, rows, -len(free)), axis=0)
    after = np.minimum.accumulate(np.where(free, rows, 2 * len(free))[::-1], axis=0)[::-1]
    row, column = np.nonzero(~free & (after - before - 1 <= _AXIS_WIDE * plan.px_per_mm))
    above, below = before[row, column], after[row, column]
    share = (row - above) / (below - above)
    ink[row, column] = (1 - share) * ink[above, column] + share * ink[below, column]


def price_of(field: _Float, ink: Ink) -> _Float:
    """Return what a way costs a millimetre: 1 on bare paper, toward 0 where there is much ink.

    Parameters
    ----------
    field
        Ink, of any shape.
    ink
        What it was taken from.
    """
    half = np.float32(HALF_PRICE_SDS * ink.noise)
    # Squared, so that what the grain adds up to over a long way stays dear.
    return np.asarray(1 / (1 + (field / half) ** 2), np.float32)
