"""What a settled computation says, put in words of lasts, makers, wearers and doubtful reports."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np

from heelball.fit.wearer import PLACES
from heelball.foot.vector import FEET
from heelball.gaussian.normal import Array, Gaussian
from heelball.last.run import OFFSET_PLACES
from heelball.last.values import Last
from heelball.learn.blocks import fit_moments
from heelball.learn.feet import SLOTS
from heelball.learn.problem import Positions
from heelball.learn.propagation import State, cavities_of, fit_of
from heelball.learn.run_prior import RUN, own_belief
from heelball.learn.runs import Doubt, LastRun, MakerRun, Runs, WearerFit
from heelball.learn.sites import Bands, heard_from
from heelball.learn.top import Dense, maker_run
from heelball.learn.try_on import TryOn
from heelball.package_data import defaults

_OFFSETS = len(OFFSET_PLACES)


def outcome(state: State, lasts: Sequence[Last], try_ons: Sequence[TryOn]) -> Runs:
    """Return what was learned.

    Parameters
    ----------
    state
        At rest.
    lasts, try_ons
        What its problem was made of.
    """
    doubtful, log_chances = _doubtful(state, try_ons)
    # A wearer's of one label is one pair, told of as often as may be.
    pairs = {(one.wearer, one.last, one.label) for one in try_ons if one.verdicts}
    return Runs(
        offsets=_of_top(state, _offsets_at(state)),
        lasts=_lasts(state, lasts, Counter(last for _, last, _ in pairs)),
        makers=_makers(state),
        wearers=_wearers(state, Counter(wearer for wearer, _, _ in pairs)),
        doubtful=doubtful,
        habits=state.habits,
        settled=state.settled,
        own_blocks=not isinstance(state.covariance, Dense),
        log_chances=log_chances,
    )


def _offsets_at(state: State) -> Positions:
    return np.arange(len(state.top) - _OFFSETS, len(state.top))


def _of_top(state: State, at: Positions) -> Gaussian:
    """Return what is known of some numbers of the top."""
    return _symmetric(Gaussian(state.top[at], state.covariance.among(at)))


def learned_belief(state: State, last: int) -> Gaussian:
    """Return what was learned of one last: the gauge's offsets, then the run, 8 numbers [mm].

    Parameters
    ----------
    last
        By position.
    """
    return _of_top(state, np.concatenate([_offsets_at(state), np.arange(last * RUN, (last + 1) * RUN)]))


def _lasts(state: State, lasts: Sequence[Last], pairs: Counter[str]) -> tuple[LastRun, ...]:
    by_code = {last.code: last for last in lasts}
    found = []
    for i, code in enumerate(state.problem.lasts):
        belief = learned_belief(state, i)
        alone = _symmetric(own_belief(by_code[code], state.problem.prior.shared))
        found.append(LastRun(code, by_code[code].maker, pairs[code], belief, alone))
    return tuple(found)


def _symmetric(one: Gaussian) -> Gaussian:
    return Gaussian(one.mean, (one.cov + one.cov.T) / 2)


def _makers(state: State) -> tuple[MakerRun, ...]:
    count = np.bincount(state.problem.maker_of, minlength=len(state.problem.makers))
    found = []
    for i, maker in enumerate(state.problem.makers):
        run = maker_run(state.problem, state.prior, state.top, state.covariance, i)
        found.append(MakerRun(maker, int(count[i]), run))
    return tuple(found)


def _wearers(state: State, pairs: Counter[str]) -> tuple[WearerFit, ...]:
    problem = state.problem
    found: dict[int, WearerFit] = {}
    for group, fit in zip(state.visits.groups, state.fits, strict=True):
        mean, cov = fit_moments(group, fit, state.top, state.covariance.of(group))
        for i, wearer in enumerate(group.wearers.tolist()):
            found[wearer] = _wearer(state, wearer, pairs[problem.wearers[wearer]], Gaussian(mean[i], cov[i]))
    for wearer in range(len(problem.wearers)):
        if wearer not in found:
            found[wearer] = _wearer(state, wearer, 0, _untried(state, wearer))
    return tuple(found[i] for i in range(len(problem.wearers)))


def _untried(state: State, wearer: int) -> Gaussian:
    """Return fit and offsets, 13 numbers, of a wearer of whom no try-on speaks."""
    fit = fit_of(state, wearer)
    joint = _of_top(state, fit.columns).image(np.vstack([fit.gain, np.eye(_OFFSETS)]))
    joint.mean[:SLOTS] += fit.centre
    joint.cov[:SLOTS, :SLOTS] += fit.spread
    return joint


def _wearer(state: State, wearer: int, pairs: int, joint: Gaussian) -> WearerFit:
    """Split a wearer's fit into foot and taste: both are linear in it, given the gauge's offsets."""
    problem = state.problem
    foot_cov, by = problem.foot_cov[wearer], problem.foot_by_offsets[wearer]
    taste = np.diag(state.habits.taste_sd**2)
    both = np.vstack([np.eye(RUN), np.eye(RUN)])
    precision = state.wearers.precision[wearer]
    beyond = np.concatenate([np.eye(SLOTS), -by], axis=1)
    to_foot, to_taste = foot_cov @ precision, taste @ both.T @ precision
    rest_foot, rest_taste = foot_cov - to_foot @ foot_cov, taste - to_taste @ both @ taste
    foot = to_foot @ beyond
    foot[:, SLOTS:] += by
    # The mean of foot plus taste given c is the foot's own: tastes are 0 on average.
    foot_mean = foot @ joint.mean + problem.foot_mean[wearer] - to_foot @ problem.foot_mean[wearer]
    own = to_taste @ beyond
    taste_mean = own @ joint.mean - to_taste @ problem.foot_mean[wearer]
    return WearerFit(
        wearer=problem.wearers[wearer],
        measured=bool(problem.measured[wearer]),
        pairs=pairs,
        fit=_symmetric(joint.image(np.eye(SLOTS, len(joint.mean)))),
        foot=_symmetric(Gaussian(foot_mean, foot @ joint.cov @ foot.T + rest_foot)),
        taste=_symmetric(Gaussian(taste_mean, own @ joint.cov @ own.T + rest_taste)),
    )


def _doubtful(state: State, try_ons: Sequence[TryOn]) -> tuple[tuple[Doubt, ...], Array]:
    """Return verdicts that are likelier a lapse than meant, and every verdict's log chance."""
    verdicts, habits = state.problem.verdicts, state.habits
    heard = heard_from(cavities_of(state), verdicts, Bands.of(verdicts, habits))
    chance = np.exp(heard.log_chance)
    lapse = habits.lapse / 3 / chance
    named = np.flatnonzero(lapse >= float(defaults()["learn"]["doubtful"]))
    named = named[np.argsort(-lapse[named], kind="stable")]
    meant = np.maximum(chance - habits.lapse / 3, 0.0) / (1 - habits.lapse)
    doubts = tuple(
        Doubt(
            try_ons[verdicts.try_on[i]],
            FEET[verdicts.slot[i] // len(PLACES)],
            PLACES[verdicts.slot[i] % len(PLACES)],
            float(meant[i]),
            float(min(lapse[i], 1.0)),
        )
        for i in named.tolist()
    )
    return doubts, heard.log_chance
