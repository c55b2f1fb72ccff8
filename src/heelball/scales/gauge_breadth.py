"""Rule R (MODEL 2): which foot breadth a letter denotes on the foot gauge, at a size line.

``W = 69.85 + 3.175 s + 4.7625 n`` [mm], s the men's gauge size of that foot length and n letters
above the average letter: D on men's and unisex scales, B on women's. This is the public width
chart for men (S9) and, read as men + 1 1/2, for women.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from heelball.scales.catalogue import BARLEYCORN

#: Breadth a letter [mm]: 3/16 in (S9, S38).
BREADTH_PER_LETTER: Final = Fraction(254, 10) * 3 / 16

#: Breadth a whole size at the same letter [mm]: 1/8 in (S9).
BREADTH_PER_SIZE: Final = Fraction(254, 10) / 8

_AT_SIZE_ZERO: Final = Fraction(6985, 100)

#: How many letters the average letter stands above D, by the population of the scale.
AVERAGE_LETTER: Final = {"men": 0, "women": -2, "child": 0, None: 0}

#: Breadth a mm of foot length, and breadth at foot length 0, of the average letter: plain floats
#: for array work.
SLOPE: Final = float(BREADTH_PER_SIZE / BARLEYCORN)
AT_LENGTH_ZERO: Final = float(_AT_SIZE_ZERO - 22 * BREADTH_PER_SIZE)


def breadth(foot_length: Fraction, letters: Fraction) -> Fraction:
    """Return the foot breadth [mm] of `letters` above the average, at a foot length [mm]."""
    men_size = foot_length / BARLEYCORN - 22
    return _AT_SIZE_ZERO + BREADTH_PER_SIZE * men_size + BREADTH_PER_LETTER * letters


def letters(foot_length: Fraction, foot_breadth: Fraction) -> Fraction:
    """Return how many letters above the average a breadth [mm] is, at a foot length [mm]."""
    return (foot_breadth - breadth(foot_length, Fraction(0))) / BREADTH_PER_LETTER
