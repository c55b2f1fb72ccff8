"""Probabilities of the normal distribution: of intervals, and of boxes in many dimensions.

Box probabilities follow Genz's separation of variables (Genz 1992, J. Comp. Graph. Stat. 1,
141-149) on one fixed low-discrepancy set, so the same question always has the same answer.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

#: Nodes of the fixed set. Measured against SciPy on a thousand boot-like boxes: see
#: tests/oracle/test_box_against_scipy.py.
NODES = 128

#: Square roots of these primes turn a count into Richtmyer's set; ten dimensions need nine.
_PRIMES = (2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31)

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


@lru_cache(maxsize=32)
def _nodes(dimensions: int, count: int) -> Array:
    """Return Richtmyer's set, folded (baker's transform), shape (dimensions, count)."""
    roots = np.sqrt(np.array(_PRIMES[:dimensions], dtype=float))[:, None]
    position = np.mod(roots * (np.arange(1, count + 1) - 0.5), 1.0)
    folded: Array = np.abs(2 * position - 1)
    return np.clip(folded, 1e-9, 1 - 1e-9)


def box(cov: Array, lower: Array, upper: Array, nodes: int = NODES) -> Array:
    """Return the probability that a centred normal falls in each of several boxes.

    Parameters
    ----------
    cov
        Covariances, shape (k, d, d).
    lower, upper
        Corners of `s` boxes for each covariance, shape (k, s, d).
    nodes
        Size of the low-discrepancy set.

    Returns
    -------
    Array
        Shape (k, s).

    Notes
    -----
    The variables of each covariance are taken in the order of their own chances, the least
    likely first, which is where the method loses least.
    """
    k, s, d = lower.shape
    probability = np.empty((k, s))
    sd = np.sqrt(np.diagonal(cov, axis1=-2, axis2=-1))
    z_lower, z_upper = lower / sd[:, None, :], upper / sd[:, None, :]
    corr = cov / (sd[:, :, None] * sd[:, None, :])
    single = (below(z_upper) - below(z_lower)).mean(axis=1)
    order = np.argsort(single, axis=1, kind="stable")
    rows = np.arange(k)[:, None]
    corr = corr[rows[:, :, None], order[:, :, None], order[:, None, :]]
    factor = np.linalg.cholesky(corr + 1e-12 * np.eye(d))
    z_lower = np.take_along_axis(z_lower, order[:, None, :], axis=2)
    z_upper = np.take_along_axis(z_upper, order[:, None, :], axis=2)
    step = max(1, _CHUNK // s)
    for start in range(0, k, step):
        part = slice(start, start + step)
        probability[part] = _separated(factor[part], z_lower[part], z_upper[part], nodes)
    return probability


def _separated(factor: Array, lower: Array, upper: Array, nodes: int) -> Array:
    """Return the box probabilities of unit-variance normals given their Cholesky factors."""
    k, s, d = lower.shape
    set_ = _nodes(max(d - 1, 1), nodes)
    drawn = np.empty((d, k, s, nodes))
    weight = np.ones((k, s, nodes))
    for i in range(d):
        scale = factor[:, i, i][:, None, None]
        centre = np.zeros((1, 1, 1)) if i == 0 else np.einsum("kj,jksn->ksn", factor[:, i, :i], drawn[:i])
        low = below((lower[:, :, i, None] - centre) / scale)
        width = below((upper[:, :, i, None] - centre) / scale) - low
        weight = weight * width
        if i < d - 1:
            drawn[i] = _quantile(np.clip(low + set_[i] * width, 1e-300, 1 - 1e-16))
    mean: Array = weight.mean(axis=-1)
    return mean
