"""The questions of MODEL 10, each answered for one simulated person."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from attrs import evolve, frozen
from numpy.typing import NDArray

from evaluation.boots import Run, advised, any_run, full_offer, measured, true_boot, true_margins
from evaluation.people import Person, read_on_gauge
from heelball.fit.answers import Choice
from heelball.fit.choice import answer
from heelball.fit.day import ordinary_state
from heelball.fit.losses import Judging, judged_margins
from heelball.fit.ranking import Ranking, rank
from heelball.fit.shelf import Shelf, shelve
from heelball.fit.verdict import default_costs, thresholds
from heelball.fit.wearer import PLACES, Wearer
from heelball.foot.posterior import feet_posterior
from heelball.foot.prior import STATE_SIZE, Sex, offset_prior
from heelball.foot.vector import MEASURES
from heelball.gaussian.normal import Array, Gaussian
from heelball.last.values import Label, Last
from heelball.scales.catalogue import size_scale

#: People buy shoes by length, this many sizes out (sd; MODEL 10).
_CHOICE_ERROR_SIZES = 0.5

#: Stands for a number known exactly: variance of a foot that is known [mm²].
_EXACT = 1e-6


@frozen
class Ordered:
    """What was said of one order, and what came of it.

    Parameters
    ----------
    chance
        The chance stated: that every judged place of both feet is right.
    came_true
        Whether it was; None where no boot was drawn.
    rule_costs
        How much more loss the trade rule's label has; None where the rule orders nothing.
    """

    chance: float
    came_true: bool | None = None
    rule_costs: float | None = None


def right_places(built: NDArray[np.float64], one: Person) -> NDArray[np.bool_]:
    """Return which places of both feet are right in a stiff boot, shape (2, 5) (MODEL 5)."""
    lo, hi = thresholds("stiff")
    margins = true_margins(built, one)
    right: NDArray[np.bool_] = (margins > lo) & (margins < hi)
    return right


def wrong_share_in_single_width(one: Person, pairs: int, generator: np.random.Generator) -> float:
    """Return the share of pairs bought by length, in their one width, that are wrong in toe or breadth.

    The buyer takes the size of the longer foot, half a size out (sd); each pair is by an unknown maker.
    """
    offer = full_offer(one.sex)
    scale = size_scale(offer.label_scale)
    wanted = float(scale.size(one.feet[:, MEASURES.index("length")].max()))
    sides = [PLACES.index("toe"), PLACES.index("breadth")]
    wrong = 0
    for _ in range(pairs):
        size = scale.nearest(Fraction(wanted + generator.normal(scale=_CHOICE_ERROR_SIZES)))
        built = true_boot(offer, any_run(generator), Label(size, average_letter(one.sex)), one.offsets)
        wrong += not right_places(built, one)[:, sides].all()
    return wrong / pairs


def average_letter(sex: Sex) -> str:
    """Return the letter most shoes of one width have."""
    return "D" if sex == "men" else "B"


def ordered(one: Person, wearer: Wearer, last: Last, run: Run) -> Ordered:
    """Return the order from one last by the public answer, and how the boot then truly fits."""
    choice = answer(wearer, [last], detailed=0).choices[0]
    right = right_places(true_boot(last, run, choice.label, one.offsets), one)
    judged = [i for i, place in enumerate(PLACES) if choice.by_place["left"][place] is not None]
    return Ordered(choice.chance, bool(right[:, judged].all()), rule_costs(choice))


def rule_costs(choice: Choice) -> float | None:
    """Return how much more loss the trade rule's label has; None where the rule orders nothing."""
    loss = {ranked.label: ranked.loss for ranked in choice.labels}
    rule = choice.trade_rule.order
    return None if rule is None else loss[rule] - choice.loss


def of_known(feet: Gaussian, shelf: Shelf) -> Ordered:
    """Return the chance of the label of least loss, where more is known than any answer knows."""
    return Ordered(float(ranked(feet, shelf).chance_by_state[0, 0]))


def ranked(feet: Gaussian, shelf: Shelf) -> Ranking:
    """Return the labels of lasts ranked for one ordinary day, heel unread."""
    judging = Judging((ordinary_state(),), judged_margins(heel_read=False), default_costs())
    return rank(shelf, [(1.0, feet)], judging)


def known_run(last: Last, run: Run) -> Shelf:
    """Return the shelf of a last whose run is known exactly, in the frame its maker speaks in."""
    return known_runs(shelve([last], "unstated"), run.everywhere[None])


def known_runs(shelf: Shelf, runs: Array) -> Shelf:
    """Return a shelf of lasts whose runs are known exactly.

    Parameters
    ----------
    shelf
        Of N lasts.
    runs
        What every label gets, in the frame of its last on that shelf [mm], shape (N, 5).
    """
    return evolve(
        shelf,
        built=shelf.built + runs[:, None],
        own_variance=np.zeros_like(shelf.own_variance),
        design=shelf.design[:0],
        value=shelf.value[:0],
        variance=shelf.variance[:0],
    )


def known_feet(one: Person) -> Gaussian:
    """Return the state of a wearer whose feet are known; of the gauge only its prior is."""
    feet = Gaussian(one.feet.ravel(), _EXACT * np.eye(one.feet.size))
    return feet.joined(offset_prior())


def read_feet(wearer: Wearer) -> Gaussian:
    """Return both feet and the gauge's offsets given the readings, 13 numbers."""
    component = feet_posterior(wearer.readings, (), wearer.population).components[0]
    return component.state.image(np.eye(STATE_SIZE, len(component.state.mean)))


def full_offer_answers(one: Person, generator: np.random.Generator) -> dict[str, Ordered]:
    """Return the order from a last in a full offer, by what is known of feet and last."""
    offer, run, wearer = full_offer(one.sex), any_run(generator), read_on_gauge(one, generator)
    told = advised(offer, run)
    size = size_scale(offer.label_scale).nearest(size_scale(offer.label_scale).size(one.feet[:, 0].mean()))
    pair = Label(size, average_letter(one.sex))
    both = measured(told, run, pair, one.offsets, generator)
    alone = measured(offer, run, pair, one.offsets, generator)
    return {
        "gauge, nothing of the last": ordered(one, wearer, offer, run),
        "gauge, advice": ordered(one, wearer, told, run),
        "gauge, a measured pair": ordered(one, wearer, alone, run),
        "gauge, advice and a measured pair": ordered(one, wearer, both, run),
        "gauge, run known": of_known(read_feet(wearer), known_run(told, run)),
        "foot known, advice": of_known(known_feet(one), shelve([told], one.sex)),
        "foot and run known, taste not": of_known(known_feet(one), known_run(offer, run)),
    }
