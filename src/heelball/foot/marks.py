"""From the mark that was written down to millimetres, and to how finely it was read."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Final

from attrs import frozen

from heelball.foot.reading import Reading
from heelball.package_data import defaults
from heelball.scales import gauge_breadth
from heelball.scales.catalogue import GAUGE_OF, size_scale
from heelball.scales.letters import parse_letter
from heelball.scales.size_scale import Rows, SizeScale, Straight
from heelball.units import MILLIMETRES, parse_length

#: How finely each unit is read [mm]; a tape in cm is read to its millimetres.
_UNIT_STEP: Final = {"mm": 1.0, "cm": 1.0, "in": 25.4 / 16}


@frozen
class Mark:
    """What a mark says by our formula [mm], and the step it was read to [mm]."""

    value: float
    step: float


def ball_ratio(scale: SizeScale, population: str) -> Fraction:
    """Return k: heel-to-ball over foot length that a ball size denotes on `scale`.

    Scales for all adults take the wearer's population; where that is unstated, men's.
    """
    return Fraction(str(defaults()["ball_size"]["ratio"][scale.population or _sex(population)]))


def _sex(population: str) -> str:
    return population if population in ("men", "women") else "men"


def home_gauge(population: str) -> SizeScale:
    """Return the foot gauge of a population; men's where it is unstated."""
    return size_scale(GAUGE_OF[_sex(population)])


@lru_cache(maxsize=4096)
def size_mark(scale_name: str, text: str) -> tuple[Fraction, float]:
    """Return the foot length [mm] of a size as written, and the step it was read to [mm]."""
    scale = size_scale(scale_name)
    size = scale.parse(text, quarters=True)
    step = scale.step / 2 if size.denominator == 4 else scale.step
    return scale.foot_length(size), float(step * _slope(scale.line, size))


def _slope(line: Straight | Rows, size: Fraction) -> Fraction:
    if isinstance(line, Straight):
        return line.step
    return line.foot_length(size + Fraction(1, 2)) - line.foot_length(size - Fraction(1, 2))


@lru_cache(maxsize=4096)
def letter_mark(scale_name: str, text: str) -> tuple[Fraction, float]:
    """Return letters above the scale's average letter, and the step read to [mm of breadth]."""
    above_d, step = parse_letter(text)
    average = gauge_breadth.AVERAGE_LETTER[size_scale(scale_name).population]
    return above_d - average, float(step * gauge_breadth.BREADTH_PER_LETTER)


def is_letter(reading: Reading) -> bool:
    """Return whether a reading is a width letter on the gauge."""
    return reading.what == "breadth" and reading.scale not in MILLIMETRES


@lru_cache(maxsize=4096)
def _plain_mark(what: str, scale: str, value: str, population: str) -> Mark:
    """Return the mark of a reading that is no letter."""
    if scale in MILLIMETRES:
        return Mark(float(parse_length(value, scale)), _UNIT_STEP[scale])
    length, step = size_mark(scale, value)
    if what == "ball":
        ratio = ball_ratio(size_scale(scale), population)
        return Mark(float(ratio * length), float(ratio) * step)
    return Mark(float(length), step)


def mark_of(reading: Reading, beside: Sequence[Reading], population: str) -> Mark:
    """Return what a reading says by our formula, before any correction for load.

    Parameters
    ----------
    reading
        One reading.
    beside
        All readings of the wearer: a letter without a line is read at its foot's ball size.
    population
        Whose ratio a ball size on a scale for all adults takes.
    """
    if not is_letter(reading):
        return _plain_mark(reading.what, reading.scale, reading.value, population)
    letters, step = letter_mark(reading.scale, reading.value)
    average = gauge_breadth.AT_LENGTH_ZERO + gauge_breadth.SLOPE * line_length(reading, beside, population)
    return Mark(average + float(gauge_breadth.BREADTH_PER_LETTER * letters), step)


def line_length(reading: Reading, beside: Sequence[Reading], population: str) -> float:
    """Return the foot length [mm] of the gauge line a breadth letter was read at.

    The line given; else that foot's ball size, the mean of its repeats on the letter's scale;
    else its length size.
    """
    if reading.line is not None:
        return float(size_mark(reading.scale, reading.line)[0])
    own = [other for other in beside if other.foot == reading.foot]
    ratio = float(ball_ratio(size_scale(reading.scale), population))
    for what, share in (("ball", ratio), ("length", 1.0)):
        sizes = [other for other in own if other.what == what]
        # The foot stood for its size as it did for the letter; other loads only for want of that one.
        sizes = [other for other in sizes if other.load == reading.load] or sizes
        marks = [mark_of(other, (), population).value / share for other in sizes]
        if marks:
            return sum(marks) / len(marks)
    raise ValueError("a breadth letter needs a line, a ball reading or a length reading of its foot")
