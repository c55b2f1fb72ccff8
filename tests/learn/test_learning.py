"""What is learned: the right things, from few or many, in any order, and what it foretells."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import numpy as np
import pytest
from attrs import evolve

from heelball.errors import InputError
from heelball.fit.wearer import DayState, Wearer
from heelball.foot.reading import Reading
from heelball.last.values import Label, Last
from heelball.learn.against_advice import disagreements
from heelball.learn.feet import feet_given
from heelball.learn.habits import Habits
from heelball.learn.learning import learn, settle
from heelball.learn.one_more import belief_of, one_more
from heelball.learn.predict import chances_of_words, run_less_fit
from heelball.learn.problem import boot_at, problem_of
from heelball.learn.try_on import TryOn
from tests.learn.told import LABELS, World, world

HABITS = Habits.default()


@pytest.fixture(scope="module")
def seen() -> World:
    return world(np.random.default_rng(21), wearers=60)


def test_the_order_of_try_ons_lasts_and_wearers_changes_nothing(seen: World) -> None:
    first = learn(seen.lasts, seen.wearers, seen.try_ons, habits=HABITS)
    turned = dict(reversed(seen.wearers.items()))
    second = learn(seen.lasts[::-1], turned, seen.try_ons[::-1], habits=HABITS)
    for one, other in zip(first.lasts, second.lasts, strict=True):
        assert one.last == other.last
        assert other.belief.mean == pytest.approx(one.belief.mean, abs=2e-2)
        assert other.belief.cov == pytest.approx(one.belief.cov, rel=2e-2, abs=2e-2)


def test_try_ons_bring_runs_nearer_the_truth(seen: World) -> None:
    runs = learn(seen.lasts, seen.wearers, seen.try_ons)
    after = np.array([one.run.mean for one in runs.lasts]) - seen.runs
    before = np.array([one.alone.mean[3:] for one in runs.lasts]) - seen.runs
    sd = np.sqrt([np.diagonal(one.run.cov) for one in runs.lasts])
    assert (after**2).sum() < 0.5 * (before**2).sum()
    assert 0.7 < np.sqrt(((after / sd) ** 2).mean()) < 1.4
    assert sum(one.pairs for one in runs.lasts) == len(seen.try_ons)
    assert sum(one.pairs for one in runs.wearers) == len(seen.try_ons)


def test_without_try_ons_a_lone_maker_s_last_runs_as_it_is_held_to() -> None:
    (last,) = world(np.random.default_rng(22), lasts=1, makers=1, each=1).lasts
    runs = learn([last], {}, [])
    assert runs.lasts[0].belief.mean == pytest.approx(runs.lasts[0].alone.mean, abs=1e-6)
    assert runs.lasts[0].belief.cov == pytest.approx(runs.lasts[0].alone.cov, abs=1e-6)
    assert (runs.lasts[0].pairs, runs.doubtful, runs.wearers) == (0, (), ())


def test_a_maker_s_other_lasts_teach_a_last_that_nobody_tried() -> None:
    generator = np.random.default_rng(23)
    seen = world(generator, lasts=8, makers=1, wearers=60)
    untried = Last("Z", "maker 0", "us-men", LABELS)
    stranger = Last("Y", "somebody else", "us-men", LABELS)
    runs = {
        one.last: one for one in learn([*seen.lasts, untried, stranger], seen.wearers, seen.try_ons).lasts
    }
    sd = {code: np.sqrt(np.diagonal(runs[code].run.cov)).mean() for code in ("Y", "Z")}
    assert sd["Z"] < 0.95 * sd["Y"]


def test_what_most_told_against_advice_is_named() -> None:
    seen = world(np.random.default_rng(24), wearers=80)
    framed = next(last for last in seen.lasts if last.advice)
    told = framed.advice[0].order
    assert told is not None
    wrong = evolve(framed.advice[0], order=told + 3)
    lasts = [evolve(last, advice=(wrong,)) if last.code == framed.code else last for last in seen.lasts]
    named = {one.last for one in disagreements(learn(lasts, seen.wearers, seen.try_ons))}
    assert framed.code in named
    assert named <= {framed.code} | {last.code for last in seen.lasts if not last.advice}


def test_a_word_the_wrong_way_round_is_doubted(seen: World) -> None:
    by_code = {last.code: last for last in seen.lasts}
    state = settle(problem_of(seen.lasts, seen.wearers, seen.try_ons), HABITS)
    margins = [
        boot_at(by_code[one.last], one.label)[0] + run_less_fit(state, one.wearer, one.last).mean[0]
        for one in seen.try_ons
    ]
    # The boot that bends furthest ahead of a left joint is said to bend behind it.
    at = int(np.argmax(margins))
    told = seen.try_ons[at]
    assert margins[at] > 8
    turned = evolve(told, verdicts=dict(told.verdicts) | {("left", "ball"): "little"})
    changed = [*seen.try_ons[:at], turned, *seen.try_ons[at + 1 :]]
    runs = learn(seen.lasts, seen.wearers, changed, habits=HABITS)
    (found,) = [
        one for one in runs.doubtful if one.try_on == turned and (one.foot, one.place) == ("left", "ball")
    ]
    assert found.lapse > 0.8


def test_one_more_try_on_is_what_all_together_would_say() -> None:
    seen = world(np.random.default_rng(25), lasts=1, makers=1, wearers=1, each=1)
    last, wearer, told = seen.lasts[0], seen.wearers["W000"], seen.try_ons[0]
    added = one_more(belief_of(last), last, feet_given(wearer), [told], HABITS)
    runs = learn([last], {wearer.code: wearer}, [told], habits=HABITS)
    # Alone, last and wearer share nothing but the gauge's offsets, which are heard once.
    sd = np.sqrt(np.diagonal(runs.lasts[0].run.cov))
    assert np.abs(added.belief.mean[3:] - runs.lasts[0].run.mean).max() < 0.05 * sd.min()
    assert np.sqrt(np.diagonal(added.belief.cov))[3:] == pytest.approx(sd, rel=0.04)
    fit = np.sqrt(np.diagonal(runs.wearers[0].fit.cov))
    assert np.abs((added.fit.mean - runs.wearers[0].fit.mean) / fit).max() < 0.05


def test_foot_and_taste_make_up_the_fit(seen: World) -> None:
    for one in learn(seen.lasts, seen.wearers, seen.try_ons, habits=HABITS).wearers[:10]:
        assert one.foot.mean + np.tile(one.taste.mean, 2) == pytest.approx(one.fit.mean, abs=1e-6)
        assert (np.linalg.eigvalsh(one.foot.cov) > 0).all()
        assert (np.diagonal(one.taste.cov) <= HABITS.taste_sd**2 + 1e-9).all()


def test_words_are_foretold_with_chances_that_sum_to_one(seen: World) -> None:
    state = settle(problem_of(seen.lasts, seen.wearers, seen.try_ons), HABITS)
    ordinary = DayState("ordinary", 1.0, 2.0, "ordinary", 0.0)
    small = chances_of_words(state, "W000", seen.lasts[0], LABELS[1], ordinary)
    large = chances_of_words(state, "W000", seen.lasts[0], LABELS[-2], ordinary)
    assert small.sum(axis=1) == pytest.approx(np.ones(10))
    assert (small[:2, 0] > large[:2, 0]).all()
    thick = chances_of_words(state, "W000", seen.lasts[0], LABELS[1], DayState("", 1.0, 3.0, "hot", 0.0))
    assert (thick[:, 0] > small[:, 0]).all()


def test_habits_are_learned_toward_the_truth() -> None:
    # Everybody is twice as wide in what they call right, and never wrong.
    seen = world(np.random.default_rng(26), wearers=150)
    wide = Habits(HABITS.half_width * 1.4, HABITS.taste_sd, HABITS.scatter_sd, HABITS.lapse)
    learned = learn(seen.lasts, seen.wearers, seen.try_ons).habits
    stiff, truth = learned.half_width[2], HABITS.half_width[2]
    assert stiff[:3] == pytest.approx(truth[:3], rel=0.15)
    assert (np.abs(stiff - truth) < np.abs(wide.half_width[2] - truth)).all()
    # No boot here was soft: its bands stay as they were.
    assert learned.half_width[0] == pytest.approx(HABITS.half_width[0])


def test_what_cannot_be_learned_from_is_refused_by_name() -> None:
    last = Last("L", "M", "us-men", LABELS)
    child = Wearer("K", readings=(Reading("left", "length", "gauge-child", "12"),))
    told = TryOn(
        "K", "L", Label(Fraction(10), "D"), {("left", "ball"): "right"}, 2.0, place="tries.csv, line 2"
    )
    other = evolve(told, wearer="W", last="X", day=date(2026, 5, 1))
    with pytest.raises(InputError) as refused:
        learn([last], {"K": child}, [told, other])
    said = refused.value.lines()
    assert "tries.csv, line 2: wearer K, a child" in said[0]
    assert "last X" in said[1]
    with pytest.raises(InputError, match="adults' scale"):
        learn([evolve(last, label_scale="us-child")], {}, [])


def test_a_pair_told_of_twice_is_one_pair() -> None:
    seen = world(np.random.default_rng(26), lasts=2, makers=1, wearers=2, each=2)
    one, another = (next(told for told in seen.try_ons if told.wearer == code) for code in ("W000", "W001"))
    told = [one, evolve(one, hours=40.0), evolve(another, last=one.last, label=one.label)]
    runs = learn(seen.lasts, seen.wearers, told, habits=HABITS)
    assert {run.last: run.pairs for run in runs.lasts if run.pairs} == {one.last: 2}
    assert [run.pairs for run in runs.wearers] == [1, 1]
