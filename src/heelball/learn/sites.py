"""What each word says, seen from what all the others say: cavities, and sites made anew (MODEL 9)."""

from __future__ import annotations

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from heelball.gaussian.normal import Array
from heelball.learn.habits import STIFFNESSES, Habits
from heelball.learn.problem import Positions, Verdicts
from heelball.learn.run_prior import RUN
from heelball.learn.words import Heard, hear, limits


@frozen(eq=False)
class Sites:
    """A precision and a shift for each word [1/mm²], [1/mm], shapes (n,)."""

    precision: Array
    shift: Array

    @classmethod
    def none(cls, count: int) -> Sites:
        """Return sites that say nothing."""
        return cls(np.zeros(count), np.zeros(count))

    def summed(self, at: Positions, visits: int) -> tuple[Array, Array]:
        """Return the same added up by visit and slot, each of shape (visits, 10).

        Parameters
        ----------
        at
            Visit times ten plus slot of each word, shape (n,).
        """
        size = visits * 2 * RUN
        precision = np.bincount(at, weights=self.precision, minlength=size)
        shift = np.bincount(at, weights=self.shift, minlength=size)
        return precision.reshape(visits, -1), shift.reshape(visits, -1)


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
    """Return sites that give each cavity the mean its word gives it, and the variance if that is less.

    A word that is likely a lapse leaves its cavity wider than it was. Its site would have a
    negative precision, and several of those at once can leave no Gaussian at all: such a word
    moves the mean and leaves the variance.

    Parameters
    ----------
    damping
        How far to go from the sites before, 0 to 1.
    """
    left = 1 + cavity.variance * heard.bend
    fine = cavity.sound & (left > 1e-6)
    narrower = fine & (heard.bend < 0)
    bend = np.where(narrower, heard.bend, 0.0)
    safe = np.where(narrower, left, 1.0)
    precision = -bend / safe
    shift = (heard.slope - cavity.mean * bend) / safe
    step = np.where(fine, damping, 0.0)
    return Sites(
        before.precision + step * (precision - before.precision),
        before.shift + step * (shift - before.shift),
    )
