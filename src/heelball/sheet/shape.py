"""Whether what was measured can be one foot's outline at all."""

from __future__ import annotations

from typing import Final

from heelball.sheet.values import Drawing, Refused

#: Least and most breadth of a drawn line in parts of its length. Of the surveyed feet the middle
#: 99.8 % lie from 0.31 to 0.46; a felt pen adds 0.03; judged: as much room again for odd feet.
LEAST_BREADTH: Final = 0.28
MOST_BREADTH: Final = 0.52


def check_shape(drawing: Drawing) -> None:
    """Refuse a line that no foot has: strokes beside it, or a damaged picture, were taken for it.

    Raises
    ------
    Refused
        `two_outlines`.
    """
    length, breadth = float(drawing.values[0]), float(drawing.values[3])
    if not LEAST_BREADTH < breadth / length < MOST_BREADTH:
        raise Refused(
            "two_outlines",
            f"What was found is no one foot's outline: {length:.0f} mm long and {breadth:.0f} mm broad.",
            "Draw round the foot once, on a sheet with no other strokes, and photograph it again.",
        )
