"""The drawing as it stands in a page: each foot by itself, so that a phone sets one below the other.

The marks are those of `drawing.draw`. Heading and table are the page's own, and so is the style
sheet: a page takes no style from inside a drawing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from attrs import frozen

from heelball.foot.vector import Foot
from heelball.show.drafting import INNER_ROOM, OUTER_ROOM
from heelball.show.drawing import document, told
from heelball.show.drawing_style import STYLE
from heelball.show.figures import DrawnBoot, DrawnFoot, figures, in_order
from heelball.show.lengths import Units
from heelball.show.outline import INNER_SHARE
from heelball.show.plan import Plan
from heelball.show.svg import line

# From the upper edge to the foremost point, and from the heels to the lower edge [mm].
_ABOVE: Final = 5.0
_BELOW: Final = 14.0
_EDGE: Final = 4.0

_INSIDE: Final = f"<style>{STYLE}</style>\n"


@frozen
class FootPlate:
    """One foot in the boot, as an ``svg`` element that is styled by the page it stands in."""

    foot: Foot
    svg: str


def foot_plates(
    feet: Sequence[DrawnFoot], boot: DrawnBoot, *, title: str, units: Units = "mm"
) -> tuple[FootPlate, ...]:
    """Return each foot in the boot, from left to right; all are drawn to one scale, heels on one line.

    Parameters
    ----------
    feet
        One foot or two, in any order [mm].
    boot
        The boot they stand in [mm].
    title
        What the boot is called for those who listen; any text.
    units
        What lengths are written in.
    """
    ordered = in_order(feet)
    widest = max(boot.built_for_breadth, *(foot.foot_breadth for foot in ordered))
    reach = (1 - INNER_SHARE) * widest
    outer = _EDGE + OUTER_ROOM + reach
    width = math.ceil(outer + INNER_SHARE * widest + INNER_ROOM + _EDGE)
    base = math.ceil(_ABOVE + max(boot.inside_length, *(foot.foot_length for foot in ordered)))
    plates = []
    for foot in ordered:
        rows = figures([foot], boot, units)
        plan = Plan(
            side=foot.foot,
            axis=outer if foot.foot == "left" else width - outer,
            base=base,
            reach=reach,
            foot=foot,
            boot=boot,
            rows=rows,
            units=units,
        )
        parts = [line("witness", (_EDGE, base), (width - _EDGE, base)), *plan.elements()]
        svg = document(
            parts, f"{foot.foot.capitalize()} foot: {title}", told(rows, boot), width, base + _BELOW
        )
        plates.append(FootPlate(foot.foot, svg.replace(_INSIDE, "")))
    return tuple(plates)
