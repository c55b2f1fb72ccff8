"""Which label of which last to order: the whole answer for one wearer (MODEL 4 to 8)."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date as Date
from itertools import islice

from attrs import evolve

from heelball.fit.answers import Answer, Choice, FootFigure, Reason
from heelball.fit.cautions import wearer_cautions
from heelball.fit.composing import Composing
from heelball.fit.foremost import foremost
from heelball.fit.referral import referrals
from heelball.fit.shelf import Shelves
from heelball.fit.wearer import Wearer
from heelball.foot.posterior import FeetPosterior, feet_posterior
from heelball.foot.slips import likely_slips
from heelball.foot.vector import FEET, MEASURES, Foot, Measure
from heelball.last.values import Last

#: How many lasts are worked out in full: reasons, next reading, tipping point.
DETAILED = 20


def answer(
    wearer: Wearer,
    lasts: Iterable[Last] | Shelves,
    *,
    today: Date | None = None,
    detailed: int = DETAILED,
    listed: int | None = None,
    feet: FeetPosterior | None = None,
) -> Answer:
    """Return what to order for one wearer from each of several lasts.

    Parameters
    ----------
    wearer
        Readings, day and signs.
    lasts
        The lasts that could be had; a `Shelves` made once serves many wearers.
    today
        For the age of readings; None leaves it out.
    detailed
        How many of the best lasts get reasons, next reading and tipping point.
    listed
        How many of the best lasts are answered for at all; None: every one.
    feet
        What is known of both feet, where it is more than the readings say: pairs worn.

    Raises
    ------
    InputError
        Where a last is numbered on a child's scale.
    """
    shelves = lasts if isinstance(lasts, Shelves) else Shelves(tuple(lasts))
    feet = feet or feet_of(wearer)
    known = described(wearer, feet, today)
    if feet.child:
        return known
    composing = Composing.of(wearer, feet, known.remarks)
    if listed is not None and listed < len(shelves):
        chunks = shelves.chunks(wearer.population)
        shelves = shelves.only(foremost(chunks, composing.states, composing.judging, listed))
    all_detailed = len(shelves) <= detailed
    choices: list[Choice] = []
    for shelf, ranking in composing.ranked(shelves.chunks(wearer.population), detailed=all_detailed):
        choices += composing.choices(shelf, ranking, detailed=all_detailed)
    if not all_detailed:
        choices.sort(key=best_first)
        first = shelves.only(tuple(choice.last for choice in islice(choices, detailed)))
        full = [
            choice
            for shelf, ranking in composing.ranked(first.chunks(wearer.population), detailed=True)
            for choice in composing.choices(shelf, ranking, detailed=True)
        ]
        choices[: len(full)] = full
    choices.sort(key=best_first)
    made_pair = None if any(choice.order for choice in choices) or not choices else known.feet
    return evolve(known, choices=tuple(choices), made_pair=made_pair)


def describe_feet(wearer: Wearer, *, today: Date | None = None, feet: FeetPosterior | None = None) -> Answer:
    """Return what is known of both feet, without any last; `today` and `feet` as in `answer`."""
    return described(wearer, feet or feet_of(wearer), today)


def feet_of(wearer: Wearer) -> FeetPosterior:
    """Return what readings say of both feet."""
    return feet_posterior(wearer.readings, wearer.gauge_marks, wearer.population)


def described(wearer: Wearer, feet: FeetPosterior, today: Date | None) -> Answer:
    """Return what is said of a wearer without any last, given what is known of both feet."""
    figures: dict[Foot, dict[Measure, FootFigure]] = {}
    for foot in FEET:
        figures[foot] = {}
        for measure in MEASURES:
            known = feet.measure(foot, measure)
            mean, sd = known if known is not None else (None, None)
            figures[foot][measure] = FootFigure(mean, sd, feet.in_gauge_frame(foot, measure))
    child = (Reason("child"),) if feet.child else ()
    return Answer(
        code=wearer.code,
        feet=figures,
        slips=() if feet.child else likely_slips(wearer.readings, wearer.population, wearer.gauge_marks),
        referral=(*referrals(wearer), *child),
        remarks=wearer_cautions(wearer, today, feet),
        choices=(),
        child=feet.child,
    )


def best_first(choice: Choice) -> tuple[bool, float, str]:
    """Return what choices are sorted by: those that serve by loss, then the others by loss."""
    return choice.order is None, choice.loss, choice.last.code
