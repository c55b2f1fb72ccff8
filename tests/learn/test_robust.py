"""What learning makes of pranksters, of very much and very little, and of what cannot all be meant."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from attrs import evolve

from evaluation.survey import surveyed_feet
from evaluation.try_ons import Shop, shop, try_on
from heelball.fit.wearer import PLACES, VERDICTS, Verdict
from heelball.foot.vector import FEET
from heelball.gaussian.normal import Array
from heelball.last.values import Label, Last
from heelball.learn.habits import Habits
from heelball.learn.learning import learn
from heelball.learn.runs import LastRun, Runs
from heelball.learn.try_on import TryOn
from tests.learn.shops import ALL_RIGHT, eight_lasts
from tests.requirements import shared

TEN = Label(Fraction(10), "D")


@pytest.fixture(scope="module")
def small() -> Shop:
    feet = surveyed_feet(shared("data", "ansur2_feet_build.csv"), "men")
    return shop(feet, "men", np.random.default_rng(8), lasts=10, pairs_a_last=12, pairs_a_wearer=4)


@pytest.fixture(scope="module")
def honest(small: Shop) -> Runs:
    return learn(small.lasts, small.wearers, small.try_ons, habits=Habits.default())


def off(one: Shop, runs: Runs) -> Array:
    """Return (learned - true) / sd of all runs, shape (L, 5)."""
    sds = np.array([np.sqrt(np.diagonal(last.run.cov)) for last in runs.lasts])
    found: Array = (np.array([last.run.mean for last in runs.lasts]) - one.true_runs()) / sds
    return found


def sds(last: LastRun) -> Array:
    return np.sqrt(np.diagonal(last.run.cov))


def all_alike(word: Verdict) -> dict[tuple[str, str], Verdict]:
    return {(foot, place): word for foot in FEET for place in PLACES}


def of_last(runs: Runs, code: str) -> LastRun:
    (found,) = (one for one in runs.lasts if one.last == code)
    return found


def said(wearer: str, last: Last, word: Verdict, label: Label = TEN) -> TryOn:
    return TryOn(wearer, last.code, label, dict.fromkeys(ALL_RIGHT, word), sock=2.0)


def test_one_word_in_twenty_said_at_random_moves_no_run_far(small: Shop, honest: Runs) -> None:
    generator = np.random.default_rng(4)
    pranked, changed = [], 0
    for one in small.try_ons:
        words = dict(one.verdicts)
        for where, word in one.verdicts.items():
            if generator.random() < 0.05:
                words[where] = VERDICTS[generator.integers(len(VERDICTS))]
                changed += words[where] != word
        pranked.append(evolve(one, verdicts=words))
    assert changed > 30
    runs = learn(small.lasts, small.wearers, pranked)
    assert runs.settled
    # As often right as honest words make it, and learned to be a house where words slip more.
    assert np.mean(off(small, runs) ** 2) < np.mean(off(small, honest) ** 2) + 0.4
    moved = [np.abs(a.run.mean - b.run.mean) / sds(b) for a, b in zip(runs.lasts, honest.lasts, strict=True)]
    assert np.sqrt(np.mean(np.square(moved))) < 0.7
    assert runs.habits.lapse > learn(small.lasts, small.wearers, small.try_ons).habits.lapse


def test_words_that_cannot_be_meant_are_named_before_any_other(small: Shop) -> None:
    one = small.try_ons[0]
    # Much too long where the boot is 40 mm shorter, and the other way round.
    told = evolve(
        one, label=Label(Fraction(5), "D"), verdicts={("left", "toe"): "much", ("right", "toe"): "little"}
    )
    runs = learn(small.lasts, small.wearers, [*small.try_ons, told])
    assert runs.doubtful[0].try_on is told
    assert (runs.doubtful[0].foot, runs.doubtful[0].place) == ("left", "toe")
    assert runs.doubtful[0].lapse > 0.9
    assert not any(doubt.try_on is told and doubt.foot == "right" for doubt in runs.doubtful)


def test_one_wearer_of_forty_pairs_speaks_for_one_wearer(small: Shop, honest: Runs) -> None:
    generator = np.random.default_rng(6)
    code = next(iter(small.people))
    many = [
        try_on(code, small.people[code], small.wearers[code], small.lasts[0], small.runs[0], generator)
        for _ in range(40)
    ]
    runs = learn(small.lasts, small.wearers, [*small.try_ons, *many], habits=Habits.default())
    assert runs.settled
    # Forty pairs of one last say how it runs on this one foot: the foot's own ± stays in the run's.
    before, after = sds(of_last(honest, "L00")), sds(of_last(runs, "L00"))
    assert (after < before).all()
    wearer = next(one for one in runs.wearers if one.wearer == code)
    assert (after > 0.4 * before).all()
    assert (np.sqrt(np.diagonal(wearer.foot.cov))[:5] > 0.5).all()
    assert (np.abs(off(small, runs)) < 4).all()


def test_a_last_with_one_report_knows_more_than_none_and_less_than_twelve(small: Shop, honest: Runs) -> None:
    others = [one for one in small.try_ons if one.last != "L00"]
    (first, *_) = [one for one in small.try_ons if one.last == "L00"]
    none = learn(small.lasts, small.wearers, others, habits=Habits.default())
    single = learn(small.lasts, small.wearers, [*others, first], habits=Habits.default())
    assert of_last(single, "L00").pairs == 1
    assert (sds(of_last(honest, "L00")) < sds(of_last(single, "L00"))).all()
    # A heel's word that surprises may widen: it may be a lapse. The other places are narrower.
    ratio = sds(of_last(single, "L00")) / sds(of_last(none, "L00"))
    assert (ratio[:4] < 0.98).all()
    assert ratio[4] < 1.02


def test_a_maker_of_one_last_learns_no_more_than_the_last_says(small: Shop) -> None:
    alone = [evolve(small.lasts[0], maker="alone"), *small.lasts[1:]]
    runs = learn(alone, small.wearers, small.try_ons, habits=Habits.default())
    (maker,) = (one for one in runs.makers if one.maker == "alone")
    last = of_last(runs, "L00")
    assert maker.lasts == 1
    # Half of a run is the last's own, so how the maker's lasts run is less sure than how this one does.
    # Not at the heel: its words say little, and a maker's half has less to be unsure of.
    assert (np.sqrt(np.diagonal(maker.run.cov)) > sds(last))[:4].all()
    together = learn(small.lasts, small.wearers, small.try_ons, habits=Habits.default())
    assert (sds(of_last(together, "L00")) < sds(last) + 0.05).all()


def test_reports_that_contradict_each_other_leave_the_run_where_it_was() -> None:
    (last, *_) = eight_lasts()
    told = [said(f"W{i}", last, ("little", "much")[i % 2]) for i in range(20)]
    runs = learn([last], {}, told)
    (found,) = runs.lasts
    assert runs.settled
    assert np.isfinite(runs.log_chances).all()
    # As many say the one as the other: the run lies where the middle of their bands is, and is known.
    one_sided = learn([last], {}, [said(f"W{i}", last, "much") for i in range(20)]).lasts[0]
    (none,) = learn([last], {}, []).lasts
    assert (np.abs(found.run.mean - none.run.mean) < one_sided.run.mean - none.run.mean).all()
    assert (sds(found) < sds(none)).all()


def test_one_wearer_who_says_both_of_one_pair_teaches_little() -> None:
    (last, *_) = eight_lasts()
    runs = learn([last], {}, [said("W1", last, word) for word in ("little", "much")], habits=Habits.default())
    assert runs.settled
    assert np.isfinite(runs.lasts[0].run.mean).all()
    (none,) = learn([last], {}, []).lasts
    assert (np.abs(runs.lasts[0].run.mean - none.run.mean) < sds(none)).all()


def test_who_calls_everything_tight_is_learned_to_have_that_taste(small: Shop, honest: Runs) -> None:
    code = next(iter(small.people))
    told = [
        evolve(one, verdicts=dict.fromkeys(one.verdicts, "little")) if one.wearer == code else one
        for one in small.try_ons
    ]
    runs = learn(small.lasts, small.wearers, told, habits=Habits.default())
    before, after = (next(w for w in one.wearers if w.wearer == code) for one in (honest, runs))
    # The fit is felt bigger in every place: taste and foot take it up, and the lasts hardly do.
    assert (after.fit.mean > before.fit.mean).all()
    assert (after.taste.mean > before.taste.mean + 0.3).all()
    moved = [np.abs(a.run.mean - b.run.mean) / sds(b) for a, b in zip(runs.lasts, honest.lasts, strict=True)]
    assert np.max(moved) < 1.0
