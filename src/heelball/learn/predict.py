"""What learning says of a pair before anyone tries it on: margins, and the chance of each word."""

from __future__ import annotations

import numpy as np

from heelball.fit.day import growth
from heelball.fit.wearer import PLACES, DayState
from heelball.gaussian.normal import Array, Gaussian
from heelball.gaussian.probability import below
from heelball.last.values import Label, Last
from heelball.learn.blocks import fit_moments
from heelball.learn.feet import SLOTS
from heelball.learn.problem import boot_at
from heelball.learn.propagation import State
from heelball.learn.run_prior import RUN
from heelball.learn.top import Dense


def run_less_fit(state: State, wearer: str, last: str) -> Gaussian:
    """Return run less fit at both feet's places, 10 numbers [mm].

    Raises
    ------
    ValueError
        Where wearer or last is not among those learned from.
    """
    at, who = state.problem.lasts.index(last), state.problem.wearers.index(wearer)
    place = np.arange(SLOTS) % len(PLACES)
    runs = state.top[at * RUN + place]
    run_cov = state.covariance.run(at)
    spread = run_cov[np.ix_(place, place)]
    for group, fit in zip(state.visits.groups, state.fits, strict=True):
        row = np.flatnonzero(group.wearers == who)
        if len(row) == 0:
            continue
        mean, cov, _ = fit_moments(group, fit, state.top, state.covariance.of(group))
        gain = fit.gain[row[0]]
        between = gain @ _columns_with(state, group.columns[row[0]], at)[:, place]
        centre, own = mean[row[0], :SLOTS], cov[row[0], :SLOTS, :SLOTS]
        return Gaussian(runs - centre, spread + own - between - between.T)
    by, taste = state.problem.foot_by_offsets[who], np.tile(np.diag(state.habits.taste_sd**2), (2, 2))
    centre = state.problem.foot_mean[who] + by @ state.top[-by.shape[1] :]
    offsets = run_cov[-by.shape[1] :]
    own = state.problem.foot_cov[who] + taste + by @ offsets[:, -by.shape[1] :] @ by.T
    between = by @ offsets[:, place]
    return Gaussian(runs - centre, spread + own - between - between.T)


def chances_of_words(state: State, wearer: str, last: Last, label: Label, day_state: DayState) -> Array:
    """Return the chance of each word about each place of both feet, shape (10, 3), as `WORDS`.

    Raises
    ------
    ValueError
        Where wearer or last is not among those learned from.
    """
    known = run_less_fit(state, wearer, last.code)
    habits, place = state.habits, np.arange(SLOTS) % len(PLACES)
    mean = known.mean + (boot_at(last, label) - growth(day_state))[place]
    sd = np.sqrt(np.diagonal(known.cov) + habits.scatter_sd[place] ** 2)
    lo, hi = habits.bands(last.stiffness)
    little, much = below((lo[place] - mean) / sd), below((mean - hi[place]) / sd)
    meant = np.stack([little, 1 - little - much, much], axis=1)
    chance: Array = (1 - habits.lapse) * meant + habits.lapse / 3
    return chance


def _columns_with(state: State, columns: Array, last: int) -> Array:
    """Return the covariance of some columns of the top with one run, shape (d, 5)."""
    runs = np.arange(last * RUN, (last + 1) * RUN)
    if isinstance(state.covariance, Dense):
        found: Array = state.covariance.matrix[np.ix_(columns, runs)]
        return found
    unit = np.zeros((len(state.top), RUN))
    unit[runs, np.arange(RUN)] = 1.0
    return np.stack([state.covariance.times(one)[columns] for one in unit.T], axis=1)
