"""Habits learned from all words: bands, scatter and lapse from cavities, tastes from wearers (MODEL 9).

Each has a prior about the shipped figure. What is climbed is the evidence with runs, feet and
tastes integrated out, never their joint mode.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from attrs import evolve, frozen

from heelball.fit.wearer import VERDICTS
from heelball.gaussian.normal import Array
from heelball.learn.blocks import fit_moments
from heelball.learn.feet import SLOTS
from heelball.learn.habits import STIFFNESSES, Habits
from heelball.learn.propagation import State, cavities_of
from heelball.learn.run_prior import RUN
from heelball.learn.sites import Bands, Cavities, heard_from
from heelball.learn.words import Heard
from heelball.package_data import defaults

_RIGHT: Final = VERDICTS.index("right")
_BANDS: Final = len(STIFFNESSES) * RUN
_SCATTER: Final = _BANDS
_LAPSE: Final = _SCATTER + RUN
_SIZE: Final = _LAPSE + 1

#: Steps on the words from one set of cavities, and the longest step in any log.
_STEPS: Final = 3
_LONGEST: Final = 0.3


@frozen(eq=False)
class Climb:
    """Gradient and curvature of the log evidence by log half-widths, log scatters and the lapse's logit."""

    gradient: Array
    curvature: Array


def learned_habits(state: State) -> Habits:
    """Return habits nearer what the words say, from where propagation stands."""
    cavity = cavities_of(state)
    habits = state.habits
    for _ in range(_STEPS):
        bands = Bands.of(state.problem.verdicts, habits)
        climb = _climb(state, cavity, heard_from(cavity, state.problem.verdicts, bands), bands, habits)
        step = np.linalg.solve(climb.curvature, climb.gradient)
        habits = _moved(habits, np.clip(step, -_LONGEST, _LONGEST))
    return evolve(habits, taste_sd=_taste(state))


def _climb(state: State, cavity: Cavities, heard: Heard, bands: Bands, habits: Habits) -> Climb:
    verdicts = state.problem.verdicts
    place = verdicts.slot % RUN
    at = np.stack([verdicts.stiffness * RUN + place, _SCATTER + place, np.full(len(verdicts), _LAPSE)])
    half = habits.half_width.ravel()[at[0]]
    chance = np.exp(heard.log_chance)
    lapse = habits.lapse
    inside = (chance - lapse / 3) / (1 - lapse)
    # By log half-width; by log scatter, whose variance enters as half the second derivative; by logit.
    by = np.stack(
        [
            np.where(verdicts.word == _RIGHT, heard.edge, -heard.edge) * half,
            (heard.bend + heard.slope**2) * bands.scatter_variance,
            (1 / 3 - inside) / chance * lapse * (1 - lapse),
        ]
    )
    by[:, ~cavity.sound] = 0.0
    gradient = np.bincount(at.ravel(), weights=by.ravel(), minlength=_SIZE)
    curvature = np.zeros(_SIZE * _SIZE)
    for i in range(3):
        for j in range(3):
            cells = at[i] * _SIZE + at[j]
            curvature += np.bincount(cells, weights=by[i] * by[j], minlength=_SIZE * _SIZE)
    prior, prior_curvature = _prior(habits)
    return Climb(gradient + prior, curvature.reshape(_SIZE, _SIZE) + np.diag(prior_curvature))


def _prior(habits: Habits) -> tuple[Array, Array]:
    """Return gradient and curvature of the log prior."""
    learn, shipped = defaults()["learn"], Habits.default()
    precision = np.full(_SIZE, 1 / float(learn["half_width_log_sd"]) ** 2)
    precision[_SCATTER:_LAPSE] = 1 / float(learn["scatter_log_sd"]) ** 2
    off = np.zeros(_SIZE)
    off[:_BANDS] = np.log(habits.half_width / shipped.half_width).ravel()
    off[_SCATTER:_LAPSE] = np.log(habits.scatter_sd / shipped.scatter_sd)
    gradient = -precision * off
    # Beta(a, b) on the logit, where it is most likely at its mean.
    a, b = learn["lapse_prior"]
    gradient[_LAPSE] = a - (a + b) * habits.lapse
    precision[_LAPSE] = (a + b) * habits.lapse * (1 - habits.lapse)
    return gradient, precision


def _moved(habits: Habits, step: Array) -> Habits:
    logit = np.log(habits.lapse / (1 - habits.lapse)) + step[_LAPSE]
    return Habits(
        half_width=habits.half_width * np.exp(step[:_BANDS].reshape(-1, RUN)),
        taste_sd=habits.taste_sd,
        scatter_sd=habits.scatter_sd * np.exp(step[_SCATTER:_LAPSE]),
        lapse=float(1 / (1 + np.exp(-logit))),
    )


def _taste(state: State) -> Array:
    """Return taste sds one step nearer what wearers' fits beyond their feet say, shape (5,)."""
    variance = state.habits.taste_sd**2
    place = np.arange(RUN)
    gradient, curvature = np.zeros(RUN), np.zeros((RUN, RUN))
    for group, fit in zip(state.visits.groups, state.fits, strict=True):
        mean, cov = fit_moments(group, fit, state.top, state.covariance.of(group))
        by_offsets = state.problem.foot_by_offsets[group.wearers]
        read = np.concatenate(
            [np.broadcast_to(np.eye(SLOTS), (len(mean), SLOTS, SLOTS)), -by_offsets], axis=2
        )
        beyond = np.einsum("wij,wj->wi", read, mean) - state.problem.foot_mean[group.wearers]
        second = read @ cov @ np.swapaxes(read, 1, 2) + beyond[:, :, None] * beyond[:, None, :]
        precision = state.wearers.precision[group.wearers]
        # Both feet share one taste at a place: rows of the precision added over feet.
        rows = precision[:, :RUN] + precision[:, RUN:]
        told = rows @ second @ np.swapaxes(rows, 1, 2)
        weight = rows[:, :, :RUN] + rows[:, :, RUN:]
        gradient += (told[:, place, place] - weight[:, place, place]).sum(axis=0) * variance
        curvature += (weight**2).sum(axis=0) * 2 * np.outer(variance, variance)
    held = 1 / float(defaults()["learn"]["taste_log_sd"]) ** 2
    shipped = Habits.default().taste_sd
    gradient -= held * np.log(state.habits.taste_sd / shipped)
    step = np.linalg.solve(curvature + held * np.eye(RUN), gradient)
    sds: Array = state.habits.taste_sd * np.exp(np.clip(step, -_LONGEST, _LONGEST))
    return sds
