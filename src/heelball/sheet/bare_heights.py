"""How high over the paper the edge of a bare foot is that a camera sees: a prior from one modelled foot.

Whoever looks past a foot's side from the far side sees its back's slope, higher than its widest rim;
from the near side, the rim's lower turn. Seen points are set right as if they stood at one height,
which depends on how flatly the camera looks over them.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from attrs import frozen

from heelball.sheet.values import Array

#: How far the way of sight leads outward for each mm that it falls: below 0 the camera stands beyond
#: the edge, above 0 it looks over the foot.
SLOPES: Final = np.array([-0.6, -0.3, 0.0, 0.3, 0.6])
#: Shares of the length that the sides' heights are given at.
SHARES: Final = np.array([0.5, 0.6, 0.7, 0.8, 0.9])
#: Heights [mm] of the shared mesh, `MESH_LENGTH` long, rounded: by share and slope.
INNER_HEIGHTS: Final = np.array(
    [
        [28.5, 33.5, 38.5, 43.0, 50.0],
        [18.5, 21.0, 26.5, 32.0, 37.5],
        [13.5, 16.0, 20.0, 25.5, 29.0],
        [14.0, 17.0, 20.0, 23.5, 26.0],
        [11.0, 12.5, 14.0, 16.0, 18.5],
    ]
)
OUTER_HEIGHTS: Final = np.array(
    [
        [12.0, 13.5, 16.5, 20.0, 24.5],
        [11.5, 13.5, 14.5, 17.0, 20.0],
        [9.5, 11.5, 13.5, 16.0, 18.5],
        [8.0, 9.0, 10.0, 12.0, 14.0],
        [10.5, 12.0, 13.5, 15.5, 17.5],
    ]
)
#: Of either end, by slope; of the heel what is below 50 mm, for the ankle over it is no heel.
HEEL_HEIGHTS: Final = np.array([18.5, 22.5, 27.0, 33.0, 38.0])
TOE_HEIGHTS: Final = np.array([14.5, 14.5, 15.0, 15.5, 16.0])
#: The two ball points themselves, inner and outer.
JOINT_HEIGHTS: Final = np.array([21.0, 14.5])
MESH_LENGTH: Final = 264.0

# The heel's height counts to the first of these shares and the sides' from the second; so with the toes.
_HEEL_TO: Final = (0.1, 0.3)
_TOES_FROM: Final = (0.88, 0.94)
# Inner and outer side pass into each other about the axis, over this many mm.
_SOFT: Final = 5.0


@frozen
class Unsure:
    """What is not known of how the foot is seen, and is given with standard deviations.

    Parameters
    ----------
    common, heel, toes, inner, outer
        How much higher than the prior the edge is [mm]: all of it, and places of it.
    turn_deg
        Of the axis.
    """

    common: float = 0.0
    heel: float = 0.0
    toes: float = 0.0
    inner: float = 0.0
    outer: float = 0.0
    turn_deg: float = 0.0


#: Standard deviations of `Unsure`: judgement; no source.
UNSURE: Final = Unsure(common=5.0, heel=5.0, toes=5.0, inner=6.0, outer=6.0, turn_deg=1.5)


def edge_heights(at: Array, side: Array, slopes: Array, length: float, unsure: Unsure) -> Array:
    """Return how high the edge is where it is seen [mm].

    Parameters
    ----------
    at
        Shares of the length, shape (n,).
    side
        From the axis to the inner side [mm].
    slopes
        How far the way of sight leads toward the toes and toward the inner side for each mm that it
        falls, shape (n, 2).
    length
        Of the foot [mm]; a longer one is higher.
    """
    to_inner = 1 / (1 + np.exp(-np.clip(side / _SOFT, -30, 30)))
    inner = _between(INNER_HEIGHTS, at, slopes[:, 1])
    outer = _between(OUTER_HEIGHTS, at, -slopes[:, 1])
    heel = np.interp(-slopes[:, 0], SLOPES, HEEL_HEIGHTS)
    toes = np.interp(slopes[:, 0], SLOPES, TOE_HEIGHTS)
    of_heel, of_toes = np.interp(at, _HEEL_TO, (1.0, 0.0)), np.interp(at, _TOES_FROM, (0.0, 1.0))
    sides = to_inner * inner + (1 - to_inner) * outer
    heights = of_heel * heel + of_toes * toes + (1 - of_heel - of_toes) * sides
    more = to_inner * unsure.inner + (1 - to_inner) * unsure.outer
    more = of_heel * unsure.heel + of_toes * unsure.toes + (1 - of_heel - of_toes) * more
    return np.asarray(heights * length / MESH_LENGTH + more + unsure.common)


def joint_heights(length: float, unsure: Unsure) -> Array:
    """Return how high the inner and the outer ball point are [mm]."""
    more = np.array([unsure.inner, unsure.outer]) + unsure.common
    return np.asarray(JOINT_HEIGHTS * length / MESH_LENGTH + more)


def _between(table: Array, at: Array, slopes: Array) -> Array:
    """Return the table's heights at shares and slopes that lie between its own."""
    steps = np.clip(np.interp(at, SHARES, np.arange(len(SHARES))), 0, len(SHARES) - 1 - 1e-9)
    low = steps.astype(int)
    part = steps - low
    by_share = np.stack([np.interp(slopes, SLOPES, row) for row in table])
    each = np.arange(len(at))
    return np.asarray(by_share[low, each] * (1 - part) + by_share[low + 1, each] * part)
