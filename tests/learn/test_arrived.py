"""The pair that arrived: the same Gaussian as the choice's, and its words against plain sampling."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

import numpy as np
import pytest
from attrs import evolve
from scipy.stats import norm

from heelball.fit.choice import answer, feet_of
from heelball.fit.day import growth, ordinary_state
from heelball.fit.known_run import KnownRun
from heelball.fit.shelf import Shelves, shelve
from heelball.fit.wearer import PLACES, DayState, Place, Verdict, Wearer
from heelball.foot.vector import FEET, Foot, Population
from heelball.gaussian.normal import Array
from heelball.last.values import Label, Last, MeasuredPair
from heelball.learn.arrived import Arrived, TriedOn, arrived
from heelball.learn.deciding import Decided, can_go_back, decide
from heelball.learn.habits import Habits
from heelball.learn.one_more import belief_of
from heelball.learn.pair_words import TASTE, with_run
from tests.fittings import alike, last, wearer

Fit = Mapping[tuple[Foot, Place], Verdict]

WHO = wearer(*alike("10", "10 1/2", "D", line="10 1/2"))
N7 = last(8, 12, -0.5, widths="B D EE", reference_width="D")
TEN_D = Label(Fraction(10), "D")
ALL_RIGHT: Fit = {(foot, place): "right" for foot in FEET for place in PLACES}


def at(place: Place, word: Verdict) -> Fit:
    return {(foot, place): word for foot in FEET}


def found(
    fit: Fit | None = None,
    *,
    what: Last = N7,
    label: Label = TEN_D,
    who: Wearer = WHO,
    state: DayState | None = None,
    boot: MeasuredPair | None = None,
    known: KnownRun | None = None,
) -> Arrived:
    tried = [TriedOn(fit, state or ordinary_state())] if fit else []
    return arrived(feet_of(who), what, label, boot=boot, tried=tried, known=known)


def decided(
    fit: Fit | None = None, *, who: Wearer = WHO, label: Label = TEN_D, what: Last = N7, **more
) -> Decided:
    days_left = more.pop("days_left", None)
    tried = [TriedOn(fit, ordinary_state())] if fit else []
    return decide(found(fit, who=who, label=label, what=what, **more), who, label, tried, days_left)


def own_loss(who: Wearer, what: Last, label: Label, known: KnownRun | None = None) -> float:
    """Return the loss that `choose` has for a label."""
    runs = None if known is None else {what.code: known}
    (choice,) = answer(who, Shelves([what], runs)).choices
    return next(one.loss for one in choice.labels if one.label == label)


@pytest.mark.parametrize("population", ["men", "unstated"])
def test_a_pair_that_says_nothing_costs_what_choose_says(population: Population) -> None:
    who = evolve(WHO, population=population)
    told = decided(who=who)
    assert told.own.loss == pytest.approx(own_loss(who, N7, TEN_D), abs=1e-9)
    assert told.other is not None
    assert told.other.loss == pytest.approx(own_loss(who, N7, told.other.label), abs=1e-9)
    assert np.allclose(found(who=who).run_before.mean, found(who=who).run_after.mean)


@pytest.mark.parametrize("toe", ["round", "pointed"])
def test_a_measured_boot_is_one_more_measured_pair_of_its_last(toe: str) -> None:
    what = evolve(N7, toe=toe)  # type: ignore[arg-type]
    boot = MeasuredPair(Fraction(10), "D", inside_length=288.0, flex_line=207.0)
    told = decided(boot=boot, what=what)
    expected = own_loss(WHO, evolve(what, measured=(boot,)), TEN_D)
    assert told.own.loss == pytest.approx(expected, abs=1e-9)


def test_a_rule_read_wrongly_is_shown_and_left_out() -> None:
    """80 for 208: no boot bends there, and the step must not follow from it."""
    slip = MeasuredPair(Fraction(10), "D", inside_length=288.0, flex_line=80.0)
    told = decided(boot=slip)
    without = decided(boot=MeasuredPair(Fraction(10), "D", inside_length=288.0))
    assert told.own.loss == pytest.approx(without.own.loss, abs=1e-12)
    seen = {one.kind: one.believed for one in found(boot=slip).measured}
    assert seen == {"inside_length": True, "flex_line": False}
    alone = found(boot=MeasuredPair(Fraction(10), "D", flex_line=80.0))
    assert np.allclose(alone.run_before.mean, alone.run_after.mean)


def test_a_measured_boot_adds_to_a_learned_run() -> None:
    """The same as a belief that had been conditioned on the measure itself."""
    known = KnownRun(belief_of(N7), 9)
    boot = MeasuredPair(Fraction(10), "D", flex_line=207.0)
    built = float(shelve([N7], "men").built[0, N7.labels.index(TEN_D), 0])
    row = np.zeros((1, 8))
    row[0, 3] = 1.0
    more = KnownRun(known.belief.condition(row, np.array([207.0 - built]), np.array([2.0**2])), 9)
    told = decided(boot=boot, known=known)
    assert told.own.loss == pytest.approx(own_loss(WHO, N7, TEN_D, more), abs=1e-6)
    assert found(boot=boot, known=known).run_after.cov[0, 0] < 4


def test_a_stick_in_a_pointed_boot_leaves_what_its_point_takes_in_doubt() -> None:
    """With a learned run that is no more than the last's own evidence, as without one."""
    what = evolve(N7, toe="pointed")
    boot = MeasuredPair(Fraction(10), "D", inside_length=288.0)
    alone, learned = (found(what=what, boot=boot, known=k) for k in (None, KnownRun(belief_of(what), 0)))
    assert alone.run_after.cov[1, 1] > 9
    # All makers' run, sd 2, is in a learned run alone; grade errors in the other.
    assert learned.run_after.cov[1, 1] == pytest.approx(alone.run_after.cov[1, 1], rel=0.15)
    assert learned.run_after.mean[1] == pytest.approx(alone.run_after.mean[1], abs=0.6)
    (one,) = learned.measured
    assert one.found == 288.0
    assert one.sd == pytest.approx(alone.measured[0].sd, rel=0.25)


def _sampled(fit: Fit, state: DayState, draws: int) -> tuple[Array, Array, Array]:
    """Return run and margin at the left ball, and weights, by sampling all numbers and weighing them."""
    component = feet_of(WHO).components[0].with_shared(TASTE)
    shelf = shelve([N7], "men")
    start = len(component.state.mean)
    joint = with_run(component.state, shelf)
    size = len(joint.mean)
    generator = np.random.default_rng(20260314)
    root = np.linalg.cholesky(joint.cov + 1e-9 * np.eye(size))
    z = joint.mean + generator.standard_normal((draws, size)) @ root.T
    one_size = np.array([6.27, 8.467, 3.175, 6.35, 1.59])
    c = z[:, 10:13]
    run = z[:, start, None] * one_size + z[:, start + 1 : start + 6]
    run[:, :3] -= c
    run[:, 1] += z[:, start + 13]
    # The state's foot is length, ball, breadth, girth, heel; places begin with the ball.
    order = [1, 0, 2, 3, 4]
    built = shelf.built[0, N7.labels.index(TEN_D)]
    habits = Habits.default()
    lo, hi = habits.bands("stiff")
    weight = np.ones(draws)
    margins = {}
    for (foot, place), word in fit.items():
        p = PLACES.index(place)
        x = z[:, 5 * FEET.index(foot) + order[p]]
        taste = z[:, component.columns["taste", "", place]]
        margin = built[p] + run[:, p] - x - growth(state)[p] - taste
        margins[foot, place] = margin
        low = {"little": -np.inf, "right": lo[p], "much": hi[p]}[word]
        high = {"little": lo[p], "right": hi[p], "much": np.inf}[word]
        sd = habits.scatter_sd[p]
        chance = norm.cdf((high - margin) / sd) - norm.cdf((low - margin) / sd)
        weight = weight * (0.98 * chance + 0.02 / 3)
    return run, margins["left", "ball"], weight / weight.sum()


@pytest.mark.parametrize(
    ("fit", "state"),
    [
        ({**at("ball", "much"), **at("toe", "right"), **at("breadth", "little")}, ordinary_state()),
        ({**at("ball", "right"), **at("girth", "little")}, DayState("", 1.0, 3.0, "hot", 3.0)),
    ],
)
def test_words_against_plain_sampling(fit: Fit, state: DayState) -> None:
    told = found(fit, state=state)
    assert told.settled
    run, ball, weight = _sampled(fit, state, 400_000)
    mean = weight @ run
    sd = np.sqrt(weight @ (run - mean) ** 2)
    assert 1 / (weight**2).sum() > 2_000, "enough draws count"
    assert np.allclose(told.run_after.mean, mean, atol=0.1 * sd.max())
    assert np.allclose(np.sqrt(np.diagonal(told.run_after.cov)), sd, rtol=0.06)
    label = N7.labels.index(TEN_D)
    left_ball = told.margins[0].mean[0, label, 0] - growth(state)[0]
    assert left_ball == pytest.approx(weight @ ball, abs=0.3)


@pytest.mark.parametrize("size", ["9", "9 1/2", "10", "10 1/2", "11"])
@pytest.mark.parametrize("width", ["B", "D", "EE"])
def test_a_pair_called_right_all_over_is_kept(size: str, width: str) -> None:
    label = Label(sum((Fraction(part) for part in size.split()), Fraction(0)), width)
    told = decided(ALL_RIGHT, label=label)
    assert (told.say, told.to) == ("keep", None)
    assert told.chance > decided(label=label).own.chance, "what is felt speaks for the pair"


def test_a_numb_foot_does_not_speak_for_the_pair() -> None:
    label = Label(Fraction(8), "D")
    assert decided(ALL_RIGHT, label=label).say == "keep"
    numb = evolve(WHO, signs=evolve(WHO.signs, numbness=True))
    assert decided(ALL_RIGHT, label=label, who=numb).say == "exchange"


def test_a_pair_that_bends_far_ahead_on_both_feet_goes_back_for_a_smaller_one() -> None:
    told = decided(at("ball", "much"))
    assert told.say == "exchange"
    assert told.to is not None
    assert told.to.size < 10
    assert told.other is not None
    assert told.chance == told.other.chance > told.own.chance


def test_no_exchange_where_it_cannot_go_back() -> None:
    assert decided(at("ball", "much"), days_left=3).say == "exchange"
    assert decided(at("ball", "much"), days_left=0).say != "exchange"
    none = evolve(N7, terms=evolve(N7.terms, exchange_days=0))
    assert not can_go_back(none, None)
    assert can_go_back(none, 4), "who knows better says so"
    assert can_go_back(N7, None), "terms that nobody asked for may allow it"
    assert decided(at("ball", "much"), what=none).say != "exchange"


def test_an_insole_for_a_boot_that_is_loose_round_the_ball() -> None:
    told = decided(at("girth", "much"))
    assert told.say == "adjust"
    assert (told.adjusted.sock, told.adjusted.insole) == (None, 3.0)
    assert told.chance == told.adjusted.chance
    own = evolve(WHO, signs=evolve(WHO.signs, orthosis=True))
    assert decided(at("girth", "much"), who=own).adjusted.insole == 0.0, "no insole over an own orthosis"


def test_where_no_label_serves_it_goes_back_for_another_last() -> None:
    small = last(5, 6, -0.5, widths="B D", reference_width="D")
    told = decided(label=Label(Fraction(6), "D"), what=small)
    assert (told.say, told.to, told.serves) == ("exchange", None, False)
    assert told.chance < 0.1
    assert decided(label=Label(Fraction(6), "D"), what=small, days_left=0).say in ("keep", "adjust")


@pytest.mark.parametrize("label", N7.labels, ids=str)
def test_each_change_has_to_save_what_it_is_worth(label: Label) -> None:
    told = decided(label=label)
    assert told.other is not None
    worth = {
        "keep": told.own.loss,
        "adjust": told.adjusted.loss + 0.05,
        "exchange": told.other.loss + 0.1,
    }
    assert told.say == min(worth, key=lambda say: worth[say])
    assert (told.to is not None) == (told.say == "exchange")


def test_a_word_about_the_heel_has_it_judged() -> None:
    assert decided(at("heel", "much")).own.loss > decided().own.loss + 0.05


def test_words_that_contradict_each_other_move_little() -> None:
    """One of the two is a lapse: two heaps, of which one Gaussian is only nearly right."""
    fit: Fit = {("left", "ball"): "little", ("right", "ball"): "much"}
    told = found(fit)
    run, _, weight = _sampled(fit, ordinary_state(), 200_000)
    mean = weight @ run[:, 0]
    sd = np.sqrt(weight @ (run[:, 0] - mean) ** 2)
    assert told.settled
    assert abs(told.run_after.mean[0] - mean) < 0.25 * sd
    assert 0.75 * sd < np.sqrt(told.run_after.cov[0, 0]) < 1.1 * sd


def test_a_last_of_one_label_has_no_other() -> None:
    lone = last(10, 10, -0.5, widths="D", reference_width="D")
    assert decided(what=lone).other is None
    assert decided(at("ball", "much"), what=lone).say in ("keep", "adjust")
