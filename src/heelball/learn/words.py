"""What a word of a report says of the margin it is about (MODEL 5 and 9)."""

from __future__ import annotations

from typing import Final

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from heelball.gaussian.normal import Array
from heelball.gaussian.probability import below

#: Where one over the root of two pi stands in a normal density.
_DENSITY: Final = 1 / np.sqrt(2 * np.pi)

#: Chances are never taken to be less: far out only the lapse speaks, or nothing.
_LEAST: Final = 1e-300


@frozen(eq=False)
class Heard:
    """The log chance of each word, and what it says of the mean of the margin less taste.

    Parameters
    ----------
    log_chance
        Shape (n,).
    slope, bend
        First and second derivative of the log chance by the mean [1/mm], [1/mm²], shapes (n,).
    edge
        Derivative of the log chance as each end of the word moves out [1/mm], shape (n,).
    """

    log_chance: Array
    slope: Array
    bend: Array
    edge: Array


def limits(word: NDArray[np.integer], lo: Array, hi: Array) -> tuple[Array, Array]:
    """Return between which margins less taste each word is meant [mm], infinite at the ends.

    Parameters
    ----------
    word
        Positions in `VERDICTS`, shape (n,).
    lo, hi
        Thresholds [mm], shapes (n,).
    """
    lower = np.where(word == 0, -np.inf, np.where(word == 1, lo, hi))
    upper = np.where(word == 0, lo, np.where(word == 1, hi, np.inf))
    return lower, upper


def hear(mean: Array, variance: Array, lower: Array, upper: Array, lapse: float) -> Heard:
    """Return what words say where the margin less taste, scatter included, is normal.

    Parameters
    ----------
    mean, variance
        Of the margin less taste and plus scatter [mm], [mm²], shapes (n,).
    lower, upper
        Between which each word is meant [mm], shapes (n,).
    lapse
        How often a word is said whatever the margin, each of the three alike.

    Notes
    -----
    The chance is ``(1 - lapse) (Phi((upper - mean) / sd) - Phi((lower - mean) / sd)) + lapse / 3``.
    """
    sd = np.sqrt(variance)
    a, b = (lower - mean) / sd, (upper - mean) / sd
    # Of two tails the one on the near side: their difference loses no digits far out.
    flip = a > 0
    near, far = np.where(flip, -b, a), np.where(flip, -a, b)
    inside = below(far) - below(near)
    chance = np.maximum((1 - lapse) * inside + lapse / 3, _LEAST)
    at_a, at_b = _DENSITY * np.exp(-0.5 * a**2), _DENSITY * np.exp(-0.5 * b**2)
    weight = (1 - lapse) / chance
    slope = weight * (at_a - at_b) / sd
    drop = np.where(np.isfinite(a), a, 0.0) * at_a - np.where(np.isfinite(b), b, 0.0) * at_b
    bend = weight * drop / variance - slope**2
    return Heard(np.log(chance), slope, bend, weight * (at_a + at_b) / sd)
