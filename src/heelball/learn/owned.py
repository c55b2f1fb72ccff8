"""What the pairs a wearer owns say of the feet: try-ons in the ordinary state (MODEL 9).

Feet, the gauge's offsets, the wearer's taste and the runs of the pairs' lasts are one Gaussian
that hears every verdict; the runs are then integrated out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from attrs import evolve, frozen

from heelball.fit.choice import feet_of
from heelball.fit.known_run import KnownRun
from heelball.fit.shelf import Shelf, shelve
from heelball.fit.wearer import OwnedPair, Wearer
from heelball.foot.posterior import Component, FeetPosterior
from heelball.gaussian.normal import reweighed
from heelball.last.values import Label, Last
from heelball.learn.hearing import after_words, all_words
from heelball.learn.pair_words import TASTE, with_run, words_of


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
        Its `pairs` says how many were weighed, its `unheard` which were not; the same as the
        readings' where none can be.
    """
    feet = feet_of(wearer)
    if feet.child:
        return feet
    found = [_found(pair, lasts, wearer, known) for pair in wearer.pairs]
    pairs = [one for one in found if one is not None]
    if not pairs:
        return feet
    heard = [_heard(component.with_shared(TASTE), pairs) for component in feet.components]
    weights = reweighed([one.weight for one, _ in heard], [evidence for _, evidence in heard])
    components = tuple(
        evolve(one, weight=float(weight)) for (one, _), weight in zip(heard, weights, strict=True)
    )
    unheard = tuple(pair.last for pair, one in zip(wearer.pairs, found, strict=True) if one is None)
    return evolve(feet, components=components, pairs=len(pairs), unheard=unheard)


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
            state = with_run(state, one.shelf)
    words = [
        words_of(component, one.shelf, one.label, one.pair.verdicts, starts[one.pair.last], len(state.mean))
        for one in pairs
    ]
    told = after_words(state, all_words(words))
    left = told.state.image(np.eye(size, len(state.mean)))
    return evolve(component, state=left), told.log_evidence
