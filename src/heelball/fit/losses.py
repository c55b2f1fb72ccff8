"""Chances, losses and joint chances of labels, over the day and the populations (MODEL 5 and 6)."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from heelball.fit.day import growth
from heelball.fit.margins import MARGINS, Margins
from heelball.fit.shelf import Shelf
from heelball.fit.verdict import Costs, taste_sd
from heelball.fit.wearer import PLACES, DayState
from heelball.foot.vector import FEET
from heelball.gaussian.normal import Array
from heelball.gaussian.probability import below, box

#: Places of lasts and labels on a shelf.
Positions = NDArray[np.intp]

#: A place this surely right is left out of the joint chance.
_SURE = 0.9999


@frozen(eq=False)
class Judging:
    """What a wearer is judged by: the day, the costs, and which of the ten margins count.

    Parameters
    ----------
    states
        The day.
    judged
        Which margins are judged, shape (10,): the heel only where one was read.
    costs
        By place.
    taste_sd
        Of the wearer's taste in each place [mm], shape (5,); zero where the state of the wearer
        holds the taste already.
    """

    states: tuple[DayState, ...]
    judged: NDArray[np.bool_]
    costs: Costs
    taste_sd: Array = field(factory=taste_sd)

    @cached_property
    def shares(self) -> Array:
        """Share of the day of each state, shape (S,)."""
        return np.array([state.share for state in self.states])

    @cached_property
    def taste_covariance(self) -> Array:
        """Covariance of the taste in the ten margins, one value a place for both feet, shape (10, 10)."""
        variance = np.diag(self.taste_sd**2)
        return np.block([[variance, variance], [variance, variance]])

    @cached_property
    def growth(self) -> Array:
        """Growth of both feet in each state [mm], shape (S, 10)."""
        return np.array([np.tile(growth(state), len(FEET)) for state in self.states])


def both_feet(by_place: Array) -> Array:
    """Repeat a place's number for both feet: (..., 5) to (..., 10)."""
    return np.concatenate([by_place, by_place], axis=-1)


def place_chances(mean: Array, variance: Array, shelf: Shelf, judging: Judging) -> tuple[Array, Array]:
    """Return the chances of too little and too much at every place.

    Parameters
    ----------
    mean, variance
        Of the margins in the ordinary state, shape (N, M, 10) [mm], [mm²].

    Returns
    -------
    tuple of Array
        Each of shape (N, M, S, 10); zero at places that are not judged.
    """
    # Without the unread heel a fifth of the work is saved.
    some = np.flatnonzero(judging.judged)
    sd = np.sqrt(np.maximum(variance[..., some], 0.0) + both_feet(judging.taste_sd)[some] ** 2)
    lo, hi = both_feet(shelf.lo)[:, None, some], both_feet(shelf.hi)[:, None, some]
    # In sds, state by state: the growth alone differs between states.
    grown = judging.growth[:, some] / sd[:, :, None]
    little = below(((lo - mean[..., some]) / sd)[:, :, None] + grown)
    much = below(((mean[..., some] - hi) / sd)[:, :, None] - grown)
    if len(some) == MARGINS:
        return little, much
    whole = np.zeros((2, *little.shape[:-1], MARGINS))
    whole[0][..., some], whole[1][..., some] = little, much
    return whole[0], whole[1]


def losses(little: Array, much: Array, judging: Judging) -> Array:
    """Return the loss at each foot and place, weighed over the day, shape (N, M, 10)."""
    cost_little = both_feet(judging.costs.little) * judging.judged
    cost_much = both_feet(judging.costs.much) * judging.judged
    by_state = little * cost_little + much * cost_much
    loss: Array = np.einsum("nmsp,s->nmp", by_state, judging.shares)
    return loss


def joint_chances(
    margins: Margins, shelf: Shelf, judging: Judging, last: Positions, label: Positions, surely_right: Array
) -> Array:
    """Return the chance that all judged places of both feet are right, by state.

    Parameters
    ----------
    last, label
        Which labels: positions on the shelf, shapes (k,).
    surely_right
        Their chances of being right place by place, shape (k, S, 10).

    Returns
    -------
    Array
        Shape (k, S).
    """
    cov = margins.covariance(shelf, last, label) + judging.taste_covariance
    centre = margins.mean[last, label][:, None, :] - judging.growth
    lower = both_feet(shelf.lo[last])[:, None, :] - centre
    upper = both_feet(shelf.hi[last])[:, None, :] - centre
    doubtful = (surely_right <= _SURE).any(axis=1) & judging.judged
    joint = np.ones(lower.shape[:2])
    # Labels with the same doubtful places go together, so that each box has only those sides.
    patterns, which = np.unique(doubtful, axis=0, return_inverse=True)
    for i, pattern in enumerate(patterns):
        sides = np.flatnonzero(pattern)
        rows = np.flatnonzero(which.reshape(-1) == i)
        if len(sides):
            joint[rows] = box(
                cov[np.ix_(rows, sides, sides)], lower[rows][:, :, sides], upper[rows][:, :, sides]
            )
    return joint


def judged_margins(heel_read: bool) -> NDArray[np.bool_]:
    """Return which of the ten margins are judged."""
    judged = np.ones(MARGINS, dtype=bool)
    if not heel_read:
        judged[[i * len(PLACES) + PLACES.index("heel") for i in range(len(FEET))]] = False
    return judged


@frozen(eq=False)
class Mixed:
    """The labels of a shelf judged for one wearer, over the populations the wearer may be of.

    Parameters
    ----------
    weights, margins
        One for each population.
    little, much
        Chances by population, shape (P, N, M, S, 10).
    by_place
        Loss at each foot and place, shape (N, M, 10); the padding's is infinite.
    loss
        Loss of every label, shape (N, M); infinite where there is no such label.
    """

    weights: Array
    margins: tuple[Margins, ...]
    little: Array
    much: Array
    by_place: Array
    loss: Array


def judge(shelf: Shelf, margins: Sequence[Margins], weights: Array, judging: Judging) -> Mixed:
    """Judge every label of a shelf place by place."""
    chance = [place_chances(m.mean, m.variance, shelf, judging) for m in margins]
    little = np.stack([one for one, _ in chance])
    much = np.stack([other for _, other in chance])
    by_place = sum(
        weight * losses(low, high, judging) for weight, low, high in zip(weights, little, much, strict=True)
    )
    assert isinstance(by_place, np.ndarray)
    by_place[~shelf.offered] = np.inf
    return Mixed(weights, tuple(margins), little, much, by_place, by_place.sum(axis=-1))


def joint_by_state(mixed: Mixed, shelf: Shelf, judging: Judging, last: Positions, label: Positions) -> Array:
    """Return the chance of some labels in each state, mixed over populations, shape (k, S)."""
    total = np.zeros((len(last), len(judging.states)))
    for p, weight in enumerate(mixed.weights):
        right = 1 - mixed.little[p, last, label] - mixed.much[p, last, label]
        total += weight * joint_chances(mixed.margins[p], shelf, judging, last, label, right)
    return total
