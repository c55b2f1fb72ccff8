"""How lasts run before any try-on: each last's own evidence, and what lasts share (MODEL 3 and 9).

A run is ``r = g (s_maker + s_last) + q_maker + q_last + m``, less the gauge's offsets c where the
maker's advice puts the last in the gauge's frame, and plus what the toe's shape takes. m is how
all makers' lasts run together. Here the numbers of one last alone are integrated out.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from attrs import frozen

from heelball.fit.wearer import PLACES
from heelball.gaussian.normal import Array, Gaussian
from heelball.last.built_for import Basis, basis_of
from heelball.last.run import (
    OFFSET_PLACES,
    PLACE,
    RUN_STATE,
    SIZES,
    run_evidence,
    run_rows,
    run_variances,
)
from heelball.last.values import Last
from heelball.package_data import defaults

#: Of a run; of what a maker's lasts share (s, q by place); of what all share (m by place, then c).
RUN: Final = len(PLACES)
MAKER: Final = 1 + RUN
SHARED: Final = RUN + len(OFFSET_PLACES)

#: Where each stands in a last's factor.
_MAKER_AT: Final = RUN
_SHARED_AT: Final = RUN + MAKER
FACTOR: Final = RUN + MAKER + SHARED

_TOE: Final = PLACES.index("toe")


@frozen(eq=False)
class RunPrior:
    """What is known of L lasts of K makers before any try-on, as precisions.

    Parameters
    ----------
    precision, shift
        Of each last's run (5), its maker's numbers (6) and those all share (8), the priors of
        maker and shared left out; shapes (L, 19, 19), (L, 19).
    maker_precision
        Prior precision of a maker's numbers, shape (6,).
    shared
        Prior of what all share: m, then c; 8 numbers.
    """

    precision: Array
    shift: Array
    maker_precision: Array
    shared: Gaussian


def learning_basis(last: Last) -> Basis:
    """Return the basis that runs are reckoned from: men's where a scale is for all adults."""
    return basis_of(last.label_scale, "men")


def half_variances() -> Array:
    """Return half the prior variances of s and q, the maker's part and the last's, shape (6,)."""
    variances: Array = run_variances(grades=False)[:MAKER] / 2
    return variances


def shared_prior(offsets: Gaussian) -> Gaussian:
    """Return the prior of what all lasts share: m, then the gauge's offsets."""
    all_makers = float(defaults()["learn"]["all_makers_sd"]) ** 2
    return Gaussian(np.zeros(RUN), all_makers * np.eye(RUN)).joined(offsets)


def run_prior(lasts: Sequence[Last], offsets: Gaussian) -> RunPrior:
    """Return what is known of lasts before any try-on.

    Parameters
    ----------
    lasts
        In any order; the arrays follow it.
    offsets
        Of the gauge, 3 numbers.

    Raises
    ------
    ValueError
        Where a last has a child's label scale.
    """
    shared = shared_prior(offsets)
    maker = half_variances()
    others = np.zeros((FACTOR, FACTOR))
    at_maker = np.arange(_MAKER_AT, _SHARED_AT)
    others[at_maker, at_maker] = 1 / maker
    others[_SHARED_AT:, _SHARED_AT:] = np.linalg.inv(shared.cov)
    expected = np.zeros(FACTOR)
    expected[_SHARED_AT:] = others[_SHARED_AT:, _SHARED_AT:] @ shared.mean
    precision = np.empty((len(lasts), FACTOR, FACTOR))
    shift = np.empty((len(lasts), FACTOR))
    for i, last in enumerate(lasts):
        told = last_given(last, maker, shared)
        known = np.linalg.inv(told.cov)
        precision[i] = (known + known.T) / 2 - others
        shift[i] = known @ told.mean - expected
    return RunPrior(precision, shift, 1 / maker, shared)


def last_given(last: Last, maker_variances: Array, shared: Gaussian) -> Gaussian:
    """Return a last's run, its maker's numbers and what all share, given the last's own evidence.

    Parameters
    ----------
    maker_variances
        Prior variances of the maker's s and q, shape (6,).
    shared
        Prior of m and c, 8 numbers.

    Returns
    -------
    Gaussian
        Of 19 numbers: run, maker, shared.
    """
    basis = learning_basis(last)
    evidence = run_evidence(last, basis)
    own = run_variances(evidence.reference_length is not None)
    own[:MAKER] /= 2
    start = Gaussian(np.zeros(MAKER), np.diag(maker_variances)).joined(shared)
    state = start.joined(Gaussian(np.zeros(len(own)), np.diag(own)))
    size, own_at = len(state.mean), len(start.mean)
    # Columns: maker's s and q, m, c, the last's own s and q, slopes.
    spread = np.zeros((RUN_STATE, size))
    spread[: len(OFFSET_PLACES), MAKER + RUN : own_at] = np.eye(len(OFFSET_PLACES))
    spread[SIZES, [0, own_at]] = 1.0
    places = np.arange(RUN)
    for first in (1, MAKER, own_at + 1):
        spread[PLACE + places, first + places] = 1.0
    slopes = np.arange(len(own) - MAKER)
    spread[PLACE + RUN + slopes, own_at + MAKER + slopes] = 1.0
    if evidence.observed:
        design = np.array([one.design for one in evidence.observed]) @ spread
        value = np.array([one.value for one in evidence.observed])
        state = state.condition(design, value, np.array([one.variance for one in evidence.observed]))
    told = state.image(np.vstack([run_rows(evidence.in_gauge_frame) @ spread, np.eye(own_at, size)]))
    told.cov[_TOE, _TOE] += float(defaults()["boot"]["toe_deduction_sd"][last.toe]) ** 2
    return told


def own_belief(last: Last, shared: Gaussian) -> Gaussian:
    """Return what a last's own evidence says of it: the gauge's offsets, then the run, 8 numbers [mm].

    Parameters
    ----------
    shared
        Prior of m and c, 8 numbers.
    """
    told = last_given(last, half_variances(), shared)
    size = len(told.mean)
    return told.image(np.eye(size)[np.r_[size - len(OFFSET_PLACES) : size, 0:RUN]])
