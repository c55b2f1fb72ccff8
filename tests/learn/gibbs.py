"""The learning model sampled exactly: Gibbs with the margins and the lapses drawn too (Albert and Chib 1993).

Given which words were lapses and what margin each other word was said of, runs, feet and tastes
are one Gaussian; given those, margins are truncated normals and lapses coins. Nothing here is
approximate but the number of draws.
"""

from __future__ import annotations

import numpy as np
from scipy.linalg import cholesky, solve_triangular
from scipy.special import ndtr, ndtri

from heelball.learn.habits import Habits
from heelball.learn.problem import Problem
from heelball.learn.run_prior import MAKER, RUN, SHARED
from heelball.learn.sites import Bands


def gibbs(problem: Problem, habits: Habits, *, draws: int, burn: int, seed: int) -> np.ndarray:
    """Return draws of every last's run, shape (draws, lasts, 5)."""
    generator = np.random.default_rng(seed)
    lasts, makers, wearers = len(problem.lasts), len(problem.makers), len(problem.wearers)
    verdicts = problem.verdicts
    runs_at = 10 * wearers
    makers_at = runs_at + RUN * lasts
    shared_at = makers_at + MAKER * makers
    size = shared_at + SHARED
    precision, pull = np.zeros((size, size)), np.zeros(size)
    taste = np.tile(np.diag(habits.taste_sd**2), (2, 2))
    offsets = np.arange(size - 3, size)
    for w in range(wearers):
        own = np.arange(10 * w, 10 * w + 10)
        by = problem.foot_by_offsets[w]
        known = np.linalg.inv(problem.foot_cov[w] + taste)
        rows = np.hstack([np.eye(10), -by])
        at = np.concatenate([own, offsets])
        precision[np.ix_(at, at)] += rows.T @ known @ rows
        pull[at] += rows.T @ known @ problem.foot_mean[w]
    for i in range(lasts):
        maker = makers_at + MAKER * problem.maker_of[i]
        at = np.r_[runs_at + RUN * i : runs_at + RUN * i + RUN, maker : maker + MAKER, shared_at:size]
        precision[np.ix_(at, at)] += problem.prior.precision[i]
        pull[at] += problem.prior.shift[i]
    for k in range(makers):
        at = np.arange(makers_at + MAKER * k, makers_at + MAKER * (k + 1))
        precision[at, at] += problem.prior.maker_precision
    known = np.linalg.inv(problem.prior.shared.cov)
    precision[shared_at:, shared_at:] += known
    pull[shared_at:] += known @ problem.prior.shared.mean
    bands = Bands.of(verdicts, habits)
    sd, weight = np.sqrt(bands.scatter_variance), 1 / bands.scatter_variance
    fit_at = verdicts.wearer * 10 + verdicts.slot
    run_at = runs_at + verdicts.last * RUN + verdicts.slot % RUN
    state = np.linalg.solve(precision, pull)
    kept = np.empty((draws, lasts, RUN))
    for draw in range(-burn, draws):
        centre = verdicts.boot + state[run_at] - state[fit_at]
        lower, upper = (bands.lower - centre) / sd, (bands.upper - centre) / sd
        flip = lower > 0
        low, high = np.where(flip, -upper, lower), np.where(flip, -lower, upper)
        under = ndtr(low)
        inside = ndtr(high) - under
        lapse = habits.lapse / 3
        meant = generator.random(len(sd)) >= lapse / (lapse + (1 - habits.lapse) * inside)
        drawn = ndtri(np.clip(under + generator.random(len(sd)) * inside, 1e-300, 1 - 1e-16))
        drawn = np.clip(np.where(flip, -drawn, drawn), np.maximum(lower, -40), np.minimum(upper, 40))
        margin = centre + sd * drawn - verdicts.boot
        v, r, w = fit_at[meant], run_at[meant], weight[meant]
        joint = precision.copy()
        joint.flat[:: size + 1] += np.bincount(v, w, size) + np.bincount(r, w, size)
        np.add.at(joint, (v, r), -w)
        np.add.at(joint, (r, v), -w)
        told = np.bincount(r, w * margin[meant], size) - np.bincount(v, w * margin[meant], size)
        factor = cholesky(joint, lower=True, check_finite=False)
        half = solve_triangular(factor, pull + told, lower=True, check_finite=False)
        state = solve_triangular(
            factor, half + generator.standard_normal(size), lower=True, trans=1, check_finite=False
        )
        if draw >= 0:
            kept[draw] = state[runs_at:makers_at].reshape(lasts, RUN)
    return kept
