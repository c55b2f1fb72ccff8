"""The page that proves the print's scale, with the paper tape: where every mark of it stands [mm].

The bars are read with any ruler. The ladder is read by an ID-1 card (ISO/IEC 7810: 85.60 × 53.98 mm)
pushed into its corner: on a print of p per cent the card's edge meets the rung named p.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from attrs import frozen

from heelball.sheet.scale import BAR
from heelball.sheet.values import Array

#: Width and height of an ID-1 card [mm]: ISO/IEC 7810.
CARD: Final = (85.60, 53.98)
#: Rungs of the ladder [%].
RUNGS: Final = tuple(float(half) / 2 for half in range(180, 211))

_CORNER: Final = np.array([30.0, 46.0])
_RUNG: Final = 1.7
_FIRST_RUNG: Final = 0.6
_ALONG: Final = np.array([[14.0, 45.0], [14.0, 45.0 + BAR]])
_ACROSS: Final = np.array([[26.0, 28.0], [26.0 + BAR, 28.0]])

#: The tape: millimetres on each of two strips, their width, and what is glued under the second one.
STRIP: Final = 170.0
STRIP_WIDTH: Final = 14.0
GLUED: Final = 15.0
_STRIP_LEFT: Final = (158.0, 182.0)
_STRIP_TOP: Final = 45.0


@frozen(eq=False)
class Rung:
    """One line of the ladder, shape (2, 2) [mm], and the scale it stands for [%]."""

    percent: float
    ends: Array


@frozen(eq=False)
class Strip:
    """One strip of the tape: its first and last number, its left edge, and where the first one stands."""

    first: float
    last: float
    left: float
    top: float


@frozen(eq=False)
class Proof:
    """All marks of the page of proof.

    Parameters
    ----------
    along, across
        The bars, shape (2, 2) each: along the page's height, and along its width.
    corner
        The inner corner of the stop that the card is pushed into, shape (2,).
    ladder
        Its rungs.
    tape
        Its two strips.
    """

    along: Array
    across: Array
    corner: Array
    ladder: tuple[Rung, ...]
    tape: tuple[Strip, Strip]


def proof() -> Proof:
    """Return the marks of the page of proof; they stand alike on both papers."""
    ladder = []
    for row, percent in enumerate(RUNGS):
        x = _CORNER[0] + CARD[0] * 100 / percent
        top = _CORNER[1] + _FIRST_RUNG + row * _RUNG
        ladder.append(Rung(percent, np.array([[x, top], [x, top + _RUNG]])))
    strips = (
        Strip(0.0, STRIP, _STRIP_LEFT[0], _STRIP_TOP),
        Strip(STRIP, 2 * STRIP, _STRIP_LEFT[1], _STRIP_TOP),
    )
    return Proof(_ALONG, _ACROSS, _CORNER, tuple(ladder), strips)
