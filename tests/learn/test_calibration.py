"""What is learned is as sure as it says: ranks of drawn truths, coverage on surveyed feet, log scores."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import chisquare, kstest, norm

from evaluation.drawn import draw_truth, with_words
from evaluation.survey import surveyed_feet
from evaluation.try_ons import evenly_drawn, shop
from heelball.gaussian.normal import Array
from heelball.learn.habits import Habits
from heelball.learn.learning import learn, settle
from heelball.learn.outcome import learned_belief
from heelball.package_data import defaults
from tests.learn.shops import small_problem
from tests.requirements import shared

#: Half as wide as a 90 % interval, in sds.
NINETY = norm.ppf(0.95)


def deviations(draws: int) -> tuple[Array, Array]:
    """Return (truth - mean) / sd of every run and of the gauge's offsets: shapes (n, 8, 5), (n, 3)."""
    generator = np.random.default_rng(31)
    habits, problem = Habits.default(), small_problem(generator)
    of_runs, of_offsets = [], []
    for _ in range(draws):
        truth = draw_truth(problem, habits, generator)
        state = settle(with_words(problem, habits, truth, generator), habits)
        assert state.settled
        beliefs = [learned_belief(state, last) for last in range(len(problem.lasts))]
        sds = [np.sqrt(np.diagonal(one.cov)) for one in beliefs]
        of_runs.append([(truth.runs[i] - one.mean[3:]) / sds[i][3:] for i, one in enumerate(beliefs)])
        of_offsets.append((truth.offsets - beliefs[0].mean[:3]) / sds[0][:3])
    return np.array(of_runs), np.array(of_offsets)


@pytest.mark.parametrize("draws", [30, pytest.param(300, marks=pytest.mark.slow)])
def test_truths_drawn_from_the_prior_stand_anywhere_in_what_is_learned(draws: int) -> None:
    # Simulation-based calibration (Talts and others 2018): ranks of truths in their posteriors are
    # uniform. One last in each draw, taken in turn: those of one draw share a gauge and makers.
    of_runs, of_offsets = deviations(draws)
    alone = of_runs[np.arange(draws), np.arange(draws) % of_runs.shape[1]]
    ranks = norm.cdf(np.concatenate([alone, of_offsets], axis=1))
    for column in ranks.T:
        assert kstest(column, "uniform").pvalue > 0.002
        bins = np.histogram(column, 10 if draws >= 100 else 5, (0, 1))[0]
        assert chisquare(bins).pvalue > 0.002
    # All runs of all draws together say how wide the ± is: an sd 10 % off would show at full count.
    width = 0.12 if draws >= 100 else 0.3
    assert np.mean(of_runs**2) == pytest.approx(1.0, abs=width)
    assert abs(of_runs.mean()) < width


@pytest.mark.parametrize(
    ("shops", "low", "high"), [(2, 0.75, 0.97), pytest.param(40, 0.87, 0.93, marks=pytest.mark.slow)]
)
def test_ninety_of_a_hundred_intervals_hold_the_true_run(shops: int, low: float, high: float) -> None:
    # 30 lasts, 20 pairs of each, habits learned too; feet are surveyed ones, not the prior's. Twenty
    # shops have a standard error of 0.013, too near the width of what is wanted: so there are forty.
    feet = surveyed_feet(shared("data", "ansur2_feet_build.csv"), "men")
    generator = np.random.default_rng(5)
    offsets = evenly_drawn(
        shops, [defaults()["gauge"]["offset_sd"][w] for w in ("ball", "length", "breadth")], generator
    )
    together = evenly_drawn(shops, [defaults()["learn"]["all_makers_sd"]] * 5, generator)
    inside = []
    for c, m in zip(offsets, together, strict=True):
        one = shop(feet, "men", generator, lasts=30, pairs_a_last=20, pairs_a_wearer=3, offsets=c, together=m)
        runs = learn(one.lasts, one.wearers, one.try_ons)
        assert runs.settled
        for true, last in zip(one.true_runs(), runs.lasts, strict=True):
            inside.append(np.abs(true - last.run.mean) < NINETY * np.sqrt(np.diagonal(last.run.cov)))
    by_shop = np.array(inside).reshape(shops, -1).mean(axis=1)
    said = f"{by_shop.mean():.3f} ± {by_shop.std(ddof=1) / np.sqrt(shops):.3f} of 90 % intervals hold"
    assert low <= by_shop.mean() <= high, said
