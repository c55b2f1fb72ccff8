"""A run known from elsewhere stands for a last's own evidence, and meets the gauge's offsets once."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from heelball.fit.choice import answer
from heelball.fit.known_run import KnownRun
from heelball.fit.margins import margins_of
from heelball.fit.shelf import Shelves, shelve
from heelball.fit.wearer import Wearer
from heelball.foot.prior import offset_prior
from heelball.gaussian.normal import Gaussian
from heelball.last.built_for import RUN_PLACES, basis_of
from heelball.last.run import RUN_STATE, run_design, run_evidence, run_posterior
from heelball.last.values import Advice, Label, Last
from tests.fit.judging import wearer_states
from tests.fittings import gauge

LABELS = tuple(Label(Fraction(size, 2), width) for size in range(18, 24) for width in ("C", "D", "E"))


def a_last(*advice: Advice, scale: str = "us-men") -> Last:
    return Last("N7", "Northmoor", scale, LABELS, advice=advice)


def believed(last: Last) -> Gaussian:
    """Return c and the true run as the last's own evidence has them."""
    evidence = run_evidence(last, basis_of(last.label_scale, "men"))
    state, _ = run_posterior(evidence, offset_prior())
    true = [run_design(evidence.in_gauge_frame, place, 0.0, 0.0) for place in range(len(RUN_PLACES))]
    return state.image(np.vstack([np.eye(3, RUN_STATE), true]))


@pytest.fixture(scope="module")
def reader() -> Wearer:
    readings = [gauge(foot, what, "10") for foot in ("left", "right") for what in ("length", "ball")]
    return Wearer("W1", "men", (*readings, gauge("left", "breadth", "D", line="10")))


@pytest.mark.parametrize(
    "advice", [(), (Advice("ball", order=Fraction(-1, 2)),), (Advice("length", Fraction(1)),)]
)
def test_a_belief_of_the_same_evidence_gives_the_same_margins(
    advice: tuple[Advice, ...], reader: Wearer
) -> None:
    last = a_last(*advice)
    ((_, state),) = wearer_states(reader)
    own = margins_of(shelve([last], "men"), state)
    known = margins_of(shelve([last], "men", {"N7": KnownRun(believed(last), 9)}), state)
    assert known.mean == pytest.approx(own.mean, abs=1e-4)
    assert known.variance == pytest.approx(own.variance, rel=1e-4)


def test_a_sharper_belief_moves_and_sharpens_margins(reader: Wearer) -> None:
    last = a_last()
    belief = believed(last)
    shift = np.array([0, 0, 0, 6.0, 0, 0, 0, 0])
    sharp = Gaussian(belief.mean + shift, np.diag([9.0, 1.0, 1.0, 0.25, 1.0, 1.0, 1.0, 1.0]))
    ((_, state),) = wearer_states(reader)
    own = margins_of(shelve([last], "men"), state)
    known = margins_of(shelve([last], "men", {"N7": KnownRun(sharp, 9)}), state)
    ball = [0, 5]
    assert known.mean[0, :, ball] - own.mean[0, :, ball] == pytest.approx(6.0, abs=0.01)
    foot = state.cov[1, 1]
    assert known.variance[0, 0, 0] == pytest.approx(foot + 0.25, rel=1e-3)


def test_the_choice_follows_and_says_so(reader: Wearer) -> None:
    last = a_last()
    belief = believed(last)
    # One size bigger all over: what was 10 is now 9 1/2 or less.
    bigger = Gaussian(belief.mean + np.array([0, 0, 0, 6.27, 8.47, 3.2, 6.4, 1.6]), np.eye(8))
    plain = answer(reader, [last]).choices[0]
    known = answer(reader, Shelves([last], {"N7": KnownRun(bigger, 14)})).choices[0]
    assert known.label.size < plain.label.size
    assert [reason.facts for reason in known.why if reason.kind == "run-learned"] == [{"pairs": 14}]
    assert known.trade_rule == plain.trade_rule


def test_a_scale_for_all_adults_means_the_same_boot_to_women(reader: Wearer) -> None:
    labels = tuple(Label(Fraction(size), None) for size in range(39, 45))
    last = Last("E1", "Northmoor", "eu", labels)
    known = {"E1": KnownRun(Gaussian(np.zeros(8), np.eye(8)), 3)}
    men, women = (shelve([last], sex, known).built for sex in ("men", "women"))
    assert women == pytest.approx(men)
