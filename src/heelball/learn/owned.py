"""What the pairs a wearer owns say of the feet: try-ons in the ordinary state (MODEL 9).

Feet, the gauge's offsets, the wearer's taste and the runs of the pairs' lasts are one Gaussian
that hears every verdict; the runs are then integrated out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
from attrs import evolve, frozen

from heelball.fit.choice import feet_of
from heelball.fit.known_run import KnownRun
from heelball.fit.margins import MEASURE_AT
from heelball.fit.shelf import Shelf, shelve
from heelball.fit.wearer import PLACES, OwnedPair, Wearer
from heelball.foot.evidence import Shared, state_index
from heelball.foot.posterior import Component, FeetPosterior
from heelball.foot.prior import FEET_SIZE, STATE_SIZE
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
from heelball.last.values import Label, Last
from heelball.learn.habits import Habits
from heelball.learn.hearing import Words, after_words
from heelball.learn.words import WORDS, limits

_OFFSETS: Final = len(OFFSET_PLACES)
_TOE: Final = PLACES.index("toe")

#: The wearer's taste, place by place, as numbers shared by verdicts.
TASTE: Final[tuple[Shared, ...]] = tuple(("taste", "", place) for place in PLACES)


@frozen(eq=False)
class Weighed:
    """A pair that can be heard: its verdicts, and its label on a shelf of its own last.

    Parameters
    ----------
    pair
        As the wearer told of it.
    shelf
        Its last alone.
    label
        Position of the pair's label there.
    """

    pair: OwnedPair
    shelf: Shelf
    label: int


def weigh(
    wearer: Wearer, lasts: Mapping[str, Last], known: Mapping[str, KnownRun] | None = None
) -> FeetPosterior:
    """Return what readings and pairs say of both feet, the wearer's taste behind them.

    Parameters
    ----------
    wearer
        With readings, pairs, or both.
    lasts
        By code. A pair of a last that is not among them, of a label it does not have, or of which
        nothing is told, teaches nothing.
    known
        Runs learned from try-ons, by the last's code.

    Returns
    -------
    FeetPosterior
        Its `pairs` says how many were weighed; the same as the readings' where none can be.
    """
    feet = feet_of(wearer)
    if feet.child:
        return feet
    pairs = [one for pair in wearer.pairs if (one := _found(pair, lasts, wearer, known)) is not None]
    if not pairs:
        return feet
    heard = [_heard(component.with_shared(TASTE), pairs) for component in feet.components]
    logs = np.array([np.log(max(one.weight, 1e-300)) + evidence for one, evidence in heard])
    weights = np.exp(logs - np.logaddexp.reduce(logs))
    components = tuple(
        evolve(one, weight=float(weight)) for (one, _), weight in zip(heard, weights, strict=True)
    )
    return evolve(feet, components=components, pairs=len(pairs))


def _found(
    pair: OwnedPair, lasts: Mapping[str, Last], wearer: Wearer, known: Mapping[str, KnownRun] | None
) -> Weighed | None:
    last = lasts.get(pair.last)
    label = Label(pair.size, pair.width)
    if last is None or label not in last.labels or not pair.verdicts:
        return None
    return Weighed(pair, shelve([last], wearer.population, known), last.labels.index(label))


def _heard(component: Component, pairs: Sequence[Weighed]) -> tuple[Component, float]:
    """Return a component after all verdicts, and their log evidence."""
    state, size = component.state, len(component.state.mean)
    starts: dict[str, int] = {}
    for one in pairs:
        if one.pair.last not in starts:
            starts[one.pair.last] = len(state.mean)
            state = _with_run(state, one.shelf)
    words = [_words(component, one, starts[one.pair.last], len(state.mean)) for one in pairs]
    habits = Habits.default()
    told = after_words(
        state,
        Words(
            design=np.concatenate([one.design for one in words]),
            offset=np.concatenate([one.offset for one in words]),
            scatter_variance=np.concatenate([one.scatter_variance for one in words]),
            lower=np.concatenate([one.lower for one in words]),
            upper=np.concatenate([one.upper for one in words]),
            lapse=habits.lapse,
        ),
    )
    left = told.state.image(np.eye(size, len(state.mean)))
    return evolve(component, state=left), told.log_evidence


def _with_run(state: Gaussian, shelf: Shelf) -> Gaussian:
    """Return a state with one last's run behind it, conditioned on what is known of the last.

    The run is 13 numbers, then what the toe's shape takes beyond its deduction.
    """
    own = Gaussian(
        np.zeros(RUN_STATE - _OFFSETS + 1), np.diag([*shelf.own_variance[0], shelf.toe_variance[0]])
    )
    start = len(state.mean)
    joined = state.joined(own)
    design = np.zeros((len(shelf.design), len(joined.mean)))
    design[:, FEET_SIZE:STATE_SIZE] = shelf.design[:, 0, :_OFFSETS]
    design[:, start : start + RUN_STATE - _OFFSETS] = shelf.design[:, 0, _OFFSETS:]
    return joined.condition(design, shelf.value[:, 0], shelf.variance[:, 0])


def _words(component: Component, one: Weighed, start: int, size: int) -> Words:
    """Return a pair's verdicts about a state whose run stands from `start` on."""
    shelf, label = one.shelf, one.label
    told = list(one.pair.verdicts.items())
    place = np.array([PLACES.index(where) for (_, where), _ in told])
    rows = np.arange(len(told))
    design = np.zeros((len(told), size))
    design[rows, start + SIZES - _OFFSETS] = one_size()[place]
    design[rows, start + PLACE - _OFFSETS + place] = 1.0
    design[rows, start + GRADE - _OFFSETS + place] = shelf.sizes_off[0, label]
    design[rows[place == _TOE], start + RUN_STATE - _OFFSETS] = 1.0
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
    word = np.array([WORDS.index(verdict) for _, verdict in told])
    lower, upper = limits(word, lo[place], hi[place])
    offset: Array = shelf.built[0, label, place]
    return Words(design, offset, habits.scatter_sd[place] ** 2, lower, upper, habits.lapse)
