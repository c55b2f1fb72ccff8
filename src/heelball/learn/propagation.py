"""Damped expectation propagation over all words of all try-ons (MODEL 9; Minka 2001).

Each word is replaced by a site. Rounds alternate: wearers eliminated, the means of all runs solved
exactly, sites made anew from cavities. Between two exact covariances of the runs several rounds
use the one before: covariances settle long before means do.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from attrs import evolve, frozen

from heelball.gaussian.normal import Array
from heelball.learn.blocks import (
    Fits,
    Visits,
    Wearers,
    eliminate,
    least_eigenvalue,
    site_moments,
    summed_over,
    visits_of,
    wearers_given,
)
from heelball.learn.habits import Habits
from heelball.learn.problem import Positions, Problem
from heelball.learn.run_prior import RUN
from heelball.learn.sites import Bands, Cavities, Sites, cavities, heard_from, made_anew
from heelball.learn.top import (
    Dense,
    Eliminated,
    OwnBlocks,
    TopPrior,
    dense_covariance,
    own_blocks,
    product,
    solve,
    top_prior,
)

#: Lasts beyond which runs' covariance is held block by block: 3,000 are 15,000 numbers, 1.8 GB.
MOST_DENSE: Final = 2_500

#: How far each round goes toward the new sites.
DAMPING: Final = 0.6

#: At rest: no run's mean moved by more than this many sds, and no sd by more than this share.
AT_REST: Final = 0.005

#: Rounds to one exact covariance: few at first, when sites move it most.
_FIRST_ROUNDS: Final = 4
_ROUNDS: Final = 10
_EXACT: Final = 12

#: Exact covariances before rounds go half as far.
_PATIENT: Final = 4

#: Of a wearer's least precision, at least this share is left by all words together.
_LEAST: Final = 0.2


@frozen(eq=False)
class State:
    """Where propagation stands.

    Parameters
    ----------
    problem, visits, prior, habits
        What it works on.
    wearers
        Precisions of fits under the habits.
    sites
        Of each word.
    fits
        Group by group.
    top
        Mean of the top, shape (size,).
    covariance
        Of the top.
    settled
        Whether the last rounds moved nothing.
    """

    problem: Problem
    visits: Visits
    prior: TopPrior
    habits: Habits
    wearers: Wearers
    sites: Sites
    fits: tuple[Fits, ...]
    top: Array
    covariance: Dense | OwnBlocks
    settled: bool

    @property
    def at(self) -> Positions:
        """Visit times ten plus slot of each word, shape (n,)."""
        at: Positions = self.visits.of_verdict * 2 * RUN + self.problem.verdicts.slot
        return at


def begin(problem: Problem, habits: Habits) -> State:
    """Return the state before any word is heard."""
    visits, prior = visits_of(problem), top_prior(problem)
    wearers = wearers_given(problem, visits, habits.taste_sd)
    none = np.zeros((len(visits.wearer), 2 * RUN))
    fits = tuple(eliminate(group, wearers, none, none) for group in visits.groups)
    covariance = own_blocks(Eliminated(problem, prior, visits, wearers, fits, none))
    state = State(
        problem=problem,
        visits=visits,
        prior=prior,
        habits=habits,
        wearers=wearers,
        sites=Sites.none(len(problem.verdicts)),
        fits=fits,
        top=np.zeros(visits.size),
        covariance=covariance,
        settled=False,
    )
    return _solved(state)


def with_habits(state: State, habits: Habits) -> State:
    """Return the same sites under other habits."""
    wearers = wearers_given(state.problem, state.visits, habits.taste_sd)
    return _solved(evolve(state, habits=habits, wearers=wearers, settled=False))


def propagate(state: State, *, exact: int = _EXACT, rounds: int = _ROUNDS) -> State:
    """Hear all words until nothing moves.

    Parameters
    ----------
    exact
        How many exact covariances to spend at most; where lasts are too many for one, as many
        times as often blocks alone are looked at.
    rounds
        Rounds to one exact covariance at most.
    """
    whole = len(state.problem.lasts) <= MOST_DENSE
    for i in range(exact):
        # Words that cannot all be meant may swing about: half as far, and they come to rest.
        damping = DAMPING if i < _PATIENT else DAMPING / 2
        before, sd = state.top, np.sqrt(state.covariance.variances())
        for _ in range(rounds if i or state.settled else min(rounds, _FIRST_ROUNDS)):
            here = state.top
            state = heard(state, damping)
            if not whole:
                state = refreshed(state)
            if np.abs((state.top - here) / sd).max() < AT_REST * damping:
                break
        if whole:
            state = refreshed(state)
        new = np.sqrt(state.covariance.variances())
        moved = max(float(np.abs((state.top - before) / new).max()), float(np.abs(new / sd - 1).max()))
        if moved < 2 * AT_REST:
            return evolve(state, settled=True)
    return state


def refreshed(state: State) -> State:
    """Return the same with the covariance of the top as the sites have it, exact where it can be."""
    precision, _ = state.sites.summed(state.at, len(state.visits.wearer))
    make = dense_covariance if len(state.problem.lasts) <= MOST_DENSE else own_blocks
    return evolve(state, covariance=make(_left(state, precision)))


def _left(state: State, precision: Array) -> Eliminated:
    return Eliminated(state.problem, state.prior, state.visits, state.wearers, state.fits, precision)


def moments(state: State) -> tuple[Array, Array]:
    """Return mean and variance of each word's z, its own site included, shapes (n,)."""
    mean = np.empty((len(state.visits.wearer), 2 * RUN))
    variance = np.empty_like(mean)
    for group, fit in zip(state.visits.groups, state.fits, strict=True):
        mean[group.visits], variance[group.visits] = site_moments(
            group, fit, state.top, state.covariance.of(group)
        )
    return mean.ravel()[state.at], variance.ravel()[state.at]


@frozen(eq=False)
class Fit:
    """One wearer's fit v given the top x: ``v = centre + gain @ x[columns]``, and a spread.

    Parameters
    ----------
    columns
        Of the top, shape (d,).
    gain, centre, spread
        Shapes (10, d), (10,), (10, 10).
    """

    columns: Positions
    gain: Array
    centre: Array
    spread: Array


def fit_of(state: State, wearer: int) -> Fit:
    """Return the fit of one wearer, by position: also of one of whom no try-on speaks."""
    for group, fits in zip(state.visits.groups, state.fits, strict=True):
        for row in np.flatnonzero(group.wearers == wearer):
            return Fit(group.columns[row], fits.gain[row], fits.centre[row], fits.spread[row])
    problem, taste = state.problem, np.tile(np.diag(state.habits.taste_sd**2), (2, 2))
    gain = problem.foot_by_offsets[wearer]
    offsets = np.arange(len(state.top) - gain.shape[1], len(state.top))
    return Fit(offsets, gain, problem.foot_mean[wearer], problem.foot_cov[wearer] + taste)


def cavities_of(state: State) -> Cavities:
    """Return each word's cavity as the state stands."""
    return cavities(*moments(state), state.sites)


def heard(state: State, damping: float) -> State:
    """Hear every word once, all from the same state."""
    cavity = cavities_of(state)
    bands = Bands.of(state.problem.verdicts, state.habits)
    sites = made_anew(cavity, heard_from(cavity, state.problem.verdicts, bands), state.sites, damping)
    sites = _sound(state, sites)
    try:
        return _solved(evolve(state, sites=sites))
    except np.linalg.LinAlgError:
        every = np.ones(len(bands.lower), dtype=bool)
        return _solved(evolve(state, sites=sites.without_doubt(every)))


def _sound(state: State, sites: Sites) -> Sites:
    """Return sites that leave every wearer a Gaussian: none of a wearer's widens where they do not."""
    if (sites.precision >= 0).all():
        return sites
    precision, _ = sites.summed(state.at, len(state.visits.wearer))
    broken = np.zeros(len(state.problem.wearers), dtype=bool)
    for group in state.visits.groups:
        # Only wearers with a site that widens can be left without.
        some = np.flatnonzero((precision[group.visits] < 0).any(axis=(1, 2)))
        least = least_eigenvalue(group, state.wearers, precision, some)
        broken[group.wearers[some[least < _LEAST * state.wearers.least[group.wearers[some]]]]] = True
    return sites.without_doubt(broken[state.problem.verdicts.wearer])


def _solved(state: State) -> State:
    """Return the state with its fits and the means of all runs as its sites have them."""
    visits = state.visits
    precision, shift = state.sites.summed(state.at, len(visits.wearer))
    fits = tuple(eliminate(group, state.wearers, precision, shift) for group in visits.groups)
    pull = state.prior.pull + summed_over(visits, fits, shift, state.wearers)
    times = product(_left(evolve(state, fits=fits), precision))
    return evolve(state, fits=fits, top=solve(times, pull, state.top, state.covariance))
