"""Probabilities of the normal distribution: of intervals, and of boxes in many dimensions.

Box probabilities follow Genz's separation of variables (Genz 1992, J. Comp. Graph. Stat. 1,
141-149) on one fixed low-discrepancy set, so the same question always has the same answer.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

#: A Korobov lattice: its size, generator and shift, the best of a search over boot-like boxes and
#: then measured on others: 0.0013 rms and 0.005 at most off the converged value in 8 to 10
#: dimensions (docs/decisions, tests/oracle).
NODES = 97
_GENERATOR = 30
_SHIFT = 0.3942

#: Boxes worked on at one time, so that the work stays in the processor's cache.
_CHUNK = 128


def below(x: Array) -> Array:
    """Return the standard normal's probability below `x`, of the same shape."""
    # Imported here: scipy.special takes a third of a second, and half the commands never need it.
    from scipy.special import ndtr

    probability: Array = ndtr(x)
    return probability


def _quantile(p: Array) -> Array:
    from scipy.special import ndtri

    x: Array = ndtri(p)
    return x


@lru_cache(maxsize=16)
def _lattice(dimensions: int) -> Array:
    """Return the fixed set, folded (baker's transform), shape (dimensions, NODES)."""
    generators = np.array([pow(_GENERATOR, i, NODES) for i in range(dimensions)])
    position = np.mod(generators[:, None] * np.arange(NODES) / NODES + _SHIFT, 1.0)
    folded: Array = np.abs(2 * position - 1)
    return folded


def box(cov: Array, lower: Array, upper: Array) -> Array:
    """Return the probability that a centred normal falls in each of several boxes.

    Parameters
    ----------
    cov
        Covariances, shape (k, d, d), all positive definite.
    lower, upper
        Corners of `s` boxes for each covariance, shape (k, s, d).

    Returns
    -------
    Array
        Shape (k, s).
    """
    k, s, d = lower.shape
    low, high = lower.reshape(k * s, d), upper.reshape(k * s, d)
    whose = np.repeat(np.arange(k), s)
    probability = np.empty(k * s)
    order, factor = _ordered_factor(cov[whose], low, high)
    low = np.take_along_axis(low, order, axis=1)
    high = np.take_along_axis(high, order, axis=1)
    for start in range(0, k * s, _CHUNK):
        part = slice(start, start + _CHUNK)
        probability[part] = _separated(factor[part], low[part], high[part])
    return probability.reshape(k, s)


def _ordered_factor(cov: Array, lower: Array, upper: Array) -> tuple[NDArray[np.intp], Array]:
    """Return an order of the variables and the Cholesky factor of each covariance in it.

    The next variable is always the one least likely to fall between its limits, given that those
    before it did (Genz and Bretz 2009, Computation of Multivariate Normal and t Probabilities,
    section 4.1.3): the method then loses least.
    """
    k, d = lower.shape
    rows = np.arange(k)
    order = np.tile(np.arange(d), (k, 1))
    cov, lower, upper = cov.copy(), lower.copy(), upper.copy()
    factor = np.zeros((k, d, d))
    centre = np.zeros((k, d))
    rest = np.diagonal(cov, axis1=1, axis2=2).copy()
    for i in range(d):
        sd = np.sqrt(np.maximum(rest[:, i:], 1e-12))
        inside = below((upper[:, i:] - centre[:, i:]) / sd) - below((lower[:, i:] - centre[:, i:]) / sd)
        chosen = i + inside.argmin(axis=1)
        for one in (order, lower, upper, centre, rest, cov, factor):
            one[rows, i], one[rows, chosen] = one[rows, chosen].copy(), one[rows, i].copy()
        cov[rows, :, i], cov[rows, :, chosen] = cov[rows, :, chosen].copy(), cov[rows, :, i].copy()
        root = np.sqrt(np.maximum(rest[:, i], 1e-12))
        column = (cov[:, i:, i] - np.einsum("kij,kj->ki", factor[:, i:, :i], factor[:, i, :i])) / root[
            :, None
        ]
        factor[:, i:, i] = column
        factor[:, i, i] = root
        low, high = (lower[:, i] - centre[:, i]) / root, (upper[:, i] - centre[:, i]) / root
        width = np.maximum(below(high) - below(low), 1e-12)
        mean = (np.exp(-(low**2) / 2) - np.exp(-(high**2) / 2)) / (np.sqrt(2 * np.pi) * width)
        centre += factor[:, :, i] * mean[:, None]
        rest -= factor[:, :, i] ** 2
    return order, factor


def _separated(factor: Array, lower: Array, upper: Array) -> Array:
    """Return box probabilities by separation of variables, given the Cholesky factors."""
    k, d = lower.shape
    lattice = _lattice(max(d - 1, 1))
    drawn = np.empty((d, k, NODES))
    weight = np.ones((k, NODES))
    for i in range(d):
        scale = factor[:, i, i, None]
        centre = sum((factor[:, i, j, None] * drawn[j] for j in range(i)), start=np.zeros((1, 1)))
        low = below((lower[:, i, None] - centre) / scale)
        width = below((upper[:, i, None] - centre) / scale) - low
        weight = weight * width
        if i < d - 1:
            drawn[i] = _quantile(np.clip(low + lattice[i] * width, 1e-300, 1 - 1e-16))
    mean: Array = weight.mean(axis=-1)
    return mean
