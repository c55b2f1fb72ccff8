"""What each word says, seen from what all the others say: cavities, and sites made anew (MODEL 9)."""

from __future__ import annotations

from typing import Final

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from heelball.gaussian.normal import Array
from heelball.learn.habits import STIFFNESSES, Habits
from heelball.learn.problem import Positions, Verdicts
from heelball.learn.run_prior import RUN
from heelball.learn.words import Heard, hear, limits

#: The widest a word may leave its cavity: this share of the cavity's precision taken off.
_WIDEST: Final = 0.3


@frozen(eq=False)
class Sites:
    """A precision and a shift for each word [1/mm²], [1/mm], shapes (n,)."""

    precision: Array
    shift: Array

    @classmethod
    def none(cls, count: int) -> Sites:
        """Return sites that say nothing."""
        return cls(np.zeros(count), np.zeros(count))

    def without_doubt(self, doubted: NDArray[np.bool_]) -> Sites:
        """Return the same where some words no longer take any precision off.

        Parameters
        ----------
        doubted
            Which words, shape (n,).
        """
        none = doubted & (self.precision < 0)
        return Sites(np.where(none, 0.0, self.precision), np.where(none, 0.0, self.shift))

    def summed(self, at: Positions, visits: int) -> tuple[Array, Array]:
        """Return the same added up by visit and slot, each of shape (visits, 10).

        Parameters
        ----------
        at
            Visit times ten plus slot of each word, shape (n,).
        """
        size = visits * 2 * RUN
        precision: Array = np.bincount(at, weights=self.precision, minlength=size).astype(
            np.float64, copy=False
        )
        shift: Array = np.bincount(at, weights=self.shift, minlength=size).astype(np.float64, copy=False)
        return precision.reshape(visits, 2 * RUN), shift.reshape(visits, 2 * RUN)


@frozen(eq=False)
class Cavities:
    """Each word's z as all other words have it: mean and variance, and which can be had at all.

    A word whose own site stands against the others so that nothing is left of them has none.
    """

    mean: Array
    variance: Array
    sound: NDArray[np.bool_]


def cavities(mean: Array, variance: Array, sites: Sites) -> Cavities:
    """Return each word's cavity.

    Parameters
    ----------
    mean, variance
        Of each word's z, the word's own site included, shapes (n,).
    """
    precision = 1 / variance
    left = precision - sites.precision
    sound = (variance > 0) & (left > 1e-3 * precision)
    safe = np.where(sound, left, 1.0)
    return Cavities((mean * precision - sites.shift) / safe, 1 / safe, sound)


@frozen(eq=False)
class Bands:
    """Thresholds and scatter of each word, shapes (n,)."""

    lower: Array
    upper: Array
    scatter_variance: Array
    lapse: float

    @classmethod
    def of(cls, verdicts: Verdicts, habits: Habits) -> Bands:
        """Return the bands that words of some habits stand between."""
        place = verdicts.slot % RUN
        ends = np.array([habits.bands(stiffness) for stiffness in STIFFNESSES])
        lo = ends[verdicts.stiffness, 0, place]
        hi = ends[verdicts.stiffness, 1, place]
        lower, upper = limits(verdicts.word, lo, hi)
        return cls(lower, upper, habits.scatter_sd[place] ** 2, habits.lapse)


def heard_from(cavity: Cavities, verdicts: Verdicts, bands: Bands) -> Heard:
    """Return what each word says where its cavity stands."""
    return hear(
        verdicts.boot + cavity.mean,
        cavity.variance + bands.scatter_variance,
        bands.lower,
        bands.upper,
        bands.lapse,
    )


def made_anew(cavity: Cavities, heard: Heard, before: Sites, damping: float) -> Sites:
    """Return sites that give each cavity the mean and variance its word gives it, damped.

    A word that is likely a lapse leaves its cavity wider than it was: its site has a negative
    precision, which is held to `_WIDEST` of the cavity's so that no word undoes what others say.

    Parameters
    ----------
    damping
        How far to go from the sites before, 0 to 1.
    """
    left = 1 + cavity.variance * heard.bend
    fine = cavity.sound & (left > 1e-6)
    safe = np.where(fine, left, 1.0)
    known = 1 / cavity.variance
    precision = np.maximum(-heard.bend / safe, -_WIDEST * known)
    # Whatever the precision, the mean is the one the word gives.
    told = cavity.mean + cavity.variance * heard.slope
    shift = told * (known + precision) - cavity.mean * known
    step = np.where(fine, damping, 0.0)
    return Sites(
        before.precision + step * (precision - before.precision),
        before.shift + step * (shift - before.shift),
    )
