"""The offer: which sizes and widths a last can be had in, from the text a fitter writes."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from heelball.errors import UnreadableText
from heelball.scales.size_scale import SizeScale
from heelball.units import format_fraction, parse_number, quoted

_RANGE: Final = re.compile(r"(.+?)\s*[-\N{EN DASH}]\s*(.+?)(?:\s+by\s+(.+))?")

#: A range without its step goes by whole sizes: 10 mm where a scale numbers mm (ISO 9407).
_WHOLE_SIZE: Final = {"sizes": Fraction(1), "centimetres": Fraction(1), "millimetres": Fraction(10)}


def parse_sizes(text: str, scale: SizeScale) -> tuple[Fraction, ...]:
    """Read an offer such as ``6-12 by 1/2, 13, 14``.

    Parameters
    ----------
    text
        Sizes and ranges between commas, rising. A range without ``by`` goes by whole sizes: 1 in
        the scale's own numbers, 10 on scales numbered in mm (ISO 9407: 10 mm is a whole size).
    scale
        The label scale.

    Returns
    -------
    tuple of Fraction
        Strictly increasing.

    Raises
    ------
    UnreadableText
        Where a part is not a size or range of the scale, or the offer goes backwards.
    """
    found: list[Fraction] = []
    for part in text.split(","):
        for size in _part(part.strip(), scale):
            if found and size <= found[-1]:
                raise UnreadableText(
                    f"the offer goes backwards at {quoted(part.strip())}",
                    f"sizes rising above {scale.format(found[-1])}",
                )
            found.append(size)
    return tuple(found)


def _part(text: str, scale: SizeScale) -> list[Fraction]:
    if not text:
        raise UnreadableText("an empty part between commas", "sizes such as 6-12 by 1/2, 13")
    try:
        return [scale.parse(text)]
    except UnreadableText as refused:
        ends = _RANGE.fullmatch(text)
        if ends is None or not any(mark.isdigit() for mark in ends[1]):
            raise refused from None
    first, last = scale.parse(ends[1]), scale.parse(ends[2])
    step = parse_number(ends[3]) if ends[3] else _WHOLE_SIZE[scale.numbering]
    own = format_fraction(scale.step)
    if step <= 0 or (step / scale.step).denominator != 1:
        if ends[3] is None:
            raise UnreadableText(f"{quoted(text)} without its step", f"its step, such as {text} by {own}")
        raise UnreadableText(f"steps by {ends[3]}", f"steps by {own} or a multiple of it")
    if last < first:
        raise UnreadableText(f"the offer goes backwards in {quoted(text)}", "the smaller size first")
    if ((last - first) / step).denominator != 1:
        raise UnreadableText(quoted(text), f"a range that its steps of {format_fraction(step)} fill exactly")
    return [first + i * step for i in range(int((last - first) / step) + 1)]
