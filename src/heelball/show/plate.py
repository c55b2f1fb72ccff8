"""The drawing as it is printed at 1 : 2: the feet alone, without the table that stands beside them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from attrs import frozen

from heelball.show.bare_plan import BarePlan
from heelball.show.drawing import EDGE, axes, document, page_width, plans, told
from heelball.show.figures import DrawnBoot, DrawnFoot, figures, in_order
from heelball.show.lengths import Units, length_text
from heelball.show.outline import INNER_SHARE
from heelball.show.svg import line, text

#: So many mm of a foot are one mm on paper.
REDUCTION: Final = 2.0

#: Length of the bar on paper [mm]: a ruler laid on the print checks it.
BAR: Final = 50.0

_BAR_WORDS: Final = "50 mm by a ruler"

# From the upper edge to the foremost point at least, and to the middle of the words on toe room.
_ABOVE: Final = 4.0
_TOE_WORDS: Final = 14.0
# From the heels to the bar and from there to the lower edge.
_KEY: Final = 20.0
_BELOW: Final = 5.0
# The least width that holds bar and key.
_LEAST: Final = 292.0


@frozen
class Plate:
    """A drawing for paper.

    Parameters
    ----------
    svg
        The drawing; one user unit is one mm of the foot.
    words
        The same in words, for those who listen.
    width, height
        Of the drawing, in mm of the foot.
    """

    svg: str
    words: str
    width: float
    height: float


def plate_in_boot(feet: Sequence[DrawnFoot], boot: DrawnBoot, *, title: str, units: Units = "mm") -> Plate:
    """Return the feet in a boot, with the bar that is 50 mm long on paper.

    The marks are those of `drawing.draw`; what is written in its heading and its table stands
    beside the plate, on the page that carries it.

    Parameters
    ----------
    feet
        One foot or two, in any order [mm].
    boot
        The boot they stand in [mm].
    title
        What it is called for those who listen; any text.
    units
        What lengths are written in.
    """
    ordered = in_order(feet)
    rows = figures(ordered, boot, units)
    widest = max(boot.built_for_breadth, *(foot.foot_breadth for foot in ordered))
    width = page_width(len(ordered), widest, _LEAST)
    # Words on little toe room stand higher than the toes.
    usable = boot.inside_length - boot.toe_deduction
    words_end = max((usable + foot.foot_length) / 2 for foot in ordered) + _TOE_WORDS
    foremost = max(boot.inside_length, *(foot.foot_length for foot in ordered)) + _ABOVE
    base = math.ceil(max(foremost, words_end))
    key = base + _KEY
    names = [
        line("boot", (EDGE + 176.0, key), (EDGE + 190.0, key)),
        text("label boot-word", (EDGE + 193.0, key + 2.0), "inside of the boot"),
        line("foot", (EDGE + 256.0, key), (EDGE + 270.0, key)),
        text("label", (EDGE + 273.0, key + 2.0), "foot"),
    ]
    parts = [
        line("witness", (EDGE, base), (width - EDGE, base)),
        *plans(ordered, boot, rows, width, base, units),
        *_bar(key),
        *names,
    ]
    words = told(rows, boot)
    height = key + _BELOW
    return Plate(document(parts, title, words, width, height), words, width, height)


def plate_of_feet(feet: Sequence[DrawnFoot], *, title: str, units: Units = "mm") -> Plate:
    """Return bare feet with their own measures, with the bar that is 50 mm long on paper.

    Parameters
    ----------
    feet
        One foot or two, in any order [mm].
    title, units
        See `plate_in_boot`.
    """
    ordered = in_order(feet)
    widest = max(foot.foot_breadth for foot in ordered)
    width = page_width(len(ordered), widest, _LEAST)
    base = math.ceil(_ABOVE + max(foot.foot_length for foot in ordered))
    key = base + _KEY
    stands = axes(len(ordered), widest, width)
    parts = [line("witness", (EDGE, base), (width - EDGE, base))]
    for foot in ordered:
        plan = BarePlan(
            side=foot.foot,
            axis=stands[foot.foot],
            base=base,
            reach=(1 - INNER_SHARE) * widest,
            foot=foot,
            units=units,
        )
        parts += [f'<g class="plan {foot.foot}">', *plan.elements(), "</g>"]
    parts += _bar(key)
    words = "From above. " + " ".join(_measured(foot, units) for foot in ordered)
    height = key + _BELOW
    return Plate(document(parts, title, words, width, height), words, width, height)


def _measured(foot: DrawnFoot, units: Units) -> str:
    heel = f", heel breadth {length_text(foot.heel_breadth, units)}" if foot.heel_judged else ""
    return (
        f"{foot.foot.capitalize()} foot: length {length_text(foot.foot_length, units)}, heel-to-ball"
        f" {length_text(foot.heel_to_ball, units)}, breadth {length_text(foot.foot_breadth, units)}{heel}."
    )


def _bar(level: float) -> list[str]:
    """Return the bar, drawn as much longer as the print is reduced."""
    end = EDGE + BAR * REDUCTION
    return [
        line("bar", (EDGE, level), (end, level)),
        *(line("bar", (at, level - 2.5), (at, level + 2.5)) for at in (EDGE, end)),
        text("label", (end + 4.0, level + 2.0), _BAR_WORDS),
    ]
