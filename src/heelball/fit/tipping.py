"""What would tip the choice from the best label to the runner-up."""

from __future__ import annotations

import numpy as np
from attrs import frozen

from heelball.fit.losses import Judging, Mixed, Positions, both_feet
from heelball.fit.margins import MEASURE_AT
from heelball.fit.shelf import Shelf
from heelball.fit.verdict import chances
from heelball.fit.wearer import PLACES
from heelball.foot.vector import FEET, Foot, Measure
from heelball.gaussian.normal import Array

#: How far, in sds of what is known, a foot is moved in search of the tipping point.
_FAR = 3.0

#: Steps of that search, an odd number so that "no change" is one of them.
_STEPS = 61


@frozen
class Tip:
    """A change of one measure of one foot [mm] that makes two labels' losses equal."""

    foot: Foot
    what: Measure
    change: float


def tipping_points(
    mixed: Mixed, shelf: Shelf, judging: Judging, best: Positions, other: Positions
) -> list[Tip | None]:
    """Return, last by last, the likeliest single change of a foot that would make `other` as good.

    Parameters
    ----------
    best, other
        Positions of two labels of each last, shapes (N,); below zero: no such label.

    Returns
    -------
    list of Tip or None
        None where no change within three sds of what is known does it.
    """
    n = len(shelf.lasts)
    rows = np.arange(n)[:, None]
    labels = np.stack([best, np.maximum(other, 0)], axis=1)
    shifts = np.linspace(-_FAR, _FAR, _STEPS)
    variances = [m.variance[np.arange(n), best] for m in mixed.margins]
    sds = np.sqrt(np.tensordot(mixed.weights, np.array(variances), axes=1))
    lost = np.zeros((n, 2, len(shifts), 2 * len(PLACES)))
    cost_little, cost_much = both_feet(judging.costs.little), both_feet(judging.costs.much)
    lo, hi = both_feet(shelf.lo)[:, None, None], both_feet(shelf.hi)[:, None, None]
    # A foot longer by so much has margins smaller by as much.
    moved_by = shifts[:, None] * sds[:, None, None, :]
    for weight, margins in zip(mixed.weights, mixed.margins, strict=True):
        spread = np.sqrt(margins.variance[rows, labels] + both_feet(judging.taste_sd) ** 2)[:, :, None]
        mean = margins.mean[rows, labels][:, :, None]
        for share, grown in zip(judging.shares, judging.growth, strict=True):
            little, much = chances(mean - grown - moved_by, spread, lo, hi)
            lost += weight * share * (little * cost_little + much * cost_much)
    change = lost - lost[:, :, len(shifts) // 2, None]
    ahead = mixed.loss[np.arange(n), labels[:, 1]] - mixed.loss[np.arange(n), best]
    gap = ahead[:, None, None] + change[:, 1] - change[:, 0]
    return [None if other[i] < 0 else _nearest_tip(shifts, gap[i], sds[i], judging) for i in range(n)]


def _nearest_tip(shifts: Array, gap: Array, sds: Array, judging: Judging) -> Tip | None:
    """Return the change nearest zero, in sds, at which one place's gap falls to zero."""
    before, place = np.nonzero(((gap[:-1] > 0) != (gap[1:] > 0)) & judging.judged)
    if len(before) == 0:
        return None
    start, end = gap[before, place], gap[before + 1, place]
    # Straight between the grid's points.
    crossing = shifts[before] + (shifts[before + 1] - shifts[before]) * start / (start - end)
    nearest = int(np.abs(crossing).argmin())
    where = int(place[nearest])
    foot, what = FEET[where // len(PLACES)], MEASURE_AT[PLACES[where % len(PLACES)]]
    return Tip(foot, what, float(crossing[nearest] * sds[where]))
