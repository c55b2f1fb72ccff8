"""Expectation propagation: the elimination is exact, the posterior is that of exact sampling."""

from __future__ import annotations

import numpy as np
import pytest

from heelball.learn import propagation
from heelball.learn.blocks import eliminate, summed_over
from heelball.learn.habits import Habits
from heelball.learn.learning import learn, settle
from heelball.learn.problem import problem_of
from heelball.learn.propagation import begin, propagate, refreshed
from heelball.learn.run_prior import MAKER, RUN, SHARED
from heelball.learn.top import Eliminated, OwnBlocks, dense_covariance, own_blocks, product
from tests.learn.gibbs import gibbs
from tests.learn.told import world


def test_eliminating_wearers_and_makers_is_exact() -> None:
    seen = world(np.random.default_rng(3), lasts=5, makers=2, wearers=6, each=3)
    problem = problem_of(seen.lasts, seen.wearers, seen.try_ons)
    state = begin(problem, Habits.default())
    generator = np.random.default_rng(4)
    visits = state.visits
    precision = generator.uniform(0, 0.2, (len(visits.wearer), 10))
    shift = generator.normal(0, 0.5, precision.shape)
    fits = [eliminate(group, state.wearers, precision, shift) for group in visits.groups]
    left = Eliminated(problem, state.prior, visits, state.wearers, fits, precision)
    found = dense_covariance(left).matrix
    pull = state.prior.pull + summed_over(visits, fits, shift, state.wearers)

    # The same, everything in one matrix: fits, runs, makers, what all share.
    lasts, wearers = len(problem.lasts), len(problem.wearers)
    at_runs = 10 * wearers
    at_makers, size = at_runs + RUN * lasts, at_runs + RUN * lasts + MAKER * 2 + SHARED
    whole, right = np.zeros((size, size)), np.zeros(size)
    taste = np.tile(np.diag(Habits.default().taste_sd ** 2), (2, 2))
    for w in range(wearers):
        rows = np.zeros((10, size))
        rows[:, 10 * w : 10 * w + 10] = np.eye(10)
        rows[:, -3:] = -problem.foot_by_offsets[w]
        known = np.linalg.inv(problem.foot_cov[w] + taste)
        whole += rows.T @ known @ rows
        right += rows.T @ known @ problem.foot_mean[w]
    for i in range(lasts):
        maker = at_makers + MAKER * problem.maker_of[i]
        at = np.r_[at_runs + RUN * i : at_runs + RUN * (i + 1), maker : maker + MAKER, size - SHARED : size]
        whole[np.ix_(at, at)] += problem.prior.precision[i]
        right[at] += problem.prior.shift[i]
    for k in range(2):
        at = np.arange(at_makers + MAKER * k, at_makers + MAKER * (k + 1))
        whole[at, at] += problem.prior.maker_precision
    shared = np.linalg.inv(problem.prior.shared.cov)
    whole[-SHARED:, -SHARED:] += shared
    right[-SHARED:] += shared @ problem.prior.shared.mean
    for v, (w, last) in enumerate(zip(visits.wearer, visits.last, strict=True)):
        for slot in range(10):
            row = np.zeros(size)
            row[at_runs + RUN * last + slot % 5], row[10 * w + slot] = 1.0, -1.0
            whole += precision[v, slot] * np.outer(row, row)
            right += shift[v, slot] * row
    covariance = np.linalg.inv(whole)
    top = np.r_[at_runs:at_makers, size - SHARED : size]
    assert found == pytest.approx(covariance[np.ix_(top, top)], abs=1e-8)
    assert found @ pull == pytest.approx((covariance @ right)[top], abs=1e-7)
    times = product(left)
    assert times(found @ pull) == pytest.approx(pull, abs=1e-6)


@pytest.mark.parametrize(
    ("measured", "each"), [(True, 4), (False, 4), (True, 2)], ids=["measured", "unmeasured", "few"]
)
def test_against_exact_sampling(*, measured: bool, each: int) -> None:
    seen = world(np.random.default_rng(8), measured=measured, each=each)
    problem = problem_of(seen.lasts, seen.wearers, seen.try_ons)
    habits = Habits.default()
    draws = gibbs(problem, habits, draws=2500, burn=200, seed=5)
    mean, sd = draws.mean(axis=0), draws.std(axis=0)
    runs = learn(seen.lasts, seen.wearers, seen.try_ons, habits=habits)
    assert runs.settled
    found = np.array([one.run.mean for one in runs.lasts])
    spread = np.sqrt([np.diagonal(one.run.cov) for one in runs.lasts])
    off = (found - mean) / sd
    # So few draws are themselves some 0.06 sd off the truth.
    assert np.sqrt((off**2).mean()) < 0.12
    assert np.abs(off).max() < 0.4
    assert np.quantile(np.abs(spread / sd - 1), 0.95) < 0.1


def test_blocks_of_each_last_alone_are_near_and_say_so(monkeypatch: pytest.MonkeyPatch) -> None:
    seen = world(np.random.default_rng(9), wearers=60)
    exact = learn(seen.lasts, seen.wearers, seen.try_ons, habits=Habits.default())
    monkeypatch.setattr(propagation, "MOST_DENSE", 1)
    blocks = learn(seen.lasts, seen.wearers, seen.try_ons, habits=Habits.default())
    assert blocks.own_blocks
    assert not exact.own_blocks
    for one, other in zip(exact.lasts, blocks.lasts, strict=True):
        sd = np.sqrt(np.diagonal(one.run.cov))
        assert np.abs(one.run.mean - other.run.mean).max() < 0.6 * sd.max()
        assert np.sqrt(np.diagonal(other.run.cov)) == pytest.approx(sd, rel=0.35)


def test_a_site_that_widens_never_leaves_a_wearer_without_a_gaussian() -> None:
    # Half of all words at random: nearly every site is a likely lapse.
    seen = world(np.random.default_rng(10), measured=False, lapse=0.5)
    state = settle(problem_of(seen.lasts, seen.wearers, seen.try_ons), Habits.default())
    assert state.settled
    assert np.isfinite(state.top).all()
    assert (state.covariance.variances() > 0).all()
    for fit in state.fits:
        assert (np.linalg.eigvalsh(fit.spread)[:, 0] > 0).all()


def test_own_blocks_alone_are_exact_where_lasts_share_nobody() -> None:
    seen = world(np.random.default_rng(11), lasts=4, makers=4, wearers=8, each=1)
    problem = problem_of(seen.lasts, seen.wearers, seen.try_ons)
    state = propagate(begin(problem, Habits.default()))
    precision, _ = state.sites.summed(state.at, len(state.visits.wearer))
    blocks = own_blocks(Eliminated(problem, state.prior, state.visits, state.wearers, state.fits, precision))
    assert isinstance(blocks, OwnBlocks)
    assert blocks.variances() == pytest.approx(refreshed(state).covariance.variances(), rel=1e-6)
