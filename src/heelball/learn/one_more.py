"""One more try-on: what it adds to one wearer and one last at once, others left as they are (MODEL 9)."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import frozen

from heelball.fit.wearer import PLACES, VERDICTS
from heelball.foot.vector import FEET
from heelball.gaussian.normal import Gaussian
from heelball.last.run import OFFSET_PLACES
from heelball.last.values import Last
from heelball.learn.feet import SLOTS, FeetGiven, offsets_given
from heelball.learn.habits import Habits
from heelball.learn.hearing import Words, after_words, all_words
from heelball.learn.problem import boot_at, growth_in
from heelball.learn.run_prior import RUN, own_belief, shared_prior
from heelball.learn.try_on import TryOn
from heelball.learn.words import limits

_OFFSETS = len(OFFSET_PLACES)
_BELIEF = _OFFSETS + RUN


@frozen(eq=False)
class Added:
    """A last's belief (8 numbers) and a wearer's foot plus taste (10) after one more try-on."""

    belief: Gaussian
    fit: Gaussian


def belief_of(last: Last) -> Gaussian:
    """Return what a last's own evidence says of it, 8 numbers: the gauge's offsets, then the run."""
    return own_belief(last, shared_prior(offsets_given(())))


def one_more(belief: Gaussian, last: Last, feet: FeetGiven, told: Sequence[TryOn], habits: Habits) -> Added:
    """Return belief and fit after one more try-on of that last by that wearer.

    Parameters
    ----------
    belief
        Of the last, 8 numbers.
    feet
        Of the wearer, as readings have them: given the gauge's offsets, which the belief knows.
    told
        The report; a few of one wearer about one last are heard together, since what is between
        those two alone must not count anew with each.

    Notes
    -----
    But for the gauge's offsets the two are taken to be independent before it: what other try-ons
    made common to them is left out until all are learned from again.
    """
    by_belief = np.hstack([feet.by_offsets, np.zeros((SLOTS, RUN))])
    before = belief.image(np.vstack([np.eye(_BELIEF), by_belief]))
    before.mean[_BELIEF:] += feet.mean
    before.cov[_BELIEF:, _BELIEF:] += feet.cov + np.tile(np.diag(habits.taste_sd**2), (2, 2))
    after = after_words(before, all_words([_words(last, one, habits) for one in told])).state
    both = np.eye(_BELIEF + SLOTS)
    return Added(after.image(both[:_BELIEF]), after.image(both[_BELIEF:]))


def _words(last: Last, told: TryOn, habits: Habits) -> Words:
    """Return one report as words about a last's belief and a wearer's fit."""
    where = list(told.verdicts)
    slot = np.array(
        [FEET.index(foot) * len(PLACES) + PLACES.index(place) for foot, place in where], dtype=int
    )
    place = slot % len(PLACES)
    design = np.zeros((len(slot), _BELIEF + SLOTS))
    rows = np.arange(len(slot))
    design[rows, _OFFSETS + place] = 1.0
    design[rows, _BELIEF + slot] = -1.0
    lo, hi = habits.bands(last.stiffness)
    word = np.array([VERDICTS.index(told.verdicts[one]) for one in where], dtype=int)
    lower, upper = limits(word, lo[place], hi[place])
    boot = boot_at(last, told.label) - growth_in(told)
    return Words(design, boot[place], habits.scatter_sd[place] ** 2, lower, upper, habits.lapse)
