"""What learning says of a pair before anyone tries it on: margins, and the chance of each word."""

from __future__ import annotations

import numpy as np

from heelball.fit.day import growth
from heelball.fit.wearer import PLACES, DayState
from heelball.gaussian.normal import Array, Gaussian
from heelball.gaussian.probability import below
from heelball.last.values import Label, Last
from heelball.learn.feet import SLOTS
from heelball.learn.problem import boot_at
from heelball.learn.propagation import State, fit_of
from heelball.learn.run_prior import RUN


def run_less_fit(state: State, wearer: str, last: str) -> Gaussian:
    """Return run less fit at both feet's places, 10 numbers [mm].

    Raises
    ------
    ValueError
        Where wearer or last is not among those learned from.
    """
    first = state.problem.lasts.index(last) * RUN
    fit = fit_of(state, state.problem.wearers.index(wearer))
    at = np.concatenate([fit.columns, np.arange(first, first + RUN)])
    read = np.hstack([-fit.gain, np.vstack([np.eye(RUN), np.eye(RUN)])])
    return Gaussian(
        read @ state.top[at] - fit.centre, read @ state.covariance.among(at) @ read.T + fit.spread
    )


def chances_of_words(state: State, wearer: str, last: Last, label: Label, day_state: DayState) -> Array:
    """Return the chance of each word about each place of both feet, shape (10, 3), as `VERDICTS`.

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
