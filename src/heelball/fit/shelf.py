"""Lasts made ready for array work: every label of every last in padded arrays."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from heelball.errors import InputError, Problem
from heelball.fit.known_run import WIDE, KnownRun
from heelball.fit.verdict import thresholds
from heelball.foot.prior import offset_prior
from heelball.gaussian.normal import Array
from heelball.last.built_for import ONE_SIZE, RUN_PLACES, basis_of, built_for, letters_array, nominal_length
from heelball.last.run import (
    PLACE,
    RUN_STATE,
    SIZES,
    Contradiction,
    RunEvidence,
    run_evidence,
    run_posterior,
    run_variances,
)
from heelball.last.values import Last
from heelball.package_data import defaults
from heelball.scales.catalogue import size_scale

_TOE = RUN_PLACES.index("toe")


@frozen(eq=False)
class Shelf:
    """N lasts of at most M labels, for wearers of one population.

    Parameters
    ----------
    lasts
        The lasts, in order.
    offered
        Which of the padded labels exist, shape (N, M).
    foot_length, letters
        Nominal foot length [mm] and n of each label, shape (N, M).
    built
        What each label is built for before any run [mm], shape (N, M, 5); the toe's column is
        the inside length less what the toe's shape takes.
    sizes_off
        Sizes from the mean label that evidence names, shape (N, M).
    in_frame
        Which lasts are in the gauge's frame, shape (N,).
    own_variance
        Prior variances of each run's own state, shape (N, 13).
    toe_variance
        Variance of what the toe's shape takes [mm²], shape (N,).
    lo, hi
        Thresholds [mm], shape (N, 5).
    design, value, variance
        Evidence of the runs, padded to the longest: shapes (E, N, 16), (E, N), (E, N); a
        padding row observes nothing.
    contradictions
        What contradicts among each last's evidence.
    pairs
        Pairs tried on from which each run is known; None where its maker's word and what was measured
        stand alone.
    """

    lasts: tuple[Last, ...]
    offered: NDArray[np.bool_]
    foot_length: Array
    letters: Array
    built: Array
    sizes_off: Array
    in_frame: NDArray[np.bool_]
    own_variance: Array
    toe_variance: Array
    lo: Array
    hi: Array
    design: Array
    value: Array
    variance: Array
    contradictions: tuple[tuple[Contradiction, ...], ...]
    pairs: tuple[int | None, ...]


def shelve(lasts: Sequence[Last], population: str, known: Mapping[str, KnownRun] | None = None) -> Shelf:
    """Make lasts ready for wearers of a population (``men``, ``women`` or ``unstated``).

    Parameters
    ----------
    lasts
        In any order.
    population
        Of the wearers.
    known
        Runs learned from try-ons, by the last's code; they stand in place of its own evidence.

    Raises
    ------
    ValueError
        Where a last has a child's label scale.
    """
    n, m = len(lasts), max((len(last.labels) for last in lasts), default=0)
    offered = np.zeros((n, m), dtype=bool)
    foot_length, letters, sizes_off = np.full((n, m), 270.0), np.zeros((n, m)), np.zeros((n, m))
    built = np.zeros((n, m, len(RUN_PLACES)))
    evidence = []
    boot = defaults()["boot"]
    learned = [(known or {}).get(last.code) for last in lasts]
    for i, last in enumerate(lasts):
        # Learned runs are beside the labels as they are for men where a scale is for all adults.
        basis = basis_of(last.label_scale, population if learned[i] is None else "men")
        count = len(last.labels)
        offered[i, :count] = True
        foot_length[i, :count] = [nominal_length(label.size, last.label_scale) for label in last.labels]
        letters[i, :count] = letters_array(last.labels, last, basis)
        built[i] = built_for(foot_length[i], letters[i], basis)
        built[i, :, _TOE] -= boot["toe_deduction"][last.toe]
        told = run_evidence(last, basis)
        evidence.append(told)
        if told.reference_length is not None and learned[i] is None:
            sizes_off[i] = (foot_length[i] - told.reference_length) / ONE_SIZE
    observed = [
        _observed(told) if run is None else _learned(run) for told, run in zip(evidence, learned, strict=True)
    ]
    longest = max((len(values) for _, values, _ in observed), default=0)
    design, value = np.zeros((longest, n, RUN_STATE)), np.zeros((longest, n))
    variance = np.ones((longest, n))
    for i, (rows, values, variances) in enumerate(observed):
        count = len(values)
        design[:count, i], value[:count, i], variance[:count, i] = rows, values, variances
    bands = [thresholds(last.stiffness) for last in lasts]
    return Shelf(
        lasts=tuple(lasts),
        offered=offered,
        foot_length=foot_length,
        letters=letters,
        built=built,
        sizes_off=sizes_off,
        in_frame=np.array(
            [told.in_gauge_frame and run is None for told, run in zip(evidence, learned, strict=True)],
            dtype=bool,
        ),
        own_variance=np.array(
            [
                run_variances(told.reference_length is not None) if run is None else _wide()
                for told, run in zip(evidence, learned, strict=True)
            ]
        ),
        # What a toe's shape takes is in a learned run already.
        toe_variance=np.array(
            [
                boot["toe_deduction_sd"][last.toe] ** 2 if run is None else 0.0
                for last, run in zip(lasts, learned, strict=True)
            ]
        ),
        lo=np.array([lo for lo, _ in bands]),
        hi=np.array([hi for _, hi in bands]),
        design=design,
        value=value,
        variance=variance,
        contradictions=tuple(run_posterior(told, offset_prior())[1] for told in evidence),
        pairs=tuple(None if run is None else run.pairs for run in learned),
    )


def _observed(told: RunEvidence) -> tuple[Array, Array, Array]:
    """Return a last's own evidence: rows (k, 16), values (k,), variances (k,)."""
    rows = np.array([one.design for one in told.observed]).reshape(-1, RUN_STATE)
    values = np.array([one.value for one in told.observed], dtype=np.float64)
    return rows, values, np.array([one.variance for one in told.observed], dtype=np.float64)


def _learned(run: KnownRun) -> tuple[Array, Array, Array]:
    """Return a learned run as observations, in the same shapes."""
    rows, values = run.observed(offset_prior())
    return rows, values, np.ones(len(values))


def _wide() -> Array:
    """Return the variances of a run's own state before a learned run is observed, shape (13,)."""
    variances = np.zeros(RUN_STATE - SIZES)
    variances[PLACE - SIZES : PLACE - SIZES + len(RUN_PLACES)] = WIDE**2
    return variances


class Shelves:
    """Lasts shelved once for each population, in chunks that keep memory bounded.

    Parameters
    ----------
    lasts
        All lasts, in any order; it does not change the answer.
    known
        Runs learned from try-ons, by the last's code.

    Raises
    ------
    InputError
        Where a last is numbered on a child's scale: no moments of children's feet are open.
    """

    #: Lasts on one shelf: some tens of MB at sixty labels and a few states.
    CHUNK = 256

    #: Up to so many lasts stay shelved for the next wearer; more are shelved anew each time.
    KEPT = 2048

    def __init__(self, lasts: Sequence[Last], known: Mapping[str, KnownRun] | None = None) -> None:
        problems = [
            Problem(
                f"last {last.code}, label_scale",
                last.label_scale,
                "an adults' scale: children's lasts are not judged",
            )
            for last in lasts
            if size_scale(last.label_scale).population == "child"
        ]
        if problems:
            raise InputError(problems)
        self._lasts = tuple(lasts)
        self._known = known
        self._made: dict[str, tuple[Shelf, ...]] = {}

    def chunks(self, population: str) -> Iterator[Shelf]:
        """Return the shelves for wearers of a population, one after the other."""
        starts = range(0, len(self._lasts), self.CHUNK)
        made = (shelve(self._lasts[i : i + self.CHUNK], population, self._known) for i in starts)
        if len(self._lasts) > self.KEPT:
            return made
        if population not in self._made:
            self._made[population] = tuple(made)
        return iter(self._made[population])

    def only(self, lasts: Sequence[Last]) -> Shelves:
        """Return some of the lasts by themselves, their runs known as here."""
        return Shelves(lasts, self._known)

    def __len__(self) -> int:
        """Return how many lasts there are."""
        return len(self._lasts)
