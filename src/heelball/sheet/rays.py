"""Rays out from the middle of a foot, so that the line round it crosses each of them once.

They start on the foot's middle line: fans at heel and forefoot, straight across between.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
import numpy.typing as npt
from attrs import frozen

from heelball.sheet.values import Array

#: Where the fan of a forefoot stands while its length is not known yet [mm]: within one of 200 to 340 mm.
ANY_FOREFOOT: Final = 135.0
# Where it stands once it is: there the line round the toes crosses all rays about squarely.
_SHARE: Final = 0.67
_HEEL: Final = 40.0
_SIDE_STEP: Final = 1.5
_TOE_STEP_DEG: Final = 1.0
_HEEL_STEP_DEG: Final = 2.0
_FROM: Final = 18.0
_WIDEST: Final = 85.0


@frozen(eq=False)
class Rays:
    """Rays in order: from behind the heel up the inner side, round the toes, down the outer side.

    Parameters
    ----------
    starts, ways
        Shape (n, 2): where each begins [mm] (already `_FROM` out) and its unit direction.
    points
        Shape (n, m, 2): places along each.
    step
        How far these are apart [mm].
    """

    step: float
    starts: Array
    ways: Array
    points: Array

    @property
    def lengths(self) -> npt.NDArray[np.float32]:
        """How far the line goes from each ray to the next, about [mm], shape (n,)."""
        middle = self.points[:, self.points.shape[1] // 3]
        steps = np.linalg.norm(np.roll(middle, -1, axis=0) - middle, axis=1)
        return np.asarray(np.clip(steps, 0.5, 3.0), np.float32)

    def place(self, rows: Array) -> Array:
        """Return the points (n, 2) at a row, perhaps fractional, of each ray."""
        return self.starts + self.ways * (rows * self.step)[:, None]


def forefoot_of(length: float) -> float:
    """Return where the fan of a forefoot stands for a foot's length [mm], to whole 5 mm."""
    return 5.0 * round(_SHARE * length / 5.0)


@lru_cache(maxsize=32)
def rays(longest: float, forefoot: float = ANY_FOREFOOT, *, step: float = 0.5, every: int = 1) -> Rays:
    """Return the rays for feet up to a length [mm].

    Parameters
    ----------
    longest
        They reach a little farther than this.
    forefoot
        Where the fan of the toes stands along the foot [mm].
    step
        Between places on a ray [mm].
    every
        Only so many of the rays.
    """
    out = np.radians(np.arange(180.0, 90.0, -_HEEL_STEP_DEG))
    sides = np.arange(_HEEL, forefoot, _SIDE_STEP)
    toes = np.radians(np.arange(90.0, -90.0, -_TOE_STEP_DEG))
    inner = [(np.array([_HEEL, 0.0]), _way(angle)) for angle in out]
    inner += [(np.array([along, 0.0]), np.array([0.0, 1.0])) for along in sides]
    fan = [(np.array([forefoot, 0.0]), _way(angle)) for angle in toes]
    back = [(np.array([along, 0.0]), np.array([0.0, -1.0])) for along in sides[::-1]]
    back += [(np.array([_HEEL, 0.0]), _way(-angle)) for angle in out[::-1]]
    both = (inner + fan + back)[::every]
    ways = np.array([way for _, way in both])
    starts = np.array([start for start, _ in both]) + _FROM * ways
    # Far enough for the widest foot too, however far forward the fan stands.
    reach = np.arange(0.0, max(longest + 20.0 - forefoot, _WIDEST) - _FROM, step)
    points = starts[:, None] + reach[None, :, None] * ways[:, None]
    return Rays(step, starts, ways, points)


def _way(angle: float) -> Array:
    return np.array([np.cos(angle), np.sin(angle)])
