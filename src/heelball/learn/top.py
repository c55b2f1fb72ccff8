"""Runs of all lasts and what they share, once makers and wearers are eliminated: the last solve.

The precision is the lasts' own, less what each maker's numbers take off the lasts of that maker,
plus what try-ons add and wearers take off. Only runs of lasts may be dense, never wearers by lasts.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final, Protocol

import numpy as np
from attrs import field, frozen

from heelball.gaussian.normal import Array, Gaussian
from heelball.last.run import one_size
from heelball.learn.blocks import Fits, Group, Visits, Wearers, on_runs, taken_off
from heelball.learn.problem import Positions, Problem
from heelball.learn.run_prior import MAKER, RUN, SHARED

_OFFSETS: Final = 3
_MAKER: Final = slice(RUN, RUN + MAKER)
_SHARED: Final = slice(RUN + MAKER, None)

#: Steps that the means' solve may take, and how small the rest must be to what it started from.
_STEPS: Final = 200
_REST: Final = 1e-6

#: Columns mirrored at once: a strip stays in the cache.
_STRIP: Final = 256


@frozen(eq=False)
class TopPrior:
    """Lasts and what they share before any try-on, makers eliminated.

    Parameters
    ----------
    own, toward_shared
        Precision of each run, and with what all share, shapes (L, 5, 5), (L, 5, 8).
    shared
        Precision of what all share, shape (8, 8).
    toward_maker, share_maker
        Precision of runs and of what all share with their maker's numbers, shapes (L, 5, 6),
        (K, 8, 6).
    maker
        Inverse precision of each maker's numbers, shape (K, 6, 6).
    pull, maker_pull
        Shifts of the top, shape (5 L + 8,), and of the makers' numbers, shape (K, 6).
    """

    own: Array
    toward_shared: Array
    shared: Array
    toward_maker: Array
    share_maker: Array
    maker: Array
    pull: Array
    maker_pull: Array


def top_prior(problem: Problem) -> TopPrior:
    """Return the prior of the top."""
    prior, who, makers = problem.prior, problem.maker_of, len(problem.makers)
    factor, shift = prior.precision, prior.shift
    of_maker = np.tile(np.diag(prior.maker_precision), (makers, 1, 1))
    np.add.at(of_maker, who, factor[:, _MAKER, _MAKER])
    share_maker = np.zeros((makers, SHARED, MAKER))
    np.add.at(share_maker, who, factor[:, _SHARED, _MAKER])
    maker_pull = np.zeros((makers, MAKER))
    np.add.at(maker_pull, who, shift[:, _MAKER])
    inverse: Array = np.linalg.inv(of_maker).astype(np.float64, copy=False)
    shared_precision = np.linalg.inv(prior.shared.cov)
    toward_maker = factor[:, :RUN, _MAKER]
    taken = np.einsum("kij,kj->ki", inverse, maker_pull)
    runs = shift[:, :RUN] - np.einsum("lij,lj->li", toward_maker, taken[who])
    pull_shared = shift[:, _SHARED].sum(axis=0) + shared_precision @ prior.shared.mean
    pull_shared = pull_shared - np.einsum("kij,kj->i", share_maker, taken)
    return TopPrior(
        own=factor[:, :RUN, :RUN],
        toward_shared=factor[:, :RUN, _SHARED],
        shared=shared_precision + factor[:, _SHARED, _SHARED].sum(axis=0),
        toward_maker=toward_maker,
        share_maker=share_maker,
        maker=inverse,
        pull=np.concatenate([runs.ravel(), pull_shared]),
        maker_pull=maker_pull,
    )


@frozen(eq=False)
class Eliminated:
    """Everything the top is made of, once wearers and makers are eliminated.

    Parameters
    ----------
    problem, prior, visits, wearers
        What does not change from round to round.
    fits
        Wearers given the top, group by group.
    precision
        Of all sites, shape (V, 10).
    """

    problem: Problem
    prior: TopPrior
    visits: Visits
    wearers: Wearers
    fits: Sequence[Fits]
    precision: Array


class Covariance(Protocol):
    """What is known of the top's covariance, whole or block by block."""

    def among(self, at: Positions) -> Array:
        """Return the covariance of some numbers, shape (n, n)."""
        ...

    def of(self, group: Group) -> Array:
        """Return the covariance of a group's columns, shape (W, d, d)."""
        ...

    def variances(self) -> Array:
        """Return the variance of every number, shape (size,)."""
        ...

    def times(self, values: Array) -> Array:
        """Return the covariance times a vector, shape (size,)."""
        ...


@frozen(eq=False)
class Dense:
    """The whole covariance, shape (size, size)."""

    matrix: Array
    #: Asked for in every round between two covariances: gathering them takes as long as hearing the words.
    _of: dict[Group, Array] = field(factory=dict, init=False)

    def among(self, at: Positions) -> Array:
        """Return the covariance of some numbers, shape (n, n)."""
        block: Array = self.matrix[np.ix_(at, at)]
        return block

    def of(self, group: Group) -> Array:
        """Return the covariance of a group's columns, shape (W, d, d)."""
        if group not in self._of:
            self._of[group] = self.matrix[group.columns[:, :, None], group.columns[:, None, :]]
        return self._of[group]

    def variances(self) -> Array:
        """Return the variance of every number, shape (size,)."""
        return np.diagonal(self.matrix).copy()

    def times(self, values: Array) -> Array:
        """Return the covariance times a vector, shape (size,)."""
        product: Array = self.matrix @ values
        return product


@frozen(eq=False)
class OwnBlocks:
    """Each run by itself, joined to the others through what all share alone.

    Parameters
    ----------
    own
        Covariance of each run given what all share, shape (L, 5, 5).
    slope
        Each run's slope on what all share, shape (L, 5, 8).
    shared
        Covariance of what all share, shape (8, 8).
    """

    own: Array
    slope: Array
    shared: Array

    def among(self, at: Positions) -> Array:
        """Return the covariance of some numbers, shape (n, n)."""
        block: Array = self._at(at[None])[0]
        return block

    def of(self, group: Group) -> Array:
        """Return the covariance of a group's columns, shape (W, d, d)."""
        return self._at(group.columns)

    def _at(self, at: Positions) -> Array:
        """Return the covariances of several sets of numbers, each of shape (n,): (W, n, n)."""
        slope = np.concatenate([self.slope.reshape(-1, SHARED), np.eye(SHARED)])[at]
        cov: Array = slope @ self.shared @ np.swapaxes(slope, 1, 2)
        # What all share has no last: it stands behind the lasts' last.
        last, place = np.divmod(at, RUN)
        own = np.concatenate([self.own, np.zeros((-(-SHARED // RUN), RUN, RUN))])
        same = (last[:, :, None] == last[:, None, :]) & (last[:, :, None] < len(self.own))
        cov += np.where(same, own[last[:, :, None], place[:, :, None], place[:, None, :]], 0.0)
        return cov

    def variances(self) -> Array:
        """Return the variance of every number, shape (size,)."""
        through = np.einsum("lia,ab,lib->li", self.slope, self.shared, self.slope)
        own = np.diagonal(self.own, axis1=1, axis2=2) + through
        return np.concatenate([own.ravel(), np.diagonal(self.shared)])

    def times(self, values: Array) -> Array:
        """Return the covariance times a vector, shape (size,)."""
        runs, shared = values[:-SHARED].reshape(-1, RUN), values[-SHARED:]
        common = self.shared @ (np.einsum("lia,li->a", self.slope, runs) + shared)
        own = np.einsum("lij,lj->li", self.own, runs) + self.slope @ common
        return np.concatenate([own.ravel(), common])


def runs_and_shared(lasts: Positions, size: int) -> Positions:
    """Return where the runs of some lasts, then what all share, stand in the top."""
    runs = (lasts[:, None] * RUN + np.arange(RUN)).ravel()
    return np.concatenate([runs, np.arange(size - SHARED, size)])


def dense_covariance(left: Eliminated) -> Dense:
    """Return the exact covariance of the top: the Schur complement of all wearers and makers, inverted.

    Raises
    ------
    numpy.linalg.LinAlgError
        Where the sites leave no Gaussian.
    """
    from scipy.linalg.lapack import dpotrf, dpotri

    size, count = left.visits.size, len(left.problem.lasts)
    flat = np.zeros(size * size)
    for group, fit in zip(left.visits.groups, left.fits, strict=True):
        taken = np.swapaxes(fit.toward, 1, 2) @ fit.gain
        at = group.columns[:, :, None] * size + group.columns[:, None, :]
        np.subtract.at(flat, at.ravel(), taken.ravel())
    matrix = flat.reshape(size, size)
    shared = slice(size - SHARED, size)
    for maker in range(len(left.problem.makers)):
        lasts = np.flatnonzero(left.problem.maker_of == maker)
        at = runs_and_shared(lasts, size)
        toward = np.vstack([left.prior.toward_maker[lasts].reshape(-1, MAKER), left.prior.share_maker[maker]])
        matrix[np.ix_(at, at)] -= toward @ left.prior.maker[maker] @ toward.T
    blocks = matrix[: RUN * count, : RUN * count].reshape(count, RUN, count, RUN)
    each = np.arange(count)
    blocks[each, :, each, :] += left.prior.own
    matrix[: RUN * count, shared] += left.prior.toward_shared.reshape(-1, SHARED)
    matrix[shared, : RUN * count] += left.prior.toward_shared.reshape(-1, SHARED).T
    matrix[shared, shared] += left.prior.shared
    matrix[-_OFFSETS:, -_OFFSETS:] += left.wearers.offset_precision
    matrix.flat[:: size + 1] += on_runs(left.visits, left.precision)
    # Columns first, as LAPACK wants them, so that nothing is copied; both halves are the same.
    factor, info = dpotrf(matrix.T, lower=1, overwrite_a=1, clean=0)
    if info != 0:
        raise np.linalg.LinAlgError("the sites leave no Gaussian")
    inverse, _ = dpotri(factor, lower=1, overwrite_c=1)
    _mirror(inverse)
    return Dense(inverse.T)


def _mirror(lower: Array) -> None:
    """Write the lower half of a square matrix into its upper half, in place and strip by strip."""
    size = len(lower)
    for start in range(0, size, _STRIP):
        end = min(start + _STRIP, size)
        block = np.tril(lower[start:end, start:end])
        lower[start:end, start:end] = block + np.tril(block, -1).T
        lower[start:end, end:] = lower[end:, start:end].T


def own_blocks(left: Eliminated) -> OwnBlocks:
    """Return the covariance of the top as if runs spoke to each other through what all share alone.

    What makers and wearers take off between two lasts is left out, so that sds are a little too
    small; what they take off a last itself is in.
    """
    count = len(left.problem.lasts)
    own = left.prior.own - left.prior.toward_maker @ left.prior.maker[left.problem.maker_of] @ np.swapaxes(
        left.prior.toward_maker, 1, 2
    )
    toward = left.prior.toward_shared - np.einsum(
        "lim,lmn,lan->lia",
        left.prior.toward_maker,
        left.prior.maker[left.problem.maker_of],
        left.prior.share_maker[left.problem.maker_of],
    )
    shared = left.prior.shared - np.einsum(
        "kam,kmn,kbn->ab", left.prior.share_maker, left.prior.maker, left.prior.share_maker
    )
    shared[-_OFFSETS:, -_OFFSETS:] += left.wearers.offset_precision
    places = np.arange(RUN)
    own[:, places, places] += on_runs(left.visits, left.precision)[:-SHARED].reshape(count, RUN)
    for group, fit in zip(left.visits.groups, left.fits, strict=True):
        sites = left.precision[group.visits]
        k = sites.shape[1]
        taken = sites[:, :, :, None] * sites[:, :, None, :] * fit.spread[:, None]
        taken = taken.reshape(len(sites), k, 2, RUN, 2, RUN).sum(axis=(2, 4))
        lasts = left.visits.last[group.visits].ravel()
        np.subtract.at(own, lasts, taken.reshape(-1, RUN, RUN))
        offsets = fit.gain[:, :, -_OFFSETS:]
        between = sites[:, :, :, None] * offsets[:, None]
        between = between.reshape(len(sites), k, 2, RUN, _OFFSETS).sum(axis=2)
        np.subtract.at(toward[:, :, -_OFFSETS:], lasts, between.reshape(-1, RUN, _OFFSETS))
        shared[-_OFFSETS:, -_OFFSETS:] -= np.einsum("wia,wib->ab", fit.toward[:, :, -_OFFSETS:], offsets)
    inverse: Array = np.linalg.inv(own).astype(np.float64, copy=False)
    slope: Array = -inverse @ toward
    alone = shared + np.einsum("lia,lib->ab", toward, slope)
    # Dropping what lasts say to each other may leave less than nothing of what they share.
    value, vector = np.linalg.eigh((alone + alone.T) / 2)
    least = 1 / float(np.linalg.eigvalsh(left.problem.prior.shared.cov)[-1])
    common: Array = (vector / np.maximum(value, least)) @ vector.T
    return OwnBlocks(inverse, slope, common)


def product(left: Eliminated) -> Callable[[Array], Array]:
    """Return what multiplies a vector by the top's precision, without ever forming it."""
    who = left.problem.maker_of
    added = on_runs(left.visits, left.precision)

    def times(top: Array) -> Array:
        runs, shared = top[:-SHARED].reshape(-1, RUN), top[-SHARED:]
        to_maker = np.einsum("kam,a->km", left.prior.share_maker, shared)
        np.add.at(to_maker, who, np.einsum("lim,li->lm", left.prior.toward_maker, runs))
        taken = np.einsum("kmn,kn->km", left.prior.maker, to_maker)
        on_runs = np.einsum("lij,lj->li", left.prior.own, runs) + left.prior.toward_shared @ shared
        on_runs -= np.einsum("lim,lm->li", left.prior.toward_maker, taken[who])
        on_shared = left.prior.shared @ shared + np.einsum("lia,li->a", left.prior.toward_shared, runs)
        on_shared -= np.einsum("kam,km->a", left.prior.share_maker, taken)
        on_shared[-_OFFSETS:] += left.wearers.offset_precision @ shared[-_OFFSETS:]
        result = np.concatenate([on_runs.ravel(), on_shared]) + added * top
        return result - taken_off(left.visits, left.fits, top)

    return times


def solve(times: Callable[[Array], Array], pull: Array, start: Array, near: Covariance) -> Array:
    """Return the mean of the top by conjugate gradients.

    Parameters
    ----------
    times, pull
        Precision times a vector, and the shift.
    start, near
        Where to begin, and a covariance near the true one.

    Raises
    ------
    numpy.linalg.LinAlgError
        Where the precision is not positive.
    """
    mean = start.copy()
    rest = pull - times(mean)
    bent = near.times(rest)
    direction, size = bent, float(rest @ bent)
    # The squared length of the rest in sds: below it no mean moves by what anyone could see.
    enough = max(_REST * abs(size), _REST)
    for _ in range(_STEPS):
        if size <= enough:
            return mean
        image = times(direction)
        curve = float(direction @ image)
        if curve <= 0:
            raise np.linalg.LinAlgError("the sites leave no Gaussian")
        step = size / curve
        mean += step * direction
        rest -= step * image
        bent = near.times(rest)
        size, before = float(rest @ bent), size
        direction = bent + (size / before) * direction
    return mean


def maker_run(problem: Problem, prior: TopPrior, top: Array, covariance: Covariance, maker: int) -> Gaussian:
    """Return how a maker's lasts run together, what all makers share in it, 5 numbers [mm]."""
    lasts = np.flatnonzero(problem.maker_of == maker)
    at = runs_and_shared(lasts, len(top))
    toward = np.vstack([prior.toward_maker[lasts].reshape(-1, MAKER), prior.share_maker[maker]])
    own = np.hstack([one_size()[:, None], np.eye(RUN)])
    # The maker's numbers given the top, and m, which stands first among what all share.
    slope = -own @ prior.maker[maker] @ toward.T
    slope[:, -SHARED : RUN - SHARED] += np.eye(RUN)
    mean = own @ prior.maker[maker] @ prior.maker_pull[maker] + slope @ top[at]
    return Gaussian(mean, slope @ covariance.among(at) @ slope.T + own @ prior.maker[maker] @ own.T)
