"""Rays out from the middle of a foot, so that the line round it crosses each of them once.

They start on the foot's middle line: fans at heel and forefoot, straight across between.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
from attrs import frozen

from heelball.sheet.values import Array

#: Where the fans stand along the foot [mm]: within the heel and the forefoot of feet of 200 to 340 mm.
_HEEL: Final = 40.0
_FOREFOOT: Final = 135.0
_SIDE_STEP: Final = 1.5
_TOE_STEP_DEG: Final = 0.8
_HEEL_STEP_DEG: Final = 2.0
#: Along a ray [mm].
STEP: Final = 0.5
_FROM: Final = 18.0


@frozen(eq=False)
class Rays:
    """Rays in order: from behind the heel up the inner side, round the toes, down the outer side.

    Parameters
    ----------
    starts, ways
        Shape (n, 2): where each begins [mm] (already `_FROM` out) and its unit direction.
    points
        Shape (n, m, 2): places along each, `STEP` apart.
    """

    starts: Array
    ways: Array
    points: Array

    def place(self, rows: Array) -> Array:
        """Return the points (n, 2) at a row, perhaps fractional, of each ray."""
        return self.starts + self.ways * (rows * STEP)[:, None]


@lru_cache(maxsize=4)
def rays(longest: float) -> Rays:
    """Return the rays for feet up to a length [mm]."""
    out = np.radians(np.arange(180.0, 90.0, -_HEEL_STEP_DEG))
    sides = np.arange(_HEEL, _FOREFOOT, _SIDE_STEP)
    toes = np.radians(np.arange(90.0, -90.0, -_TOE_STEP_DEG))
    inner = [(np.array([_HEEL, 0.0]), _way(angle)) for angle in out]
    inner += [(np.array([along, 0.0]), np.array([0.0, 1.0])) for along in sides]
    fan = [(np.array([_FOREFOOT, 0.0]), _way(angle)) for angle in toes]
    back = [(np.array([along, 0.0]), np.array([0.0, -1.0])) for along in sides[::-1]]
    back += [(np.array([_HEEL, 0.0]), _way(-angle)) for angle in out[::-1]]
    both = inner + fan + back
    ways = np.array([way for _, way in both])
    starts = np.array([start for start, _ in both]) + _FROM * ways
    reach = np.arange(0.0, longest + 20.0 - _FOREFOOT - _FROM, STEP)
    points = starts[:, None] + reach[None, :, None] * ways[:, None]
    return Rays(starts, ways, points)


def _way(angle: float) -> Array:
    return np.array([np.cos(angle), np.sin(angle)])
