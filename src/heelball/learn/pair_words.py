"""A pair's words about one state: a wearer's feet, the gauge, the taste, and the run of the pair's last."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import numpy as np

from heelball.fit.margins import MEASURE_AT
from heelball.fit.shelf import Shelf
from heelball.fit.wearer import PLACES, VERDICTS, Place, Verdict
from heelball.foot.evidence import Shared, state_index
from heelball.foot.posterior import Component
from heelball.foot.prior import FEET_SIZE, STATE_SIZE
from heelball.foot.vector import Foot
from heelball.gaussian.normal import Array, Gaussian
from heelball.last.run import (
    GRADE,
    LETTER_GRADE,
    LETTER_PLACES,
    OFFSET_PLACES,
    PLACE,
    RUN_STATE,
    SIZES,
    one_size,
)
from heelball.learn.habits import Habits
from heelball.learn.hearing import Words
from heelball.learn.words import limits

_OFFSETS: Final = len(OFFSET_PLACES)
_TOE: Final = PLACES.index("toe")

#: The wearer's taste, place by place, as numbers shared by verdicts.
TASTE: Final[tuple[Shared, ...]] = tuple(("taste", "", place) for place in PLACES)

#: A run's own numbers in a state.
OWN: Final = RUN_STATE - _OFFSETS


def with_run(state: Gaussian, shelf: Shelf) -> Gaussian:
    """Return a state with one last's run behind it, conditioned on what is known of the last.

    The run is 13 numbers, then what the toe's shape takes beyond its deduction.

    Parameters
    ----------
    state
        Of a wearer: both feet and the gauge's offsets first.
    shelf
        The last alone.
    """
    own = Gaussian(np.zeros(OWN + 1), np.diag([*shelf.own_variance[0], shelf.toe_variance[0]]))
    start = len(state.mean)
    joined = state.joined(own)
    design = in_state(shelf.design[:, 0], start, len(joined.mean))
    return joined.condition(design, shelf.value[:, 0], shelf.variance[:, 0])


def in_state(rows: Array, start: int, size: int) -> Array:
    """Return rows about a run, of shape (n, 16), as rows about a state whose run stands from `start` on."""
    design = np.zeros((len(rows), size))
    design[:, FEET_SIZE:STATE_SIZE] = rows[:, :_OFFSETS]
    design[:, start : start + OWN] = rows[:, _OFFSETS:]
    return design


def words_of(
    component: Component,
    shelf: Shelf,
    label: int,
    verdicts: Mapping[tuple[Foot, Place], Verdict],
    start: int,
    size: int,
    *,
    grown: Array | None = None,
) -> Words:
    """Return a pair's verdicts about a state whose run stands from `start` on.

    Parameters
    ----------
    component
        Where the wearer's numbers stand, the taste among them.
    shelf, label
        The pair's last alone, and the position of its label there.
    verdicts
        At least one.
    start, size
        Where the run stands, and how many numbers the state has.
    grown
        How much bigger the foot was than in the ordinary state, by place [mm], shape (5,).
    """
    told = list(verdicts.items())
    place = np.array([PLACES.index(where) for (_, where), _ in told])
    rows = np.arange(len(told))
    design = np.zeros((len(told), size))
    design[rows, start + SIZES - _OFFSETS] = one_size()[place]
    design[rows, start + PLACE - _OFFSETS + place] = 1.0
    design[rows, start + GRADE - _OFFSETS + place] = shelf.sizes_off[0, label]
    design[rows[place == _TOE], start + OWN] = 1.0
    for i, ((foot, where), _) in enumerate(told):
        design[i, state_index(foot, MEASURE_AT[where])] = -1.0
        design[i, component.columns["taste", "", where]] = -1.0
        if where in LETTER_PLACES:
            at = start + LETTER_GRADE - _OFFSETS + LETTER_PLACES.index(where)
            design[i, at] = shelf.letters[0, label]
        if where in OFFSET_PLACES and shelf.in_frame[0]:
            design[i, FEET_SIZE + OFFSET_PLACES.index(where)] = -1.0
    habits = Habits.default()
    lo, hi = habits.bands(shelf.lasts[0].stiffness)
    word = np.array([VERDICTS.index(verdict) for _, verdict in told])
    lower, upper = limits(word, lo[place], hi[place])
    offset: Array = shelf.built[0, label, place] - (0.0 if grown is None else grown[place])
    return Words(design, offset, habits.scatter_sd[place] ** 2, lower, upper, habits.lapse)
