"""Simulated people: true feet, a gauge, a fitter's technique, a taste; and what is read of them."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from attrs import frozen

from heelball.fit.verdict import taste_sd
from heelball.fit.wearer import Wearer
from heelball.foot.marks import ball_ratio, home_gauge
from heelball.foot.prior import FEET_SIZE, OFFSETS, Sex, feet_prior, offset_prior
from heelball.foot.reading import Reading
from heelball.foot.vector import FEET, MEASURES
from heelball.gaussian.normal import Array
from heelball.package_data import defaults
from heelball.scales import gauge_breadth
from heelball.scales.letters import format_letter

#: Letters are read on the gauge to a quarter, as "C 3/4" is.
_QUARTERS = 4


@frozen(eq=False)
class Person:
    """A simulated wearer as nature made it: nothing here is known to the fitter.

    Parameters
    ----------
    sex
        Whose survey the right foot is from.
    feet
        Both feet [mm], shape (2, 5).
    offsets
        What the formula says of the gauge's marks less the truth [mm]: ball, length, breadth.
    taste
        By place [mm], shape (5,).
    """

    sex: Sex
    feet: Array
    offsets: Array
    taste: Array


def person(right: Array, sex: Sex, generator: np.random.Generator) -> Person:
    """Return a person around one surveyed right foot; the left one follows MODEL 1."""
    return Person(
        sex=sex,
        feet=np.stack([_left_foot(right, sex, generator), right]),
        offsets=offset_prior().sample(generator, 1)[0],
        taste=generator.normal(scale=taste_sd()),
    )


def _left_foot(right: Array, sex: Sex, generator: np.random.Generator) -> Array:
    prior = feet_prior(sex)
    foot = len(MEASURES)
    design = np.zeros((foot, len(prior.mean)))
    design[:, foot:FEET_SIZE] = np.eye(foot)
    given = prior.condition(design, right, np.zeros(foot))
    left: Array = given.image(np.eye(foot, len(prior.mean))).sample(generator, 1)[0]
    return left


def read_on_gauge(one: Person, generator: np.random.Generator) -> Wearer:
    """Return the wearer a fitter writes down: length, ball and breadth of both feet.

    The errors are MODEL 2's: the gauge's offset, one technique a measure, noise, then rounding to
    the mark: half a size, or a quarter of a letter at the line of the ball size just read. One that
    falls on a whole letter is written as that letter, and so counts as read to a letter only.
    """
    gauge = home_gauge(one.sex)
    ratio = float(ball_ratio(gauge, one.sex))
    technique = [generator.normal(scale=defaults()["gauge"]["technique_sd"][what]) for what in OFFSETS]
    noise = generator.normal(scale=defaults()["method"]["noise_sd"]["gauge"], size=(len(FEET), len(OFFSETS)))
    readings: list[Reading] = []
    for foot, true, error in zip(FEET, one.feet, noise + one.offsets + technique, strict=True):
        ball, length, breadth = true[[MEASURES.index(what) for what in OFFSETS]] + error
        ball_size = gauge.nearest(gauge.size(ball / ratio))
        length_size = gauge.nearest(gauge.size(length))
        letters = gauge_breadth.letters(gauge.foot_length(ball_size), Fraction(breadth))
        mark = (
            Fraction(round(letters * _QUARTERS), _QUARTERS) + gauge_breadth.AVERAGE_LETTER[gauge.population]
        )
        line = gauge.format(ball_size)
        readings += [
            Reading(foot, "length", gauge.name, gauge.format(length_size)),
            Reading(foot, "ball", gauge.name, line),
            Reading(foot, "breadth", gauge.name, format_letter(mark), line=line),
        ]
    return Wearer("simulated", one.sex, tuple(readings))
