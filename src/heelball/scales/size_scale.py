"""A size scale: which foot, and which last, each of its numbers stands for."""

from __future__ import annotations

import math
from bisect import bisect_left
from fractions import Fraction
from typing import Final, Literal

from attrs import frozen

from heelball.errors import UnreadableText
from heelball.units import format_fraction, parse_number, quoted

ScalePopulation = Literal["men", "women", "child"]
Numbering = Literal["sizes", "centimetres", "millimetres"]

#: What a child's number loses where it starts again: 13 1/2 is followed by 1, counted on as 14.
RESTART: Final = Fraction(13)

#: The first number after the restart, in the continued count.
_AGAIN_ONE: Final = RESTART + 1


@frozen
class Straight:
    """A straight line from size to foot length: ``length = (size + shift) * step`` [mm]."""

    shift: Fraction
    step: Fraction

    def foot_length(self, size: Fraction) -> Fraction:
        """Return the foot length of a size [mm]."""
        return (size + self.shift) * self.step

    def size(self, foot_length: Fraction) -> Fraction:
        """Return the size of a foot length [mm]."""
        return foot_length / self.step - self.shift


@frozen
class Rows:
    """A printed table from size to foot length, straight between its rows.

    `sizes` and `lengths` [mm] both rise; the restart of a child's scale is already undone.
    """

    sizes: tuple[Fraction, ...]
    lengths: tuple[Fraction, ...]

    def foot_length(self, size: Fraction) -> Fraction:
        """Return the foot length of a size [mm]; the end rows' slope goes on beyond the table."""
        return _interpolate(size, self.sizes, self.lengths)

    def size(self, foot_length: Fraction) -> Fraction:
        """Return the size of a foot length [mm]."""
        return _interpolate(foot_length, self.lengths, self.sizes)


def _interpolate(x: Fraction, xs: tuple[Fraction, ...], ys: tuple[Fraction, ...]) -> Fraction:
    upper = min(max(bisect_left(xs, x), 1), len(xs) - 1)
    x0, x1, y0, y1 = xs[upper - 1], xs[upper], ys[upper - 1], ys[upper]
    return y0 + (x - x0) * (y1 - y0) / (x1 - x0)


@frozen
class SizeScale:
    """One size scale.

    Parameters
    ----------
    name, title
        The name used in files and commands, and the words used on paper.
    population
        Whose feet it is for; None where it is for men and women alike.
    measures
        What its numbers count: the ``foot`` or the ``last``.
    line
        From size to foot length (of the continued count, where the scale starts again).
    last_line
        From size to last length, where the scale numbers lasts and that line was published.
    step
        Between neighbouring labels, in the scale's own numbers.
    lowest, highest
        Its range, both ends included, in the continued count.
    numbering
        Whether its numbers are counted sizes, centimetres or millimetres.
    restarts
        True where the numbers start again at 1 after 13 1/2.
    source
        Key of the source in ``docs/references.md``.
    """

    name: str
    title: str
    population: ScalePopulation | None
    measures: Literal["foot", "last"]
    line: Straight | Rows
    step: Fraction
    lowest: Fraction
    highest: Fraction
    source: str
    last_line: Straight | None = None
    numbering: Numbering = "sizes"
    restarts: bool = False

    @property
    def is_gauge(self) -> bool:
        """Whether this is one of the foot gauge's own scales."""
        return self.name.startswith("gauge-")

    def foot_length(self, size: Fraction) -> Fraction:
        """Return the nominal foot length of `size` [mm], exactly."""
        return self.line.foot_length(size)

    def last_length(self, size: Fraction) -> Fraction:
        """Return the last length of `size` [mm], exactly.

        Raises
        ------
        UnreadableText
            Where the scale numbers feet, not lasts.
        """
        if self.last_line is None:
            raise UnreadableText(f"{self.name} numbers feet", "a scale that numbers lasts")
        return self.last_line.foot_length(size)

    def size(self, foot_length: Fraction | float) -> Fraction:
        """Return the size of a foot length [mm], as it falls, between labels."""
        return self.line.size(Fraction(foot_length))

    def nearest(self, size: Fraction) -> Fraction:
        """Return the label nearest to `size`; one just half-way goes down (ISO/TS 19407 rows)."""
        return Fraction(math.ceil(size / self.step - Fraction(1, 2))) * self.step

    def parse(self, text: str, *, quarters: bool = False) -> Fraction:
        """Read a size as it is written or stamped.

        Parameters
        ----------
        text
            ``10``, ``10 1/2``, ``10½``, ``10.5``; on a child's scale ``2C`` or ``2Y`` where the
            number stands twice.
        quarters
            True for a reading between two half sizes (``10 1/4``).

        Returns
        -------
        Fraction
            The size, in the continued count where the scale starts again.

        Raises
        ------
        UnreadableText
            Where it is not a size of this scale.
        """
        plain = text.strip()
        suffix = plain[-1:].upper() if self.restarts and plain[-1:].upper() in ("C", "Y") else ""
        try:
            number = parse_number(plain[: len(plain) - len(suffix)])
        except UnreadableText:
            raise UnreadableText(
                quoted(text), f"a size on {self.name}, such as {self.format(self._example)}"
            ) from None
        if self.step == Fraction(15, 2) and number.denominator == 1:
            number = self._restore_cut_half(number)
        number = self._continued(number, suffix, text.strip())
        step = self.step / 2 if quarters and self.numbering == "sizes" and self.step < 1 else self.step
        if (number / step).denominator != 1:
            raise UnreadableText(f"{self.name} has no {text.strip()}", self._steps_in_words(step))
        if not self.lowest <= number <= self.highest:
            raise UnreadableText(f"{text.strip()} is off {self.name}", self.range_in_words)
        return number

    def format(self, size: Fraction) -> str:
        """Write a size as it is stamped, in ASCII."""
        if self.numbering == "centimetres":
            return f"{float(size):.1f}".removesuffix(".0")
        if self.numbering == "millimetres" and size.denominator != 1:
            # Steps of 7.5 mm are printed with the half cut off (GOST 9155-88).
            return f"{math.floor(size)}"
        number, suffix = self._on_label(size)
        return format_fraction(number) + suffix

    def format_decimal(self, size: Fraction) -> str:
        """Write a size as it falls, between labels, to two decimals."""
        number, suffix = self._on_label(size)
        return f"{float(round(number, 2)):g}{suffix}"

    @property
    def range_in_words(self) -> str:
        """The first and the last number, as they are stamped."""
        if self.restarts:
            ends = (self.lowest, RESTART + Fraction(1, 2), Fraction(1), self.highest - RESTART)
            return "{} to {}, then {} to {}".format(*map(format_fraction, ends))
        return f"{self.format(self.lowest)} to {self.format(self.highest)}"

    def labels(self) -> tuple[Fraction, ...]:
        """Return every label of the scale, from the smallest to the largest."""
        count = int((self.highest - self.lowest) / self.step)
        return tuple(self.lowest + i * self.step for i in range(count + 1))

    @property
    def _example(self) -> Fraction:
        return self.nearest((self.lowest + self.highest) / 2)

    def _on_label(self, size: Fraction) -> tuple[Fraction, str]:
        """Return the number stamped for a size, and the letter that tells it from its double."""
        if not self.restarts:
            return size, ""
        if size >= _AGAIN_ONE:
            return size - RESTART, "Y" if self.lowest <= size - RESTART else ""
        return size, "C" if 1 <= size <= self.highest - RESTART else ""

    def _continued(self, number: Fraction, suffix: str, text: str) -> Fraction:
        """Undo the restart of a child's scale; refuse to guess which of two is meant."""
        if not self.restarts:
            return number
        if number >= _AGAIN_ONE or (suffix == "Y" and number < 1):
            raise UnreadableText(f"{text} is off {self.name}", self.range_in_words)
        if suffix:
            return number + RESTART if suffix == "Y" else number
        as_child = number >= self.lowest
        as_youth = 1 <= number <= self.highest - RESTART
        if as_child and as_youth:
            raise UnreadableText(
                f"{text} stands twice on {self.name}",
                f"{text}C for the smaller or {text}Y for the one after 13 1/2",
            )
        return number + RESTART if as_youth else number

    def _restore_cut_half(self, number: Fraction) -> Fraction:
        whole = (number + Fraction(1, 2)) / self.step
        return number + Fraction(1, 2) if whole.denominator == 1 else number

    def _steps_in_words(self, step: Fraction) -> str:
        if self.numbering == "millimetres":
            return f"a multiple of {float(step):g} mm"
        if step == 1:
            return "a whole size"
        return {Fraction(1, 2): "a whole or half size", Fraction(1, 4): "a whole, half or quarter size"}[step]
