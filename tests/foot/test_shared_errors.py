"""Readings of one sheet err together: their covariance, carried by errors they share."""

from __future__ import annotations

from typing import cast

import numpy as np
import pytest
from attrs import evolve

from heelball.fit.imagined import candidates
from heelball.foot.evidence import log_evidences, state_index
from heelball.foot.posterior import feet_posterior
from heelball.foot.prior import STATE_SIZE, feet_prior
from heelball.foot.reading import Reading
from heelball.foot.vector import Measure

COVARIANCE = np.array([[4.0, 2.5, 0.8], [2.5, 6.0, -0.9], [0.8, -0.9, 3.0]])
VALUES: dict[Measure, float] = {"length": 281.0, "ball": 205.0, "breadth": 98.0}


def of_a_sheet(name="first", foot="left", own=0.25) -> tuple[Reading, ...]:
    """Return a sheet's three readings, `own` [mm²] of each variance their own, the rest shared."""
    rows = np.linalg.cholesky(COVARIANCE - own * np.eye(3))
    return tuple(
        Reading(
            foot,
            what,
            "mm",
            str(value),
            method="sheet",
            sd_mm=own**0.5,
            shared_errors=tuple((f"{name} {j}", float(row[j])) for j in range(i + 1)),
        )
        for i, ((what, value), row) in enumerate(zip(VALUES.items(), rows, strict=True))
    )


def test_the_posterior_and_the_evidence_are_those_of_the_full_covariance():
    readings = of_a_sheet() + of_a_sheet("second", "right")
    prior = feet_prior("men")
    design = np.zeros((6, STATE_SIZE))
    for i, one in enumerate(readings):
        design[i, state_index(one.foot, cast("Measure", one.what))] = 1
    # Each sheet errs by itself; the method's bias (sd 1) of a measure is in both.
    noise = np.kron(np.eye(2), COVARIANCE) + np.kron(np.ones((2, 2)), np.eye(3))
    spread = design @ prior.cov @ design.T + noise
    gain = np.linalg.solve(spread, design @ prior.cov).T
    apart = np.array([float(one.value) for one in readings]) - design @ prior.mean

    state = feet_posterior(readings, (), "men").components[0].state
    assert state.mean[:STATE_SIZE] == pytest.approx(prior.mean + gain @ apart, abs=1e-8)
    assert state.cov[:STATE_SIZE, :STATE_SIZE] == pytest.approx(
        prior.cov - gain @ design @ prior.cov, abs=1e-8
    )
    density = -0.5 * (
        apart @ np.linalg.solve(spread, apart) + np.linalg.slogdet(spread)[1] + len(apart) * np.log(2 * np.pi)
    )
    assert log_evidences([readings], "men")[0] == pytest.approx(density)


def test_an_imagined_reading_errs_as_widely_but_by_itself():
    readings = of_a_sheet()
    for one in candidates(readings, "men"):
        assert not [key for key, _ in one.observation.shared if key[0] == "error"]
        if one.what in VALUES:
            i = list(VALUES).index(one.what)
            assert one.observation.variance == pytest.approx(COVARIANCE[i, i])


def test_errors_of_the_same_name_are_the_same_error():
    once = of_a_sheet()
    again = tuple(evolve(one, foot="right") for one in once)
    other = of_a_sheet("second", "right")
    row = np.zeros(STATE_SIZE)
    row[state_index("left", "length")], row[state_index("right", "length")] = 1, -1
    together = feet_posterior(once + again, (), "men").moments(row)[1]
    assert together < feet_posterior(once + other, (), "men").moments(row)[1]
