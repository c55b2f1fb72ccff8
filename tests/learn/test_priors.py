"""What stands before any try-on: runs as the core has them, feet as readings have them."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from heelball.fit.wearer import Wearer
from heelball.foot.posterior import feet_posterior
from heelball.foot.prior import offset_prior
from heelball.foot.reading import GaugeMark
from heelball.gaussian.normal import Gaussian
from heelball.last.run import RUN_STATE, run_design, run_evidence, run_posterior
from heelball.last.values import Advice, Last, MeasuredPair
from heelball.learn.feet import feet_given, offsets_given
from heelball.learn.run_prior import half_variances, last_given, learning_basis, run_prior, shared_prior
from tests.fittings import gauge
from tests.learn.told import LABELS

FRAMED = Last("A", "M", "us-men", LABELS, advice=(Advice("ball", order=Fraction(-1, 2)),))
MEASURED = Last(
    "B", "M", "us-men", LABELS, measured=(MeasuredPair(Fraction(10), "D", flex_line=205.0, ball_girth=254.0),)
)
BOTH = Last("C", "M", "us-men", LABELS, advice=FRAMED.advice, measured=MEASURED.measured)
BARE = Last("D", "M", "us-men", LABELS)


@pytest.mark.parametrize("last", [FRAMED, MEASURED, BOTH, BARE], ids=["advice", "measured", "both", "bare"])
def test_a_run_is_the_core_s_but_for_what_all_makers_share(last: Last) -> None:
    nothing = Gaussian(np.zeros(5), 1e-12 * np.eye(5)).joined(offset_prior())
    told = last_given(last, half_variances(), nothing)
    evidence = run_evidence(last, learning_basis(last))
    state, _ = run_posterior(evidence, offset_prior())
    rows = [run_design(evidence.in_gauge_frame, place, 0.0, 0.0) for place in range(5)]
    core = state.image(np.vstack([*rows, np.eye(3, RUN_STATE)]))
    at = np.r_[0:5, 16:19]
    assert told.mean[at] == pytest.approx(core.mean, abs=1e-6)
    assert told.cov[np.ix_(at, at)] == pytest.approx(core.cov, abs=1e-6)


def test_a_pointed_toe_is_less_sure_in_the_toe_alone() -> None:
    from attrs import evolve

    shared = shared_prior(offset_prior())
    round_, pointed = (
        last_given(evolve(BARE, toe=toe), half_variances(), shared) for toe in ("round", "pointed")
    )
    assert np.diagonal(pointed.cov - round_.cov)[:5] == pytest.approx([0, 9, 0, 0, 0])


def test_factors_and_shared_priors_make_up_the_whole() -> None:
    prior = run_prior([BOTH], offset_prior())
    precision = prior.precision[0].copy()
    precision[5:11, 5:11] += np.diag(prior.maker_precision)
    precision[11:, 11:] += np.linalg.inv(prior.shared.cov)
    told = last_given(BOTH, half_variances(), prior.shared)
    assert np.linalg.inv(precision) == pytest.approx(told.cov, abs=1e-6)


def test_feet_given_the_offsets_meet_the_offsets_once() -> None:
    readings = tuple(gauge(foot, what, "10") for foot in ("left", "right") for what in ("length", "ball"))
    known = feet_given(Wearer("W", "men", readings))
    state = feet_posterior(readings, (), "men").components[0].state
    c = Gaussian(state.mean[10:13], state.cov[10:13, 10:13])
    # Place by place: ball, toe, breadth, girth, heel of the left foot.
    order = [1, 0, 2, 3, 4]
    mean = known.mean + known.by_offsets @ c.mean
    cov = known.cov + known.by_offsets @ c.cov @ known.by_offsets.T
    assert mean[:5] == pytest.approx(state.mean[order])
    assert cov[:5, :5] == pytest.approx(state.cov[np.ix_(order, order)])


def test_two_populations_are_one_gaussian_of_their_mean_and_spread() -> None:
    mixed, men, women = (feet_given(Wearer("W", sex)) for sex in ("unstated", "men", "women"))
    assert mixed.mean == pytest.approx((men.mean + women.mean) / 2)
    apart = (men.mean - women.mean) / 2
    assert mixed.cov == pytest.approx((men.cov + women.cov) / 2 + np.outer(apart, apart))


def test_a_ruler_on_a_gauge_counts_once_however_many_files_tell_of_it() -> None:
    mark = GaugeMark("gauge-men", "ball", "10", 199.0)
    once, thrice = offsets_given([mark]), offsets_given([mark] * 3)
    assert once.cov[0, 0] < 0.25
    assert thrice.cov == pytest.approx(once.cov)
