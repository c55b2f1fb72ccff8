"""Margins between boot and foot: one joint Gaussian of foot, gauge and run for each last (MODEL 3, 4)."""

from __future__ import annotations

from typing import Final

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from heelball.fit.shelf import Shelf
from heelball.fit.wearer import PLACES
from heelball.foot.evidence import offset_index, state_index
from heelball.foot.prior import STATE_SIZE
from heelball.foot.vector import FEET, Measure
from heelball.gaussian.normal import Array, Gaussian
from heelball.last.built_for import RUN_PLACES
from heelball.last.run import (
    GRADE,
    LETTER_GRADE,
    LETTER_PLACES,
    OFFSET_PLACES,
    PLACE,
    RUN_STATE,
    SIZES,
    one_size,
)

#: The measure of the foot that each place of a boot is held against.
MEASURE_AT: Final[dict[str, Measure]] = {
    "ball": "ball",
    "toe": "length",
    "breadth": "breadth",
    "girth": "girth",
    "heel": "heel",
}

#: Margins of one label: left foot's five places, then the right foot's.
MARGINS: Final = len(FEET) * len(PLACES)

_OWN: Final = RUN_STATE - len(OFFSET_PLACES)
_SLOPES: Final = len(PLACES)
_LETTER_SLOPES: Final = len(LETTER_PLACES)


@frozen(eq=False)
class Margins:
    """The margins of every label of N lasts in the ordinary state, for one population.

    Parameters
    ----------
    mean, variance
        Shape (N, M, 10) [mm], [mm²].
    parts
        Covariance of what a label's margins are made of, shape (N, 17, 17): the ten margins of
        a label at the reference length and the average letter, five slopes a size, two a letter.
    toward
        Covariance of those parts with each further number of the wearer's state (imagined
        readings), shape (N, 17, K).
    further_variance
        Variance of those further numbers given a last's evidence, shape (N, K, K).
    further_mean
        Their means, shape (N, K).
    """

    mean: Array
    variance: Array
    parts: Array
    toward: Array
    further_mean: Array
    further_variance: Array

    def covariance(self, shelf: Shelf, last: NDArray[np.intp], label: NDArray[np.intp]) -> Array:
        """Return the margins' covariance of some labels, shape (k, 10, 10).

        Parameters
        ----------
        last, label
            Which labels: positions on the shelf, shapes (k,).
        """
        make = _make_up(shelf.sizes_off[last, label], shelf.letters[last, label])
        cov: Array = make @ self.parts[last] @ np.swapaxes(make, -1, -2)
        return cov

    def toward_further(self, shelf: Shelf) -> Array:
        """Return the covariance of every label's margins with the further numbers, (N, M, 10, K)."""
        make = _make_up(shelf.sizes_off, shelf.letters)
        cov: Array = make @ self.toward[:, None]
        return cov


def _make_up(sizes_off: Array, letters: Array) -> Array:
    """Return how ten margins are made of the 17 parts, shape ``sizes_off.shape + (10, 17)``."""
    make = np.zeros((*sizes_off.shape, MARGINS, MARGINS + _SLOPES + _LETTER_SLOPES))
    for i in range(MARGINS):
        place = i % len(PLACES)
        make[..., i, i] = 1.0
        make[..., i, MARGINS + place] = sizes_off
        if PLACES[place] in LETTER_PLACES:
            make[..., i, MARGINS + _SLOPES + LETTER_PLACES.index(PLACES[place])] = letters
    return make


def margins_of(shelf: Shelf, wearer: Gaussian) -> Margins:
    """Condition foot, gauge and run on each last's evidence and return every label's margins.

    Parameters
    ----------
    shelf
        The lasts.
    wearer
        Both feet and the gauge's offsets (13 numbers) given the readings, then any further
        numbers to carry along.

    Notes
    -----
    Foot and run share the gauge's offsets, so they are conditioned in one Gaussian; adding the
    offsets' variance to foot and run apart would count it twice.
    """
    n, wide = len(shelf.lasts), len(wearer.mean)
    mean = np.zeros((n, wide + _OWN))
    mean[:, :wide] = wearer.mean
    cov = np.zeros((n, wide + _OWN, wide + _OWN))
    cov[:, :wide, :wide] = wearer.cov
    own = np.arange(wide, wide + _OWN)
    cov[:, own, own] = shelf.own_variance
    first_offset = STATE_SIZE - len(OFFSET_PLACES)
    columns = np.concatenate([np.arange(first_offset, STATE_SIZE), own])
    for design, value, variance in zip(shelf.design, shelf.value, shelf.variance, strict=True):
        told = np.flatnonzero(design.any(axis=1))
        row = design[told]
        cross = np.einsum("nij,nj->ni", cov[told][:, :, columns], row)
        spread = np.einsum("nj,nj->n", cross[:, columns], row) + variance[told]
        miss = value[told] - np.einsum("nj,nj->n", mean[told][:, columns], row)
        gain = cross / spread[:, None]
        mean[told] += gain * miss[:, None]
        cov[told] -= gain[:, :, None] * cross[:, None, :]
    return read_margins(shelf, mean, cov)


def read_margins(shelf: Shelf, mean: Array, cov: Array) -> Margins:
    """Return every label's margins where wearer and runs are known together.

    Parameters
    ----------
    shelf
        N lasts; their own evidence is in what is given already.
    mean, cov
        For each last: both feet and the gauge's offsets (13 numbers), any further numbers, then
        the run's own state (13 numbers); shapes (N, k), (N, k, k).
    """
    n, wide = len(mean), mean.shape[1] - _OWN
    build = np.zeros((n, MARGINS + _SLOPES + _LETTER_SLOPES, wide + _OWN))
    at_run = wide - len(OFFSET_PLACES)
    for i, foot in enumerate(FEET):
        for place, name in enumerate(PLACES):
            line = i * len(PLACES) + place
            build[:, line, state_index(foot, MEASURE_AT[name])] = -1.0
            build[:, line, at_run + SIZES] = one_size()[RUN_PLACES.index(name)]
            build[:, line, at_run + PLACE + place] = 1.0
            if name in OFFSET_PLACES:
                build[shelf.in_frame, line, offset_index(MEASURE_AT[name])] = -1.0
    for place in range(_SLOPES):
        build[:, MARGINS + place, at_run + GRADE + place] = 1.0
    for letter in range(_LETTER_SLOPES):
        build[:, MARGINS + _SLOPES + letter, at_run + LETTER_GRADE + letter] = 1.0
    carried = build @ cov
    parts = carried @ np.swapaxes(build, -1, -2)
    toe = [i * len(PLACES) + PLACES.index("toe") for i in range(len(FEET))]
    for one in toe:
        parts[:, one, toe] += shelf.toe_variance[:, None]
    part_mean = np.einsum("nij,nj->ni", build, mean)
    label_mean = np.tile(shelf.built, (1, 1, len(FEET))) + part_mean[:, None, :MARGINS]
    variance = np.repeat(
        np.diagonal(parts, axis1=1, axis2=2)[:, None, :MARGINS], shelf.letters.shape[1], axis=1
    )
    off, letters = shelf.sizes_off, shelf.letters
    for i in range(MARGINS):
        place = i % len(PLACES)
        terms = [(off, MARGINS + place)]
        if PLACES[place] in LETTER_PLACES:
            terms.append((letters, MARGINS + _SLOPES + LETTER_PLACES.index(PLACES[place])))
        for times, part in terms:
            label_mean[:, :, i] += times * part_mean[:, None, part]
            variance[:, :, i] += 2 * times * parts[:, None, i, part]
            for other_times, other in terms:
                variance[:, :, i] += times * other_times * parts[:, None, part, other]
    return Margins(
        mean=label_mean,
        variance=variance,
        parts=parts,
        toward=carried[:, :, STATE_SIZE:wide],
        further_mean=mean[:, STATE_SIZE:wide],
        further_variance=cov[:, STATE_SIZE:wide, STATE_SIZE:wide],
    )
