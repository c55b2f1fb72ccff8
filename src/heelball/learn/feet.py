"""A wearer's feet as the readings have them, given the gauge's offsets (MODEL 1, 2 and 9).

Readings speak of foot and offset together, so a foot is known only given the offset. What the
readings of many wearers would say of the offset itself is left out: their fitters' techniques
are shared in ways no file tells, and a thousand feet read alike would pass for a thousand proofs.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

import numpy as np
from attrs import frozen

from heelball.fit.margins import MEASURE_AT
from heelball.fit.wearer import PLACES, Wearer
from heelball.foot.calibration import calibrated
from heelball.foot.evidence import state_index
from heelball.foot.posterior import Component, feet_posterior
from heelball.foot.prior import FEET_SIZE, STATE_SIZE, feet_prior
from heelball.foot.reading import GaugeMark
from heelball.foot.vector import FEET
from heelball.gaussian.normal import Array, Gaussian, mixed

#: Both feet place by place: left foot in the order of `PLACES`, then the right.
SLOTS: Final = len(FEET) * len(PLACES)

#: Where each place of each foot stands in the state of `foot`.
_ORDER: Final = np.array([state_index(foot, MEASURE_AT[place]) for foot in FEET for place in PLACES])


@frozen(eq=False)
class FeetGiven:
    """Both feet given the gauge's offsets c: normal with mean ``mean + by_offsets @ c``.

    Parameters
    ----------
    mean, by_offsets, cov
        Shapes (10,), (10, 3), (10, 10) [mm], [1], [mm²], place by place.
    """

    mean: Array
    by_offsets: Array
    cov: Array


def feet_given(wearer: Wearer) -> FeetGiven:
    """Return a wearer's feet given the gauge's offsets; two populations are one Gaussian here.

    Raises
    ------
    ValueError
        For a child: no moments of children's feet are open.
    """
    feet = feet_posterior(wearer.readings, wearer.gauge_marks, wearer.population)
    if feet.child:
        raise ValueError(f"{wearer.code} is a child")
    parts = [_given(one) for one in feet.components]
    weights = np.array([one.weight for one in feet.components])
    both = mixed(weights, [Gaussian(one.mean, one.cov) for one in parts])
    by_offsets = np.einsum("p,pij->ij", weights, np.array([one.by_offsets for one in parts]))
    return FeetGiven(both.mean, by_offsets, both.cov)


def _given(component: Component) -> FeetGiven:
    mean, cov = component.state.mean, component.state.cov
    c = np.arange(FEET_SIZE, STATE_SIZE)
    by_offsets = np.linalg.solve(cov[np.ix_(c, c)], cov[np.ix_(c, _ORDER)]).T
    left: Array = cov[np.ix_(_ORDER, _ORDER)] - by_offsets @ cov[np.ix_(c, _ORDER)]
    return FeetGiven(mean[_ORDER] - by_offsets @ mean[c], by_offsets, (left + left.T) / 2)


def offsets_given(gauge_marks: Iterable[GaugeMark]) -> Gaussian:
    """Return the gauge's offsets given what rulers said of its marks; a mark written twice counts once."""
    state = calibrated(feet_prior("men"), tuple(dict.fromkeys(gauge_marks)))
    return Gaussian(state.mean[FEET_SIZE:], state.cov[FEET_SIZE:, FEET_SIZE:])
