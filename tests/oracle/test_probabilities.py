"""Chances of places and of whole boots against SciPy's normal and multivariate normal."""

from __future__ import annotations

import numpy as np
import pytest
from attrs import evolve
from scipy.stats import multivariate_normal, norm

from heelball.fit.wearer import DayState
from heelball.gaussian.probability import box
from heelball.last.values import MeasuredPair
from tests.fit.judging import Judged, judged
from tests.fittings import halves, last, mm, offer, random_wearers

pytestmark = pytest.mark.oracle

STATES = [
    DayState("cool", 0.4, 1.0, "rest", 0.0),
    DayState("day", 0.3, 2.0, "ordinary", 0.0),
    DayState("hot", 0.3, 4.0, "hot", 2.0),
]

#: One taste for each place, the same on both feet (MODEL 5), in the ten margins [mm²].
TASTE_SD = np.array([2.0, 2.0, 2.0, 6.0, 3.0])
TASTE = np.tile(np.diag(TASTE_SD**2), (2, 2))


def cases(generator: np.random.Generator, count: int) -> list[tuple[Judged, int]]:
    """Return random wearers judged on random lasts, with a label: the best, or one near it."""
    found = []
    for who in random_wearers(generator, count):
        kept = [row for row in who.readings if generator.random() < 0.8]
        heel = generator.random() < 0.5
        if heel:
            kept.append(mm("left", "heel", round(generator.normal(72.5, 5)), "caliper"))
        day = tuple(STATES) if generator.random() < 0.5 else (STATES[generator.integers(3)],)
        day = day if len(day) == 3 else (evolve(day[0], share=1.0),)
        pair = MeasuredPair(halves(9, 11)[generator.integers(5)], "D", 290.0, 203.0, 252.0)
        what = last(
            order=[None, -0.5, 0.0, 0.5][generator.integers(4)],
            labels=offer(halves(6, 14), "B C D E EE"),
            stiffness=["stiff", "medium", "soft"][generator.integers(3)],
            toe=["round", "almond", "pointed"][generator.integers(3)],
            measured=(pair,) if generator.random() < 0.3 else (),
        )
        seen = judged(evolve(who, readings=tuple(kept), day=day), what, heel=heel)
        near = np.argsort(seen.ranking.mixed.loss[0], kind="stable")[:5]
        found.append((seen, int(near[generator.integers(5)])))
    return found


def test_place_chances_are_the_normals():
    generator = np.random.default_rng(11)
    worst = 0.0
    taste = np.tile(TASTE_SD, 2)
    for seen, _ in cases(generator, 20):
        mixed, shelf = seen.ranking.mixed, seen.shelf
        mean = mixed.margins[0].mean[0][:, None, :] - seen.judging.growth
        sd = np.sqrt(mixed.margins[0].variance[0] + taste**2)[:, None, :]
        lo, hi = np.tile(shelf.lo[0], 2), np.tile(shelf.hi[0], 2)
        for ours, theirs in (
            (mixed.little[0, 0], norm.cdf(lo, mean, sd)),
            (mixed.much[0, 0], norm.sf(hi, mean, sd)),
        ):
            judged = seen.judging.judged
            worst = max(worst, float(np.abs(ours - theirs)[..., judged].max()))
    assert worst < 5e-4, f"at most {worst:.1e} off"
    # They are the same function: anything more than rounding would be a mistake.
    assert worst < 1e-12, f"at most {worst:.1e} off"


def joint_errors(count: int, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Return how far the chance that all is right is from SciPy's: as chosen, and of the bare box."""
    generator = np.random.default_rng(seed)
    chosen: list[float] = []
    bare: list[float] = []
    for seen, label in cases(generator, count):
        mixed, shelf, sides = seen.ranking.mixed, seen.shelf, np.flatnonzero(seen.judging.judged)
        state = int(generator.integers(len(seen.judging.states)))
        best = int(seen.ranking.best[0])
        for which, as_chosen in ((best, True), (label, False)):
            at = (np.array([0]), np.array([which]))
            cov = (mixed.margins[0].covariance(shelf, *at)[0] + TASTE)[np.ix_(sides, sides)]
            mean = (mixed.margins[0].mean[0, which] - seen.judging.growth[state])[sides]
            lo, hi = np.tile(shelf.lo[0], 2)[sides], np.tile(shelf.hi[0], 2)[sides]
            theirs = multivariate_normal.cdf(
                hi,
                mean,
                cov,
                lower_limit=lo,
                abseps=1e-4,
                releps=0,
                maxpts=2_000_000,
                rng=np.random.default_rng(5),
            )
            if as_chosen:
                ours = float(seen.ranking.chance_by_state[0, state])
            else:
                ours = float(box(cov[None], (lo - mean)[None, None], (hi - mean)[None, None])[0, 0])
            (chosen if as_chosen else bare).append(ours - theirs)
    return np.array(chosen), np.array(bare)


def near(errors: np.ndarray, what: str) -> None:
    worst, rms = np.abs(errors).max(), float(np.sqrt((errors**2).mean()))
    said = f"{what}, {len(errors)} cases: at most {worst:.4f}, rms {rms:.4f}"
    print(said)  # noqa: T201
    assert worst <= 0.01, said
    assert rms <= 0.003, said


def test_joint_chances_of_a_hundred_cases():
    chosen, bare = joint_errors(100, 21)
    near(chosen, "ordered labels")
    near(bare, "labels near them")


@pytest.mark.slow
def test_joint_chances_of_a_thousand_cases():
    chosen, bare = joint_errors(1000, 22)
    near(chosen, "ordered labels")
    near(bare, "labels near them")


def test_a_box_of_independent_sides_is_their_product():
    generator = np.random.default_rng(3)
    sd = generator.uniform(0.5, 3, 9)
    lo, hi = -generator.uniform(0, 5, 9), generator.uniform(0, 5, 9)
    found = box(np.diag(sd**2)[None], lo[None, None], hi[None, None])[0, 0]
    assert found == pytest.approx(np.prod(norm.cdf(hi / sd) - norm.cdf(lo / sd)), abs=1e-9)


def test_a_wider_box_is_never_less_likely():
    # Monotone in each margin: tolerance 0.005, because one fixed set of points samples the box.
    generator = np.random.default_rng(4)
    for seen, label in cases(generator, 30):
        sides = np.flatnonzero(seen.judging.judged)
        at = (np.array([0]), np.array([label]))
        cov = (seen.ranking.mixed.margins[0].covariance(seen.shelf, *at)[0] + TASTE)[np.ix_(sides, sides)]
        mean = seen.ranking.mixed.margins[0].mean[0, label][sides]
        lo, hi = np.tile(seen.shelf.lo[0], 2)[sides] - mean, np.tile(seen.shelf.hi[0], 2)[sides] - mean
        before = box(cov[None], lo[None, None], hi[None, None])[0, 0]
        for side in range(len(sides)):
            wider = hi.copy()
            wider[side] += 2
            assert box(cov[None], lo[None, None], wider[None, None])[0, 0] >= before - 0.005


def test_the_same_question_has_the_same_answer():
    (seen, _) = cases(np.random.default_rng(9), 1)[0]
    (again, _) = cases(np.random.default_rng(9), 1)[0]
    assert (seen.ranking.chance_by_state == again.ranking.chance_by_state).all()
