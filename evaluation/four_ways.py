"""Four ways of choosing a label held against an oracle, in simulated shops (MODEL 9 and 10)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import evolve, frozen

from evaluation.boots import full_offer, true_boot
from evaluation.figures import Bin, Figure, bins, figure
from evaluation.people import Person
from evaluation.questions import Ordered, average_letter, known_feet, known_runs, ranked, right_places
from evaluation.scores import Scores, scores
from evaluation.try_ons import customers, shop
from heelball.fit.answers import Choice
from heelball.fit.choice import answer
from heelball.fit.shelf import Shelves, shelve
from heelball.fit.wearer import PLACES, Wearer
from heelball.foot.evidence import observe_all
from heelball.foot.prior import Sex
from heelball.gaussian.normal import Array
from heelball.last.values import Label
from heelball.learn.learning import settle
from heelball.learn.outcome import outcome
from heelball.learn.problem import problem_of
from heelball.scales.catalogue import size_scale

#: A shop: its lasts, pairs tried of each, pairs a wearer tries; then new customers for each last.
LASTS: Final = 30
PAIRS_A_LAST: Final = 20
PAIRS_A_WEARER: Final = 3
CUSTOMERS: Final = 30

#: Every so many pairs, one is kept from learning, to be foreseen.
KEPT_BACK: Final = 6

LENGTH, RULE, CORE, LEARNED, ORACLE = (
    "nearest by length only",
    "trade rule with advice",
    "core without learning",
    "core with learned runs",
    "oracle: feet and last known",
)
WAYS: Final = (LENGTH, RULE, CORE, LEARNED, ORACLE)


@frozen
class Way:
    """What came of one way of choosing.

    Parameters
    ----------
    wrong
        Share of orders whose label is wrong in some judged place of either foot.
    avoidable
        That share above the oracle's: the oracle knows both feet and the last, taste it does not.
    ratio
        The avoidable share over that of the nearest by length only.
    """

    wrong: Figure
    avoidable: Figure
    ratio: Figure


@frozen
class FourWays:
    """What the simulation found; errors are over shops, each of which shares a gauge and makers.

    Parameters
    ----------
    orders
        How many: customers times lasts, over all shops; those of them without any order by the
        trade rule, which are counted as wrong.
    ways
        By name, in the order of `WAYS`.
    stated
        How often stated chances came true, without and with learned runs.
    foreseen
        Mean log chances of words of pairs kept back.
    better
        How much better learning foresees than ignoring try-ons, and than words as numbers.
    """

    orders: int
    without_order: int
    ways: dict[str, Way]
    stated: dict[str, tuple[Bin, ...]]
    foreseen: dict[str, Figure]
    better: dict[str, Figure]


@frozen
class _Shop:
    """What came of one shop: wrong shares by way, orders with stated chances, log scores."""

    wrong: dict[str, float]
    stated: dict[str, list[Ordered]]
    without_order: int
    foreseen: Scores


def four_ways(feet: Mapping[Sex, Array], shops: int, generator: np.random.Generator) -> FourWays:
    """Return what the four ways came to.

    Parameters
    ----------
    feet
        Surveyed right feet of men and women [mm]; shops serve the one and the other in turn.
    shops
        How many.
    """
    sexes = [list(feet)[i % len(feet)] for i in range(shops)]
    found = [_one_shop(feet[sex], sex, generator) for sex in sexes]
    wrong = {way: np.array([one.wrong[way] for one in found]) for way in WAYS}
    above = {way: wrong[way] - wrong[ORACLE] for way in WAYS}
    foreseen = {
        "learned from try-ons": np.array([one.foreseen.learned for one in found]),
        "ignoring try-ons": np.array([one.foreseen.ignoring for one in found]),
        "words as numbers, linear regression": np.array([one.foreseen.as_numbers for one in found]),
    }
    learned, *others = foreseen
    return FourWays(
        orders=shops * CUSTOMERS * LASTS,
        without_order=sum(one.without_order for one in found),
        ways={
            way: Way(figure(wrong[way]), figure(above[way]), _ratio(above[way], above[LENGTH]))
            for way in WAYS
        },
        stated={way: bins([one.stated[way] for one in found]) for way in (CORE, LEARNED)},
        foreseen={name: figure(values) for name, values in foreseen.items()},
        better={name: figure(foreseen[learned] - foreseen[name]) for name in others},
    )


def _ratio(above: Array, of: Array) -> Figure:
    """Return the ratio of two means over shops, its error from what is left of it shop by shop."""
    ratio = above.mean() / of.mean()
    rest = figure((above - ratio * of) / of.mean())
    return evolve(rest, mean=float(ratio))


def _one_shop(feet: Array, sex: Sex, generator: np.random.Generator) -> _Shop:
    order = generator.permutation(len(feet))
    one = shop(
        feet[order[CUSTOMERS:]],
        sex,
        generator,
        lasts=LASTS,
        pairs_a_last=PAIRS_A_LAST,
        pairs_a_wearer=PAIRS_A_WEARER,
    )
    later = one.try_ons[::KEPT_BACK]
    heard = [told for i, told in enumerate(one.try_ons) if i % KEPT_BACK]
    state = settle(problem_of(one.lasts, one.wearers, heard))
    runs = outcome(state, one.lasts, heard)
    plain, known = Shelves(one.lasts), Shelves(one.lasts, runs.known)
    exact = known_runs(shelve([full_offer(sex)] * LASTS, sex), one.true_runs())
    people, wearers = customers(feet[order[:CUSTOMERS]], sex, one.offsets, generator, "C")
    wrong: dict[str, list[bool]] = {way: [] for way in WAYS}
    stated: dict[str, list[Ordered]] = {CORE: [], LEARNED: []}
    without_order = 0
    for code, person in people.items():
        wearer = wearers[code]
        core, learned = _answered(wearer, plain), _answered(wearer, known)
        best = ranked(known_feet(person), exact).best
        by_length = _nearest_by_length(wearer, sex)
        for at, (last, run) in enumerate(zip(one.lasts, one.runs, strict=True)):
            labels: dict[str, Label | None] = {
                LENGTH: by_length,
                RULE: core[last.code].trade_rule.order,
                CORE: core[last.code].label,
                LEARNED: learned[last.code].label,
                ORACLE: last.labels[best[at]],
            }
            without_order += labels[RULE] is None
            for way, label in labels.items():
                wrong[way].append(
                    label is None or not _is_right(true_boot(last, run, label, one.offsets), person)
                )
            for way, choices in ((CORE, core), (LEARNED, learned)):
                stated[way].append(Ordered(choices[last.code].chance, not wrong[way][-1]))
    return _Shop(
        {way: float(np.mean(values)) for way, values in wrong.items()},
        stated,
        without_order,
        scores(state, one.lasts, one.wearers, heard, later),
    )


def _answered(wearer: Wearer, shelves: Shelves) -> dict[str, Choice]:
    return {choice.last.code: choice for choice in answer(wearer, shelves, detailed=0).choices}


def _nearest_by_length(wearer: Wearer, sex: Sex) -> Label:
    """Return the size nearest to the longer foot as it was read, in the width most shoes have."""
    scale = size_scale(full_offer(sex).label_scale)
    seen = [one.value for one in observe_all(wearer.readings, sex) if one.measure == "length"]
    return Label(scale.nearest(scale.size(max(seen))), average_letter(sex))


def _is_right(built: Array, person: Person) -> bool:
    """Return whether all places of both feet are right; the heel is not read, so not judged."""
    judged = [i for i, place in enumerate(PLACES) if place != "heel"]
    return bool(right_places(built, person)[:, judged].all())
