"""Simulated lasts: how each truly runs, and what its maker says or a pair shows of it (MODEL 3)."""

from __future__ import annotations

from fractions import Fraction
from functools import cache

import numpy as np
from attrs import evolve, frozen

from evaluation.people import Person
from heelball.fit.margins import MEASURE_AT
from heelball.fit.wearer import PLACES
from heelball.foot.prior import Sex
from heelball.foot.vector import MEASURES
from heelball.gaussian.normal import Array
from heelball.last.built_for import ONE_SIZE, RUN_PLACES, basis_of, built_for, letters_of
from heelball.last.run import LETTER_PLACES, OFFSET_PLACES, one_size
from heelball.last.values import Advice, Label, Last, MeasuredPair
from heelball.package_data import defaults
from heelball.scales.catalogue import size_scale

#: A full offer: half sizes, and seven letters around the average one.
_OFFERS: dict[Sex, tuple[str, tuple[int, int], tuple[str, ...]]] = {
    "men": ("us-men", (5, 16), ("A", "B", "C", "D", "E", "EE", "EEE")),
    "women": ("us-women", (4, 14), ("AAA", "AA", "A", "B", "C", "D", "E")),
}


@cache
def full_offer(sex: Sex) -> Last:
    """Return a stiff round-toed boot in every half size and seven letters, of which nothing is known."""
    scale, (smallest, largest), letters = _OFFERS[sex]
    sizes = [Fraction(halves, 2) for halves in range(2 * smallest, 2 * largest + 1)]
    labels = tuple(Label(size, letter) for size in sizes for letter in letters)
    return Last("simulated", "simulated", scale, labels)


@frozen(eq=False)
class Run:
    """How a simulated last truly runs.

    Parameters
    ----------
    sizes
        How many sizes it is bigger than its labels, s.
    own
        What each place adds, q [mm], shape (5,).
    grade, letter_grade
        Error of its grade: a size by place, shape (5,); a letter at breadth and girth, shape (2,) [mm].
    """

    sizes: float
    own: Array
    grade: Array
    letter_grade: Array

    @property
    def everywhere(self) -> Array:
        """What every label gets, by place [mm], shape (5,)."""
        total: Array = self.sizes * one_size() + self.own
        return total


def any_run(generator: np.random.Generator) -> Run:
    """Return the run of a last of an unknown maker, drawn from MODEL 3's prior."""
    run = defaults()["run"]
    return Run(
        sizes=float(generator.normal(scale=run["sizes_sd"])),
        own=generator.normal(scale=[run["place_sd"][place] for place in RUN_PLACES]),
        grade=generator.normal(scale=[run["grade_sd"][place] for place in RUN_PLACES]),
        letter_grade=generator.normal(scale=[run["letter_grade_sd"][place] for place in LETTER_PLACES]),
    )


def advised(last: Last, run: Run) -> Last:
    """Return the last with its maker's advice: the run's sizes turned round, rounded to halves."""
    return evolve(last, advice=(Advice("ball", Fraction(-round(2 * run.sizes), 2)),))


def true_boot(last: Last, run: Run, label: Label, offsets: Array) -> Array:
    """Return what one label of a last is truly built for, by place [mm], shape (5,).

    A maker who advises in gauge readings tried the last on gauged feet: what the advice and q
    then speak of is the run as the gauge's marks have it, and the gauge's offsets come off.
    """
    scale = size_scale(last.label_scale)
    basis = basis_of(last.label_scale, scale.population or "unstated")
    length, letters = float(scale.foot_length(label.size)), letters_of(label, last, basis)
    built = built_for(np.array(length), np.array(letters), basis) + run.everywhere
    if last.advice:
        built[[RUN_PLACES.index(place) for place in OFFSET_PLACES]] -= offsets
    if last.measured:
        pair = last.measured[0]
        built += run.grade * (length - float(scale.foot_length(pair.size))) / ONE_SIZE
        built[[RUN_PLACES.index(place) for place in LETTER_PLACES]] += run.letter_grade * letters
    return built


def measured(last: Last, run: Run, label: Label, offsets: Array, generator: np.random.Generator) -> Last:
    """Return the last with one pair measured: flex line, inside length and ball girth."""
    bare = evolve(last, measured=(MeasuredPair(label.size, label.width),))
    true = true_boot(bare, run, label, offsets)
    sd = defaults()["run"]["measured_sd"]

    def found(what: str, place: str) -> float:
        return float(true[RUN_PLACES.index(place)] + generator.normal(scale=sd[what]))

    pair = MeasuredPair(
        label.size,
        label.width,
        inside_length=found("inside_length", "toe"),
        flex_line=found("flex_line", "ball"),
        ball_girth=found("ball_girth", "girth"),
    )
    return evolve(last, measured=(pair,))


def true_margins(built: Array, one: Person) -> Array:
    """Return the margins of both feet less the wearer's taste [mm], shape (2, 5)."""
    order = [MEASURES.index(MEASURE_AT[place]) for place in PLACES]
    margins: Array = built - one.feet[:, order] - one.taste
    return margins
