"""A multivariate normal, and what is left of it once something linear in it was observed."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

Array = NDArray[np.float64]

_LOG_TWO_PI = float(np.log(2 * np.pi))


@frozen(eq=False)
class Gaussian:
    """A normal distribution of n numbers.

    Parameters
    ----------
    mean
        Shape (n,).
    cov
        Covariance, shape (n, n).
    """

    mean: Array
    cov: Array

    def condition(self, design: Array, values: Array, noise: Array) -> Gaussian:
        """Return the distribution given ``values = design @ x + noise``.

        Parameters
        ----------
        design
            Shape (m, n).
        values
            Shape (m,).
        noise
            Variances of independent noise, shape (m,).

        Returns
        -------
        Gaussian
            Of the same n numbers.
        """
        if len(values) == 0:
            return self
        cross = self.cov @ design.T
        spread = design @ cross + np.diag(noise)
        gain = np.linalg.solve(spread, cross.T).T
        mean = self.mean + gain @ (values - design @ self.mean)
        cov = self.cov - gain @ cross.T
        return Gaussian(mean, (cov + cov.T) / 2)

    def joined(self, other: Gaussian) -> Gaussian:
        """Return the joint distribution of these numbers and independent others behind them."""
        n, m = len(self.mean), len(other.mean)
        cov = np.zeros((n + m, n + m))
        cov[:n, :n] = self.cov
        cov[n:, n:] = other.cov
        return Gaussian(np.concatenate([self.mean, other.mean]), cov)

    def image(self, design: Array) -> Gaussian:
        """Return the distribution of ``design @ x``, design of shape (m, n)."""
        return Gaussian(design @ self.mean, design @ self.cov @ design.T)

    def sample(self, generator: np.random.Generator, size: int) -> Array:
        """Return `size` draws made with the generator passed, shape (size, n)."""
        factor = np.linalg.cholesky(self.cov)
        draws: Array = self.mean + generator.standard_normal((size, len(self.mean))) @ factor.T
        return draws


def mixed(weights: Array, parts: Sequence[Gaussian]) -> Gaussian:
    """Return one normal with the mean and covariance of a mixture.

    Parameters
    ----------
    weights
        Shape (p,), summing to 1.
    parts
        At least one, all of the same n numbers.
    """
    means = np.array([one.mean for one in parts])
    mean = weights @ means
    off = means - mean
    cov = np.einsum("p,pij->ij", weights, np.array([one.cov for one in parts]))
    return Gaussian(mean, cov + np.einsum("p,pi,pj->ij", weights, off, off))


def reweighed(weights: Sequence[float], log_evidence: Sequence[float]) -> Array:
    """Return weights after each part's evidence, shape (p,); one that was 0 stays there."""
    with np.errstate(divide="ignore"):
        logs = np.log(np.asarray(weights)) + np.asarray(log_evidence)
    after: Array = np.exp(logs - np.logaddexp.reduce(logs))
    return after


def log_density(deviation: Array, cov: Array) -> Array:
    """Return the log density of centred normals, one for each of k covariances.

    Parameters
    ----------
    deviation
        Observed less expected, shape (k, m).
    cov
        Shape (k, m, m).

    Returns
    -------
    Array
        Shape (k,).
    """
    factor = np.linalg.cholesky(cov)
    whitened = np.linalg.solve(factor, deviation[..., None])[..., 0]
    log_root = np.log(np.diagonal(factor, axis1=-2, axis2=-1)).sum(axis=-1)
    density: Array = -0.5 * (whitened**2).sum(axis=-1) - log_root - 0.5 * deviation.shape[-1] * _LOG_TWO_PI
    return density
