"""Labels and places as they are written and said."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from heelball.fit.wearer import Place
from heelball.foot.vector import Measure
from heelball.last.values import Label, Last
from heelball.scales.catalogue import size_scale
from heelball.scales.letters import LETTERS
from heelball.units import format_fraction

#: What is said of a place that is too little, and too much.
PLACE_WORDS: Final[dict[Place, tuple[str, str]]] = {
    "ball": ("bends behind the joint", "bends ahead of the joint"),
    "toe": ("short", "long"),
    "breadth": ("narrow across", "wide across"),
    "girth": ("tight round the ball", "loose round the ball"),
    "heel": ("tight at the heel", "loose at the heel"),
}

#: A measure in a sentence.
MEASURE_WORDS: Final[dict[str, str]] = {
    "length": "length",
    "ball": "heel-to-ball",
    "breadth": "breadth",
    "girth": "girth",
    "heel": "heel breadth",
    "instep": "instep",
}

#: What is counted at a place: the measure of the foot that is held against the boot there.
MEASURE_OF: Final[dict[Place, Measure]] = {
    "ball": "ball",
    "toe": "length",
    "breadth": "breadth",
    "girth": "girth",
    "heel": "heel",
}


def size_text(size: Fraction, scale_name: str) -> str:
    """Return a size as it is stamped, in ASCII."""
    return size_scale(scale_name).format(size)


def label_text(label: Label, last: Last) -> str:
    """Return a label as it is stamped: ``10 1/2 D``, or ``43`` where the last has no letters.

    Examples
    --------
    >>> last = Last("N7", "Northmoor", "us-men", ())
    >>> label_text(Label(Fraction(21, 2), "D"), last)
    '10 1/2 D'
    """
    size = size_text(label.size, last.label_scale)
    return f"{size} {label.width}" if label.width else size


def offer_text(last: Last) -> str:
    """Return the offer in few words: ``6 to 14, B to EE``."""
    sizes = [label.size for label in last.labels]
    text = " to ".join(dict.fromkeys(size_text(size, last.label_scale) for size in (min(sizes), max(sizes))))
    widths = list(dict.fromkeys(label.width for label in last.labels if label.width))
    if all(width in LETTERS for width in widths):
        widths.sort(key=LETTERS.index)
    if not widths:
        return text
    return f"{text}, {widths[0]}" if len(widths) == 1 else f"{text}, {widths[0]} to {widths[-1]}"


def sizes_text(sizes: Fraction | float) -> str:
    """Return an amount of sizes: ``half a size``, ``1 size``, ``1 1/2 sizes``; to the nearest quarter.

    Examples
    --------
    >>> sizes_text(Fraction(1, 2)), sizes_text(1.52)
    ('half a size', '1 1/2 sizes')
    """
    fourths = abs(round(Fraction(sizes) * 4))
    if fourths == 2:
        return "half a size"
    if fourths == 1:
        return "a quarter of a size"
    return f"{format_fraction(Fraction(fourths, 4))} size{'' if fourths == 4 else 's'}"


def percent(share: float) -> str:
    """Return a chance as it is said: ``12 %``; never 0 or 100 of what is not certain."""
    whole = round(100 * share)
    if whole == 0 and share > 0:
        return "under 1 %"
    return "over 99 %" if whole == 100 and share < 1 else f"{whole} %"
