"""The whole simulation for one sex: people drawn from the survey, every question asked of each."""

from __future__ import annotations

from typing import Final

import numpy as np
from attrs import frozen

from evaluation.figures import Bin, Figure, bins, figure
from evaluation.people import person
from evaluation.questions import full_offer_answers, wrong_share_in_single_width
from heelball.foot.prior import Sex
from heelball.gaussian.normal import Array

#: Pairs each buyer buys: a simulated pair costs next to nothing.
PAIRS: Final = 10


@frozen
class Case:
    """What an order is worth, given what is known of feet and last.

    Parameters
    ----------
    chance
        The chance stated for the label ordered.
    came_true
        How often all judged places were right.
    rule_costs
        How much more loss the trade rule's label has.
    """

    chance: Figure
    came_true: Figure
    rule_costs: Figure


@frozen
class Findings:
    """What the simulation found for one sex."""

    wrong_in_single_width: Figure
    cases: dict[str, Case]
    bins: tuple[Bin, ...]


def simulate(feet: Array, sex: Sex, buyers: int, fitted: int, generator: np.random.Generator) -> Findings:
    """Return the findings for one sex.

    Parameters
    ----------
    feet
        Surveyed right feet [mm], shape (people, 5); drawn without replacement.
    buyers, fitted
        How many people buy single-width shoes by length, and how many are fitted from a full offer.
    generator
        Of every draw.
    """

    def drawn(count: int) -> Array:
        chosen: Array = feet[generator.choice(len(feet), count, replace=False)]
        return chosen

    bought = [
        wrong_share_in_single_width(person(right, sex, generator), PAIRS, generator)
        for right in drawn(buyers)
    ]
    answers = [full_offer_answers(person(right, sex, generator), generator) for right in drawn(fitted)]
    cases = {
        name: Case(
            chance=figure(orders[name].chance for orders in answers),
            came_true=figure(orders[name].came_true for orders in answers),
            rule_costs=figure(orders[name].rule_costs for orders in answers),
        )
        for name in answers[0]
    }
    return Findings(figure(bought), cases, bins([list(orders.values()) for orders in answers]))
