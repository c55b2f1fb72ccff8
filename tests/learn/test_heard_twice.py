"""A wearer's words in a run and heard again by the wearer's pair: how far that is from exact."""

from __future__ import annotations

import numpy as np
from attrs import evolve

from heelball.fit.imagined import judged_rows
from heelball.fit.margins import MEASURE_AT
from heelball.fit.wearer import PLACES, OwnedPair, Place, Verdict
from heelball.foot.evidence import state_index
from heelball.foot.vector import FEET, Foot
from heelball.learn.habits import Habits
from heelball.learn.learning import learn, settle
from heelball.learn.owned import weigh
from heelball.learn.predict import run_less_fit
from heelball.learn.problem import problem_of
from tests.learn.told import World, world

BALL = state_index("left", MEASURE_AT["ball"])
LONG: dict[tuple[Foot, Place], Verdict] = {
    (foot, place): "much" if place == "ball" else "right" for foot in FEET for place in PLACES
}


def off_and_wide(seen: World, who: str) -> tuple[float, float]:
    """Return how far the ball's run less fit is off [mm], and its sd as a share of the exact one."""
    (told,) = [one for one in seen.try_ons if one.wearer == who]
    long = evolve(told, verdicts=LONG)
    tried = [long if one is told else one for one in seen.try_ons]
    exact = run_less_fit(
        settle(problem_of(seen.lasts, seen.wearers, tried), Habits.default()), who, told.last
    )
    known = learn(seen.lasts, seen.wearers, tried, habits=Habits.default()).known
    pair = OwnedPair(told.last, told.label.size, told.label.width, LONG)
    feet = weigh(
        evolve(seen.wearers[who], pairs=(pair,)), {last.code: last for last in seen.lasts}, known
    ).components[0]
    fit = feet.state.image(judged_rows(feet, len(feet.state.mean)))
    run = known[told.last].run
    off = run.mean[0] - fit.mean[BALL] - exact.mean[0]
    return float(off), float(np.sqrt((run.cov[0, 0] + fit.cov[BALL, BALL]) / exact.cov[0, 0]))


def test_heard_twice_an_answer_is_little_off_and_seldom_too_sure(record_property) -> None:
    found = []
    for seed in range(4):
        seen = world(np.random.default_rng(seed), lasts=4, makers=2, wearers=6, each=1)
        found += [off_and_wide(seen, who) for who in seen.wearers]
    off, wide = np.array(found).T
    record_property("off, rms [mm]", f"{np.sqrt((off**2).mean()):.2f}")
    record_property("sd against exact, median and least", f"{np.median(wide):.2f}, {wide.min():.2f}")
    assert np.sqrt((off**2).mean()) < 2.0
    assert np.median(wide) > 1.0
    assert wide.min() > 0.5
