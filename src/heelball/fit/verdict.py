"""When a place is too little, right or too much, and what each costs (MODEL 5 and 6)."""

from __future__ import annotations

import numpy as np
from attrs import frozen

from heelball.fit.wearer import PLACES
from heelball.gaussian.normal import Array
from heelball.gaussian.probability import below
from heelball.package_data import defaults


@frozen(eq=False)
class Costs:
    """What a certain wrong verdict costs in each place, on one foot, all day; shapes (5,)."""

    little: Array
    much: Array


def default_costs() -> Costs:
    """Return the shipped costs (judgement)."""
    pairs = np.array([defaults()["cost"][place] for place in PLACES])
    return Costs(pairs[:, 0], pairs[:, 1])


def thresholds(stiffness: str) -> tuple[Array, Array]:
    """Return lo and hi of each place for a boot of that stiffness [mm], shapes (5,).

    Only the ball's widen: a boot that bends easily forgives more there.
    """
    verdict = defaults()["verdict"]
    lo = np.array([verdict[place]["lo"] for place in PLACES])
    hi = np.array([verdict[place]["hi"] for place in PLACES])
    lo[0] *= verdict["stiffness"][stiffness]
    hi[0] *= verdict["stiffness"][stiffness]
    return lo, hi


def taste_sd() -> Array:
    """Return the sd of a wearer's taste in each place [mm], shape (5,)."""
    return np.array([defaults()["verdict"][place]["taste_sd"] for place in PLACES])


def chances(mean: Array, sd: Array, lo: Array, hi: Array) -> tuple[Array, Array]:
    """Return the chances of "too little" and "too much" of normal margins less taste.

    Parameters
    ----------
    mean, sd
        Of margin less taste [mm], of shapes that broadcast.
    lo, hi
        Thresholds [mm].
    """
    return below((lo - mean) / sd), below((mean - hi) / sd)
