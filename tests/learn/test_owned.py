"""Pairs a wearer owns: what their verdicts say of feet and taste, against brute force."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from heelball.fit.choice import answer, describe_feet, feet_of
from heelball.fit.known_run import KnownRun
from heelball.fit.verdict import thresholds
from heelball.fit.wearer import PLACES, OwnedPair, Wearer
from heelball.foot.posterior import FeetPosterior
from heelball.gaussian.normal import Gaussian
from heelball.gaussian.probability import below
from heelball.last.values import Advice, Label, Last
from heelball.learn.owned import weigh
from heelball.learn.problem import boot_at
from heelball.package_data import defaults
from tests.fittings import gauge

LABELS = tuple(Label(Fraction(size, 2), width) for size in range(16, 26) for width in ("B", "D", "EE"))
LAST = Last("N7", "Northmoor", "us-men", LABELS)
TEN = Fraction(10)
#: Where each place of a foot stands in the state: core's measures are length, ball, breadth, girth, heel.
AT = {"ball": 1, "toe": 0, "breadth": 2, "girth": 3, "heel": 4}


def a_pair(size: Fraction = TEN, width: str = "D", last: str = "N7", **words: str) -> OwnedPair:
    verdicts = {(foot, place): word for foot in ("left", "right") for place, word in words.items()}
    return OwnedPair(last, size, width, verdicts)  # type: ignore[arg-type]


def read(*pairs: OwnedPair) -> Wearer:
    readings = [gauge(foot, what, "10") for foot in ("left", "right") for what in ("length", "ball")]
    return Wearer("W1", "men", tuple(readings), pairs=pairs)


def mean_and_sd(feet: FeetPosterior) -> tuple[np.ndarray, np.ndarray]:
    ((_, state),) = [(c.weight, c.state) for c in feet.components]
    return state.mean[:10], np.sqrt(np.diagonal(state.cov))[:10]


def brute(who: Wearer, run: Gaussian, draws: int = 400_000) -> tuple[np.ndarray, np.ndarray]:
    """Return mean and sd of both feet by weighing draws from everything before the verdicts."""
    generator = np.random.default_rng(11)
    state = feet_of(who).components[0].state
    feet = Gaussian(state.mean[:10], state.cov[:10, :10]).sample(generator, draws)
    taste_sd = [defaults()["verdict"][place]["taste_sd"] for place in PLACES]
    taste = generator.normal(0, taste_sd, (draws, 5))
    lo, hi = thresholds("stiff")
    log = np.zeros(draws)
    for pair in who.pairs:
        runs = run.sample(generator, draws)
        boot = boot_at(LAST, Label(pair.size, pair.width))
        for (foot, place), word in pair.verdicts.items():
            p = PLACES.index(place)
            scatter = defaults()["verdict"][place]["scatter_sd"]
            margin = boot[p] + runs[:, p] - feet[:, AT[place] + 5 * (foot == "right")] - taste[:, p]
            little, much = below((lo[p] - margin) / scatter), below((margin - hi[p]) / scatter)
            chance = {"little": little, "much": much, "right": 1 - little - much}[word]
            log += np.log(0.98 * chance + 0.02 / 3)
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    mean = weight @ feet
    return mean, np.sqrt(weight @ (feet - mean) ** 2)


@pytest.mark.parametrize(
    "pair",
    [
        a_pair(ball="right", toe="right", breadth="right", girth="right", heel="right"),
        a_pair(ball="little", toe="little", breadth="right"),
        a_pair(Fraction(12), "EE", ball="right", toe="right", breadth="right"),
    ],
)
def test_against_brute_force(pair: OwnedPair) -> None:
    who = read(pair)
    # The run before any evidence: one size all over of sd 0.6, and each place's own.
    size = np.array([6.27, 8.467, 3.175, 6.35, 1.59])
    run = Gaussian(np.zeros(5), 0.36 * np.outer(size, size) + np.diag([2.5, 2.5, 2.5, 5, 2.5]) ** 2)
    found, sd = mean_and_sd(weigh(who, {"N7": LAST}))
    mean, spread = brute(who, run)
    assert np.abs((found - mean) / spread).max() < 0.1
    assert sd == pytest.approx(spread, rel=0.06)


def test_a_foot_never_measured_is_known_from_a_pair_that_fits() -> None:
    words = dict.fromkeys(PLACES, "right")
    who = Wearer("W2", "men", pairs=(a_pair(Fraction(12), **words),))
    known = {"N7": KnownRun(Gaussian(np.zeros(8), np.diag([9.0, 1, 1, 1, 1, 1, 1, 1])), 30)}
    bare, worn = feet_of(who), weigh(who, {"N7": LAST}, known)
    before, after = bare.measure("left", "length"), worn.measure("left", "length")
    assert before is not None
    assert after is not None
    assert after[0] > before[0] + 3
    assert after[1] < before[1]
    told = describe_feet(who, feet=worn)
    assert [reason.kind for reason in told.remarks if reason.kind.startswith("pairs")] == ["pairs-weighed"]


def test_an_answer_by_pairs_alone_is_honest_and_asks_for_a_reading() -> None:
    who = Wearer("W2", "men", pairs=(a_pair(ball="right", toe="right", breadth="right"),))
    last = Last("N8", "Northmoor", "us-men", LABELS, advice=(Advice("ball", order=Fraction(0)),))
    by_pairs = answer(who, [last], feet=weigh(who, {"N7": LAST})).choices[0]
    assert by_pairs.next_reading is not None
    assert by_pairs.chance < 0.6
    assert abs(by_pairs.label.size - TEN) <= 1


def test_taste_told_by_pairs_moves_the_order_and_not_the_margin_shown() -> None:
    # A snug foot beside its readings: everything of its size called too little room, boot after boot.
    pairs = tuple(
        a_pair(size, breadth="little", ball="right", toe="right") for size in (TEN, Fraction(21, 2))
    )
    who = read(*pairs)
    last = Last("N8", "Northmoor", "us-men", LABELS, advice=(Advice("ball", order=Fraction(0)),))
    plain = answer(read(), [last]).choices[0]
    worn = answer(who, [last], feet=weigh(who, {"N7": LAST})).choices[0]
    width = {label.width: n for n, label in enumerate(LABELS[:3])}
    assert width[worn.label.width] >= width[plain.label.width]
    shown = worn.by_place["left"]["breadth"]
    assert shown is not None
    feet = weigh(who, {"N7": LAST}).measure("left", "breadth")
    assert feet is not None
    built = boot_at(last, worn.label)[2]
    # Built-for less the foot as shown, up to the run's own small mean.
    assert shown.mean == pytest.approx(built - feet[0], abs=1.0)


@pytest.mark.parametrize(
    "pair",
    [a_pair(last="Z1", ball="right"), a_pair(Fraction(99), ball="right"), a_pair()],
    ids=["no such last", "no such label", "nothing told"],
)
def test_a_pair_that_cannot_be_heard_changes_nothing(pair: OwnedPair) -> None:
    who = read(pair)
    found = weigh(who, {"N7": LAST})
    assert found.pairs == 0
    assert mean_and_sd(found)[0] == pytest.approx(mean_and_sd(feet_of(who))[0])


def test_a_population_that_was_not_stated_is_told_by_a_pair() -> None:
    who = Wearer("W3", pairs=(a_pair(Fraction(12), ball="right", toe="right", breadth="right"),))
    weights = {one.sex: one.weight for one in weigh(who, {"N7": LAST}).components}
    assert weights["men"] > 0.7
