"""The states of a day, and how each moves the foot from the ordinary one (MODEL 4)."""

from __future__ import annotations

from collections.abc import Sequence
from math import pi
from typing import Final

import numpy as np

from heelball.fit.wearer import PLACES, DayState
from heelball.gaussian.normal import Array
from heelball.package_data import defaults


def ordinary_state() -> DayState:
    """Return the state that bands, built-for values and advice refer to."""
    return DayState("ordinary", 1.0, defaults()["day"]["sock"]["medium"], "ordinary", 0.0)


def states_of(day: Sequence[DayState]) -> tuple[DayState, ...]:
    """Return the day's states; one ordinary state where none is given."""
    return tuple(day) or (ordinary_state(),)


def growth(state: DayState) -> Array:
    """Return how much bigger the foot is than in the ordinary state, by place [mm], shape (5,).

    The order is that of `PLACES`: heel-to-ball, length, breadth, girth, heel breadth.
    """
    day = defaults()["day"]
    sock = state.sock - day["sock"]["medium"]
    length, breadth, girth = np.subtract(day["swelling"][state.swelling], day["swelling"]["ordinary"])
    return np.array(
        [
            sock,
            2 * sock + length,
            sock + breadth,
            pi * sock + girth + day["insole_girth"] * state.insole,
            sock,
        ]
    )


#: Where breadth stands in `growth`.
BREADTH: Final = PLACES.index("breadth")


def largest_breadth_growth(day: Sequence[DayState], least_share: float) -> float:
    """Return the largest growth in breadth beyond the ordinary state [mm], never below zero.

    Only states with at least `least_share` of the day count.
    """
    grown = [float(growth(state)[BREADTH]) for state in states_of(day) if state.share >= least_share]
    return max([0.0, *grown])
