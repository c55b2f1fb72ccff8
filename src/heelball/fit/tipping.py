"""What would tip the choice from the best label to the runner-up."""

from __future__ import annotations

import numpy as np
from attrs import frozen

from heelball.fit.losses import Judging, Mixed, both_feet
from heelball.fit.margins import MEASURE_AT
from heelball.fit.shelf import Shelf
from heelball.fit.verdict import chances, taste_sd
from heelball.fit.wearer import PLACES
from heelball.foot.vector import FEET, Foot, Measure
from heelball.gaussian.normal import Array

#: How far, in sds of what is known, a foot is moved in search of the tipping point.
_FAR = 3.0


@frozen
class Tip:
    """A change of one measure of one foot [mm] that makes two labels' losses equal."""

    foot: Foot
    what: Measure
    change: float


def tip(mixed: Mixed, shelf: Shelf, judging: Judging, last: int, best: int, other: int) -> Tip | None:
    """Return the likeliest single change of a foot that would make `other` as good as `best`.

    Parameters
    ----------
    last, best, other
        Positions on the shelf.

    Returns
    -------
    Tip or None
        None where no change within three sds does it.
    """
    shifts = np.linspace(-_FAR, _FAR, 121)
    labels = np.array([best, other])
    sds = np.sqrt(sum(w * m.variance[last, best] for w, m in zip(mixed.weights, mixed.margins, strict=True)))
    lost = np.zeros((2, len(shifts), 2 * len(PLACES)))
    cost_little, cost_much = both_feet(judging.costs.little), both_feet(judging.costs.much)
    lo, hi = both_feet(shelf.lo[last]), both_feet(shelf.hi[last])
    for weight, margins in zip(mixed.weights, mixed.margins, strict=True):
        spread = np.sqrt(margins.variance[last, labels][:, None, :] + both_feet(taste_sd()) ** 2)
        for share, grown in zip(judging.shares, judging.growth, strict=True):
            # A foot longer by so much has margins smaller by as much.
            moved = margins.mean[last, labels][:, None, :] - grown - shifts[:, None] * sds
            little, much = chances(moved, spread, lo, hi)
            lost += weight * share * (little * cost_little + much * cost_much)
    still = lost[:, len(shifts) // 2]
    ahead = (mixed.by_place[last, other] - mixed.by_place[last, best]).sum()
    gap = ahead + (lost[1] - lost[0]) - (still[1] - still[0])
    found: Tip | None = None
    nearest = np.inf
    for place in np.flatnonzero(judging.judged):
        crossing = _nearest_crossing(shifts, gap[:, place])
        if crossing is not None and abs(crossing) < nearest:
            nearest = abs(crossing)
            foot, what = FEET[place // len(PLACES)], MEASURE_AT[PLACES[place % len(PLACES)]]
            found = Tip(foot, what, float(crossing * sds[place]))
    return found


def _nearest_crossing(shifts: Array, gap: Array) -> float | None:
    """Return the shift nearest zero where the gap falls to zero, straight between grid points."""
    ends = np.flatnonzero((gap[:-1] > 0) != (gap[1:] > 0))
    if len(ends) == 0:
        return None
    at = shifts[ends] + (shifts[ends + 1] - shifts[ends]) * gap[ends] / (gap[ends] - gap[ends + 1])
    return float(at[np.argmin(np.abs(at))])
