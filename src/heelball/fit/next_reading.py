"""Which one more reading is expected to save most loss (MODEL 6).

With additive loss, one more scalar reading moves all margins along one direction; the expected
least loss over labels is then a single Gauss-Hermite sum, nine nodes in each population.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from heelball.fit.losses import Judging, Mixed, Positions, both_feet
from heelball.fit.margins import Margins
from heelball.fit.shelf import Shelf
from heelball.gaussian.normal import Array
from heelball.gaussian.probability import below

#: Nodes of the quadrature.
NODES = 9

#: Labels are followed whose loss is within this much of the best for each sd that the reading can
#: move a margin, within the two ends. Measured against following all labels, on feet of which
#: nothing to everything was read: a gain moves by 0.0003 at most, and by 0.00001 where all three
#: gauge readings were taken.
_LOSS_PER_SD = 0.9
_LEAST_WITHIN, _MOST_WITHIN = 0.5, 3.0


def gains(mixed: Mixed, shelf: Shelf, judging: Judging, noise: Sequence[Array]) -> Array:
    """Return the loss that each imagined reading is expected to save, last by last.

    Parameters
    ----------
    mixed
        Labels judged with margins that carry K imagined readings along.
    noise
        Noise variances of the K readings in each population, shapes (K,).

    Returns
    -------
    Array
        Shape (N, K), never below zero.
    """
    loss = mixed.loss
    now = loss.min(axis=1)
    reach = np.max(
        [
            _reach(m, shelf, judging, loss.argmin(axis=1), n)
            for m, n in zip(mixed.margins, noise, strict=True)
        ],
        axis=0,
    )
    within = now + np.clip(_LOSS_PER_SD * reach, _LEAST_WITHIN, _MOST_WITHIN)
    most = int((loss <= within[:, None]).sum(axis=1).max())
    contenders = np.argsort(loss, axis=1, kind="stable")[:, :most]
    along = [_Along(mixed, p, shelf, judging, contenders, noise[p]) for p in range(len(mixed.weights))]
    nodes, node_weights = np.polynomial.hermite_e.hermegauss(NODES)
    node_weights = node_weights / node_weights.sum()
    followed = np.take_along_axis(loss, contenders, axis=1) <= within[:, None]
    expected = np.zeros((len(shelf.lasts), noise[0].shape[0]))
    for weight, drawn in zip(mixed.weights, along, strict=True):
        if weight == 0:
            continue
        value = drawn.mean[:, :, None] + drawn.sd[:, :, None] * nodes
        after = _weights_after(mixed.weights, along, value)
        lost = sum(
            after[p][..., None] * other.losses(value, judging)
            for p, other in enumerate(along)
            if mixed.weights[p]
        )
        assert isinstance(lost, np.ndarray)
        lost[np.broadcast_to(~followed[:, None, None, :], lost.shape)] = np.inf
        expected += weight * (lost.min(axis=-1) @ node_weights)
    gain: Array = np.maximum(now[:, None] - expected, 0.0)
    return gain


def _reach(margins: Margins, shelf: Shelf, judging: Judging, best: Positions, noise: Array) -> Array:
    """Return how far, in sds of margin less taste, any one reading moves the best label's margins."""
    rows = np.arange(len(best))
    sd = np.sqrt(np.diagonal(margins.further_variance, axis1=1, axis2=2) + noise)
    push = margins.toward_further(shelf)[rows, best] / sd[:, None, :]
    left = np.maximum(margins.variance[rows, best][..., None] - push**2, 0.0)
    spread = np.sqrt(left + both_feet(judging.taste_sd)[:, None] ** 2)
    reach: Array = np.abs(push / spread)[:, judging.judged].max(axis=(1, 2))
    return reach


class _Along:
    """One population's contenders, moved along by each imagined reading."""

    def __init__(
        self,
        mixed: Mixed,
        population: int,
        shelf: Shelf,
        judging: Judging,
        contenders: NDArray[np.intp],
        noise: Array,
    ) -> None:
        margins = mixed.margins[population]
        rows = np.arange(len(shelf.lasts))[:, None]
        self.judged = np.flatnonzero(judging.judged)
        self.mean = margins.further_mean
        self.sd = np.sqrt(np.diagonal(margins.further_variance, axis1=1, axis2=2) + noise)
        toward = margins.toward_further(shelf)[rows, contenders][:, :, self.judged]
        self.push = np.moveaxis(toward, -1, 1) / self.sd[:, :, None, None]  # (N, K, C, J)
        self.margin = margins.mean[rows, contenders][:, :, self.judged]  # (N, C, J)
        variance = margins.variance[rows, contenders][:, :, self.judged]
        taste = both_feet(judging.taste_sd)[self.judged]
        self.spread = np.sqrt(np.maximum(variance[:, None] - self.push**2, 0.0) + taste**2)  # (N, K, C, J)
        self.lo = both_feet(shelf.lo)[:, self.judged]
        self.hi = both_feet(shelf.hi)[:, self.judged]

    def losses(self, value: Array, judging: Judging) -> Array:
        """Return the contenders' losses once the readings came out as `value`, (N, K, I, C)."""
        z = ((value - self.mean[:, :, None]) / self.sd[:, :, None])[..., None, None]
        lo, hi = self.lo[:, None, None], self.hi[:, None, None]
        push = (self.push / self.spread)[:, :, None]
        cost_little = both_feet(judging.costs.little)[self.judged]
        cost_much = both_feet(judging.costs.much)[self.judged]
        moved = push * z  # in sds, (N, K, I, C, J)
        total = np.zeros(moved.shape[:-1])
        for share, grown in zip(judging.shares, judging.growth, strict=True):
            margin = self.margin[:, None] - grown[self.judged]
            little = below(((lo - margin) / self.spread)[:, :, None] - moved)
            much = below(((margin - hi) / self.spread)[:, :, None] + moved)
            total += share * (little @ cost_little + much @ cost_much)
        return total

    def log_density(self, value: Array) -> Array:
        """Return the log density of the readings coming out as `value`, less a constant."""
        density: Array = -0.5 * ((value - self.mean[:, :, None]) / self.sd[:, :, None]) ** 2
        return density - np.log(self.sd)[:, :, None]


def _weights_after(weights: Array, along: Sequence[_Along], value: Array) -> list[Array]:
    """Return each population's weight once the readings came out as `value`, (N, K, I) each."""
    with np.errstate(divide="ignore"):
        logs = [np.log(w) + one.log_density(value) for w, one in zip(weights, along, strict=True)]
    top = np.maximum.reduce(logs)
    parts = [np.exp(one - top) for one in logs]
    total = np.add.reduce(parts)
    return [part / total for part in parts]
