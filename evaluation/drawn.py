"""Truth and words drawn from the model of learning itself (MODEL 9), for problems of any size.

Where the truth comes from the prior that learning works with, its ± must hold to the letter.
"""

from __future__ import annotations

import numpy as np
from attrs import evolve, frozen

from heelball.fit.wearer import VERDICTS
from heelball.gaussian.normal import Array
from heelball.learn.habits import STIFFNESSES, Habits
from heelball.learn.problem import Problem
from heelball.learn.run_prior import MAKER, RUN, SHARED


@frozen(eq=False)
class Truth:
    """What nature drew: all runs (L, 5), the gauge's offsets (3,), and all fits (W, 10) [mm]."""

    runs: Array
    offsets: Array
    fits: Array


def draw_truth(problem: Problem, habits: Habits, generator: np.random.Generator) -> Truth:
    """Return runs, offsets and fits drawn from what is known of them before any word."""
    runs, offsets = _draw_runs(problem, generator)
    count = len(problem.wearers)
    taste = generator.normal(scale=habits.taste_sd, size=(count, RUN))
    own = np.linalg.cholesky(problem.foot_cov) @ generator.standard_normal((count, 2 * RUN, 1))
    feet = problem.foot_mean + problem.foot_by_offsets @ offsets + own[..., 0]
    return Truth(runs, offsets, feet + np.tile(taste, 2))


def with_words(problem: Problem, habits: Habits, truth: Truth, generator: np.random.Generator) -> Problem:
    """Return the problem with the words that are said where this is the truth."""
    verdicts = problem.verdicts
    place = verdicts.slot % RUN
    lo, hi = np.array([habits.bands(stiffness) for stiffness in STIFFNESSES]).swapaxes(0, 1)
    felt = verdicts.boot + truth.runs[verdicts.last, place] - truth.fits[verdicts.wearer, verdicts.slot]
    felt += generator.normal(scale=habits.scatter_sd[place])
    below, within = (felt >= end[verdicts.stiffness, place] for end in (lo, hi))
    word = below.astype(np.intp) + within
    lapsed = generator.random(len(verdicts)) < habits.lapse
    word[lapsed] = generator.integers(len(VERDICTS), size=int(lapsed.sum()))
    return evolve(problem, verdicts=evolve(verdicts, word=word))


def _draw_runs(problem: Problem, generator: np.random.Generator) -> tuple[Array, Array]:
    """Draw what all share, then makers, then lasts: each given those before it, the others integrated out."""
    prior, count = problem.prior, len(problem.makers)
    run = slice(0, RUN)
    own, toward = prior.precision[:, run, run], prior.precision[:, run, RUN:]
    gain = np.linalg.solve(own, toward)
    centre = np.linalg.solve(own, prior.shift[:, run, None])[..., 0]
    left = np.zeros((count, MAKER + SHARED, MAKER + SHARED))
    pull = np.zeros((count, MAKER + SHARED))
    np.add.at(left, problem.maker_of, prior.precision[:, RUN:, RUN:] - toward.swapaxes(1, 2) @ gain)
    np.add.at(
        pull,
        problem.maker_of,
        prior.shift[:, RUN:] - np.einsum("lij,lj->li", gain.swapaxes(1, 2), prior.shift[:, run]),
    )
    maker = slice(0, MAKER)
    left[:, np.arange(MAKER), np.arange(MAKER)] += prior.maker_precision
    maker_gain = np.linalg.solve(left[:, maker, maker], left[:, maker, MAKER:])
    maker_centre = np.linalg.solve(left[:, maker, maker], pull[:, maker, None])[..., 0]
    precision = np.linalg.inv(prior.shared.cov)
    shift = precision @ prior.shared.mean
    precision = precision + (left[:, MAKER:, MAKER:] - left[:, MAKER:, maker] @ maker_gain).sum(axis=0)
    shift = shift + (pull[:, MAKER:] - np.einsum("kij,kj->ki", left[:, MAKER:, maker], maker_centre)).sum(
        axis=0
    )
    shared = _drawn(np.linalg.solve(precision, shift)[None], precision[None], generator)[0]
    makers = _drawn(maker_centre - maker_gain @ shared, left[:, maker, maker], generator)
    beyond = np.concatenate([makers[problem.maker_of], np.broadcast_to(shared, (len(own), SHARED))], axis=1)
    runs = _drawn(centre - np.einsum("lij,lj->li", gain, beyond), own, generator)
    return runs, shared[RUN:]


def _drawn(mean: Array, precision: Array, generator: np.random.Generator) -> Array:
    """Return one draw of each of k normals, shape (k, n)."""
    factor = np.linalg.cholesky(precision).swapaxes(1, 2)
    noise = np.linalg.solve(factor, generator.standard_normal((*mean.shape, 1)))
    draws: Array = mean + noise[..., 0]
    return draws
