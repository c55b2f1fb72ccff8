"""Widths stamped on boots: one real number n for each, letters of ball girth above the average.

MODEL 3: whatever scale a maker marks widths on, the label's breadth, girth and heel follow from
the same n, counted in American letters (6.35 mm of last girth each).
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Final, Literal

from heelball.errors import UnreadableText
from heelball.package_data import defaults
from heelball.scales import gauge_breadth
from heelball.scales.letters import letter_index
from heelball.units import parse_number, quoted

WidthScale = Literal["us", "uk", "jis", "gost", "mm"]
WIDTH_SCALES: Final[tuple[WidthScale, ...]] = ("us", "uk", "jis", "gost", "mm")

#: Last girth a letter [mm]: 1/4 in (S11, S36).
GIRTH_PER_LETTER: Final = Fraction(str(defaults()["boot"]["girth_per_letter"]))

#: Last girth a UK fitting [mm] (S36).
GIRTH_PER_UK_FITTING: Final = Fraction(65, 10)

#: Last girth a mm of foot length: 6.35 / 8.467 (S11).
GIRTH_PER_LENGTH: Final = Fraction(str(defaults()["boot"]["girth_per_length"]))

_JIS_LETTERS: Final = ("A", "B", "C", "D", "E", "EE", "EEE", "EEEE", "F", "G")
_JIS_LINE: Final = {"men": (Fraction(243), Fraction(250)), "women": (Fraction(228), Fraction(230))}
_GOST_CONSTANT: Final = {"men": 17, "women": 16}
_UK_LETTERS: Final[Mapping[str, int]] = MappingProxyType(
    {letter: i - 3 for i, letter in enumerate("ABCDEFGH")}
)


def jis_girth(letter: str, foot_length: Fraction, population: Literal["men", "women"]) -> Fraction:
    """Return the foot ball girth [mm] of a JIS S 5037 letter at a foot length [mm] (S20, S28).

    Raises
    ------
    UnreadableText
        Where it is not a letter of that standard.
    """
    plain = letter.strip().upper()
    plain = "E" * int(plain[0]) if plain in ("2E", "3E", "4E") else plain
    if plain not in _JIS_LETTERS:
        raise UnreadableText(quoted(letter), f"a JIS width, one of {' '.join(_JIS_LETTERS)}")
    at_line, line = _JIS_LINE[population]
    return at_line + Fraction(3, 5) * (foot_length - line) + 6 * (_JIS_LETTERS.index(plain) - 4)


def gost_girth(number: str, foot_length: Fraction, population: Literal["men", "women"]) -> Fraction:
    """Return the foot ball girth [mm] of a GOST fullness number at a foot length [mm] (S34)."""
    return 4 * parse_number(number) + Fraction(3, 5) * foot_length + 4 * _GOST_CONSTANT[population]


def width_letters(
    width: str,
    scale: WidthScale,
    foot_length: Fraction,
    population: Literal["men", "women"],
    *,
    mean_girth: Fraction,
    mean_length: Fraction,
    average_letter: int,
) -> Fraction:
    """Return n: how many letters above the average a stamped width is.

    Parameters
    ----------
    width, scale
        As stamped, and the scale it is stamped in.
    foot_length
        Nominal foot length of the label [mm].
    population
        Whose rule JIS and GOST girths follow.
    mean_girth, mean_length
        The mean foot G0, L0 that n = 0 is built around [mm].
    average_letter
        Where the average letter stands above D, for American letters.

    Raises
    ------
    UnreadableText
        Where the width cannot be read on that scale.
    """
    if scale == "us":
        return Fraction(letter_index(width) - average_letter)
    if scale == "uk":
        return _uk_fittings(width) * GIRTH_PER_UK_FITTING / GIRTH_PER_LETTER
    if scale == "mm":
        return gauge_breadth.letters(foot_length, parse_number(width))
    girth = (jis_girth if scale == "jis" else gost_girth)(width, foot_length, population)
    return (girth - mean_girth - GIRTH_PER_LENGTH * (foot_length - mean_length)) / GIRTH_PER_LETTER


def _uk_fittings(width: str) -> Fraction:
    """Return UK fittings above the standard one: letters above D, or numbers above 4 (S36)."""
    plain = width.strip().upper()
    if plain in _UK_LETTERS:
        return Fraction(_UK_LETTERS[plain])
    try:
        number = parse_number(plain)
    except UnreadableText:
        raise UnreadableText(quoted(width), "a UK fitting, A to H or 1 to 8") from None
    if not 1 <= number <= 8:
        raise UnreadableText(quoted(width), "a UK fitting, A to H or 1 to 8")
    return number - 4
