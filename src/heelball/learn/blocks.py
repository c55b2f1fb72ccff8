"""Wearers' blocks eliminated: what try-ons say of lasts once each wearer's ten numbers are integrated out.

A site is what the words of one wearer about one place of one foot in one last say of
``z = run - fit``: a precision and a shift. Given the sites, a wearer's fit v (foot plus taste) and
the runs are one Gaussian, in which wearers speak to each other through runs and c alone.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import frozen

from heelball.fit.wearer import PLACES
from heelball.gaussian.normal import Array
from heelball.last.run import OFFSET_PLACES
from heelball.learn.feet import SLOTS
from heelball.learn.problem import Positions, Problem
from heelball.learn.run_prior import RUN, SHARED

#: Numbers that the largest array of one group may hold: 40 MB.
_AT_ONCE = 5_000_000

_OFFSETS = len(OFFSET_PLACES)
_SLOT = np.arange(SLOTS)
_PLACE = _SLOT % len(PLACES)


@frozen(eq=False)
class Group:
    """Wearers who tried equally many lasts, so many that one pass over them stays small.

    Parameters
    ----------
    wearers
        Shape (W,).
    visits
        Which visits are theirs, shape (W, k).
    columns
        Where their lasts' runs and the gauge's offsets stand in the top, shape (W, 5 k + 3).
    """

    wearers: Positions
    visits: Positions
    columns: Positions


@frozen(eq=False)
class Visits:
    """Each wearer with each last that this wearer tried.

    Parameters
    ----------
    wearer, last
        Shapes (V,), by wearer.
    of_verdict
        Visit of each verdict, shape (n,).
    groups
        All wearers who tried any last.
    size
        Length of the top: runs of all lasts, then what they share.
    """

    wearer: Positions
    last: Positions
    of_verdict: Positions
    groups: tuple[Group, ...]
    size: int


def visits_of(problem: Problem) -> Visits:
    """Return who tried which last."""
    count = len(problem.lasts)
    key = problem.verdicts.wearer * count + problem.verdicts.last
    seen, of_verdict = np.unique(key, return_inverse=True)
    wearer, last = np.divmod(seen, max(count, 1))
    size = RUN * count + SHARED
    each, first, tried = np.unique(wearer, return_index=True, return_counts=True)
    groups: list[Group] = []
    for k in np.unique(tried):
        of_k = np.flatnonzero(tried == k)
        width = RUN * int(k) + _OFFSETS
        several = max(1, _AT_ONCE // max(width * width, SLOTS * width))
        for start in range(0, len(of_k), several):
            rows = of_k[start : start + several]
            visits = first[rows][:, None] + np.arange(k)
            runs = (last[visits][:, :, None] * RUN + np.arange(RUN)).reshape(len(rows), -1)
            offsets = np.broadcast_to(np.arange(size - _OFFSETS, size), (len(rows), _OFFSETS))
            groups.append(Group(each[rows], visits, np.concatenate([runs, offsets], axis=1)))
    return Visits(wearer, last, of_verdict.reshape(-1), tuple(groups), size)


@frozen(eq=False)
class Fits:
    """The wearers of one group given the top x: ``v = centre + gain @ x[columns]``, and a spread.

    Parameters
    ----------
    gain, centre, spread
        Shapes (W, 10, 5 k + 3), (W, 10), (W, 10, 10).
    toward
        How the top speaks to v before the wearer's own precision divides it, as `gain`.
    """

    gain: Array
    centre: Array
    spread: Array
    toward: Array


@frozen(eq=False)
class Wearers:
    """Precisions of all wearers' fits given c, for one set of tastes.

    Parameters
    ----------
    precision, pull, by_offsets
        P, P mean and P A, shapes (W, 10, 10), (W, 10), (W, 10, 3): foot plus taste has mean
        ``mean + A c`` and precision P.
    least
        Least eigenvalue of each precision, shape (W,).
    offset_precision, offset_pull
        A' P A and A' P mean summed over all who tried a last, shapes (3, 3), (3,).
    """

    precision: Array
    pull: Array
    by_offsets: Array
    least: Array
    offset_precision: Array
    offset_pull: Array


def wearers_given(problem: Problem, visits: Visits, taste_sd: Array) -> Wearers:
    """Return the prior precisions of the fits of all wearers.

    Parameters
    ----------
    taste_sd
        Shape (5,) [mm].
    """
    taste = np.tile(np.diag(taste_sd**2), (2, 2))
    inverse: Array = np.linalg.inv(problem.foot_cov + taste).astype(np.float64, copy=False)
    precision = (inverse + np.swapaxes(inverse, 1, 2)) / 2
    by_offsets = precision @ problem.foot_by_offsets
    pull = np.einsum("wij,wj->wi", precision, problem.foot_mean)
    least: Array = np.linalg.eigvalsh(precision)[:, 0].astype(np.float64, copy=False)
    who = np.unique(visits.wearer)
    own = problem.foot_by_offsets[who]
    return Wearers(
        precision,
        pull,
        by_offsets,
        least,
        np.einsum("wia,wib->ab", own, by_offsets[who]),
        np.einsum("wia,wi->a", own, pull[who]),
    )


def eliminate(group: Group, wearers: Wearers, precision: Array, shift: Array) -> Fits:
    """Return a group's fits given the top, for the sites as they stand.

    Parameters
    ----------
    precision, shift
        Of all sites, shapes (V, 10).

    Raises
    ------
    numpy.linalg.LinAlgError
        Where a wearer's precision is singular.
    """
    sites = precision[group.visits]
    block = wearers.precision[group.wearers].copy()
    block[:, _SLOT, _SLOT] += sites.sum(axis=1)
    spread: Array = np.linalg.inv(block).astype(np.float64, copy=False)
    toward = np.zeros((len(group.wearers), SLOTS, group.columns.shape[1]))
    for j in range(sites.shape[1]):
        toward[:, _SLOT, j * RUN + _PLACE] = sites[:, j]
    toward[:, :, -_OFFSETS:] = wearers.by_offsets[group.wearers]
    pull = wearers.pull[group.wearers] - shift[group.visits].sum(axis=1)
    return Fits(spread @ toward, np.einsum("wij,wj->wi", spread, pull), spread, toward)


def least_eigenvalue(group: Group, wearers: Wearers, precision: Array, rows: Positions) -> Array:
    """Return the least eigenvalue of some wearers' precision, shape (rows,): below zero is no Gaussian.

    Parameters
    ----------
    precision
        Of all sites, shape (V, 10).
    rows
        Which of the group's wearers.
    """
    block = wearers.precision[group.wearers[rows]].copy()
    block[:, _SLOT, _SLOT] += precision[group.visits[rows]].sum(axis=1)
    least: Array = np.linalg.eigvalsh(block)[:, 0].astype(np.float64, copy=False)
    return least


def site_moments(group: Group, fits: Fits, top: Array, covariance: Array) -> tuple[Array, Array]:
    """Return mean and variance of each site's z, shapes (W, k, 10).

    Parameters
    ----------
    top
        Mean of the top, shape (size,).
    covariance
        Of the group's columns of the top, shape (W, 5 k + 3, 5 k + 3).
    """
    x = top[group.columns]
    centre = fits.centre + np.einsum("wij,wj->wi", fits.gain, x)
    seen = fits.gain @ covariance
    own = np.einsum("wij,wij->wi", seen, fits.gain) + np.diagonal(fits.spread, axis1=1, axis2=2)
    runs = covariance.shape[1] - _OFFSETS
    variance = np.diagonal(covariance, axis1=1, axis2=2)[:, :runs].reshape(len(x), -1, RUN)[:, :, _PLACE]
    k = variance.shape[1]
    at = np.arange(k)[:, None] * RUN + _PLACE
    cross = seen[:, _SLOT, at]
    run = x[:, :runs].reshape(len(x), k, RUN)[:, :, _PLACE]
    return run - centre[:, None, :], variance - 2 * cross + own[:, None, :]


def fit_moments(group: Group, fits: Fits, top: Array, covariance: Array) -> tuple[Array, Array]:
    """Return mean and covariance of (v, c) of each wearer, shapes (W, 13), (W, 13, 13)."""
    x = top[group.columns]
    seen = fits.gain @ covariance
    size = SLOTS + _OFFSETS
    mean = np.empty((len(x), size))
    mean[:, :SLOTS] = fits.centre + np.einsum("wij,wj->wi", fits.gain, x)
    mean[:, SLOTS:] = x[:, -_OFFSETS:]
    cov = np.empty((len(x), size, size))
    cov[:, :SLOTS, :SLOTS] = seen @ np.swapaxes(fits.gain, 1, 2) + fits.spread
    cov[:, :SLOTS, SLOTS:] = seen[:, :, -_OFFSETS:]
    cov[:, SLOTS:, :SLOTS] = np.swapaxes(seen[:, :, -_OFFSETS:], 1, 2)
    cov[:, SLOTS:, SLOTS:] = covariance[:, -_OFFSETS:, -_OFFSETS:]
    return mean, cov


def on_runs(visits: Visits, by_slot: Array) -> Array:
    """Return what sites add to each run by itself, in the top, shape (size,).

    Parameters
    ----------
    by_slot
        Precisions or shifts of all sites, shape (V, 10).
    """
    both_feet = by_slot.reshape(-1, 2, RUN).sum(axis=1)
    runs = visits.last[:, None] * RUN + np.arange(RUN)
    return _added_up(runs, both_feet, visits.size)


def summed_over(visits: Visits, groups: Sequence[Fits], shift: Array, wearers: Wearers) -> Array:
    """Return what try-ons pull the top by, all wearers eliminated, shape (size,)."""
    total = on_runs(visits, shift)
    total[-_OFFSETS:] -= wearers.offset_pull
    for group, fits in zip(visits.groups, groups, strict=True):
        pulled = np.einsum("wij,wi->wj", fits.toward, fits.centre)
        total += _added_up(group.columns, pulled, visits.size)
    return total


def taken_off(visits: Visits, groups: Sequence[Fits], top: Array) -> Array:
    """Return what eliminating wearers takes off the top's precision, times `top`, shape (size,)."""
    total = np.zeros(visits.size)
    for group, fits in zip(visits.groups, groups, strict=True):
        seen = np.einsum("wij,wj->wi", fits.gain, top[group.columns])
        total += _added_up(group.columns, np.einsum("wij,wi->wj", fits.toward, seen), visits.size)
    return total


def _added_up(at: Positions, values: Array, size: int) -> Array:
    """Return values added up where they stand, shape (size,)."""
    total: Array = np.bincount(at.ravel(), weights=values.ravel(), minlength=size).astype(
        np.float64, copy=False
    )
    return total
