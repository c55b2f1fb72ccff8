"""The foot each label of a last is built for, by its scale alone (MODEL 3)."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Final, Literal

import numpy as np
from attrs import frozen

from heelball.gaussian.normal import Array
from heelball.last.values import Label, Last
from heelball.package_data import defaults, mean_foot
from heelball.scales.catalogue import size_scale
from heelball.scales.gauge_breadth import AT_LENGTH_ZERO, AVERAGE_LETTER, BREADTH_PER_LETTER, SLOPE
from heelball.scales.last_width import WidthScale, width_letters

Sex = Literal["men", "women"]

#: The places of a last's run, in the order of every array about lasts.
RUN_PLACES: Final = ("ball", "toe", "breadth", "girth", "heel")

#: A size without a scale: one barleycorn of foot length [mm].
ONE_SIZE: Final = 25.4 / 3


@frozen
class Basis:
    """The mean foot that a scale's labels are built around.

    Parameters
    ----------
    sex
        Whose mean foot: the scale's population; on a scale for all adults the wearer's.
    ratio
        Heel-to-ball over foot length, k.
    length, girth, heel
        L0, G0, H0 [mm].
    average_letter
        Where the average width letter stands above D.
    """

    sex: Sex
    ratio: float
    length: float
    girth: float
    heel: float
    average_letter: int


@lru_cache(maxsize=64)
def basis_of(label_scale: str, population: str) -> Basis:
    """Return the basis of a last's labels for a wearer's population (men's where unstated).

    Raises
    ------
    ValueError
        For a child's scale: no moments of children's feet are open.
    """
    scale = size_scale(label_scale)
    sex: Sex = "women" if (scale.population or population) == "women" else "men"
    if scale.population == "child":
        raise ValueError(f"no children's moments for {label_scale}")
    mean = mean_foot(sex)
    return Basis(
        sex=sex,
        ratio=float(defaults()["ball_size"]["ratio"][sex]),
        length=mean["length"],
        girth=mean["girth"],
        heel=mean["heel"],
        average_letter=AVERAGE_LETTER[scale.population],
    )


def letters_of(label: Label, last: Last, basis: Basis) -> float:
    """Return n, letters above the average, of a label; one without a letter has the reference's."""
    width = label.width if label.width is not None else last.reference_width
    return 0.0 if width is None else _letters(width, last.width_scale, last.label_scale, label.size, basis)


@lru_cache(maxsize=8192)
def _letters(width: str, width_scale: WidthScale, label_scale: str, size: Fraction, basis: Basis) -> float:
    return float(
        width_letters(
            width,
            width_scale,
            size_scale(label_scale).foot_length(size),
            basis.sex,
            mean_girth=Fraction(basis.girth),
            mean_length=Fraction(basis.length),
            average_letter=basis.average_letter,
        )
    )


@lru_cache(maxsize=8192)
def nominal_length(size: Fraction, label_scale: str) -> float:
    """Return the nominal foot length of a size on a label scale [mm]."""
    return float(size_scale(label_scale).foot_length(size))


def built_for(foot_length: Array, letters: Array, basis: Basis) -> Array:
    """Return what labels are built for, place by place, before any run.

    Parameters
    ----------
    foot_length, letters
        Nominal foot length [mm] and n of each label, of one shape.
    basis
        The mean foot they are built around.

    Returns
    -------
    Array
        Shape ``foot_length.shape + (5,)``, in the order of `RUN_PLACES`: flex line, inside
        length, breadth, girth, heel breadth [mm]. The inside length is whole: what the toe's
        shape takes is not yet deducted.
    """
    boot = defaults()["boot"]
    beyond = foot_length - basis.length
    return np.stack(
        [
            basis.ratio * foot_length,
            foot_length + boot["inside_allowance"],
            AT_LENGTH_ZERO + SLOPE * foot_length + float(BREADTH_PER_LETTER) * letters,
            basis.girth + boot["girth_per_length"] * beyond + boot["girth_per_letter"] * letters,
            basis.heel + boot["heel_per_length"] * beyond + boot["heel_per_letter"] * letters,
        ],
        axis=-1,
    )


def letters_array(labels: Sequence[Label], last: Last, basis: Basis) -> Array:
    """Return n of each label, shape (labels,)."""
    return np.array([letters_of(label, last, basis) for label in labels])
