"""Both feet and the gauge's own offset, given what was read (MODEL 1 and 2)."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import frozen

from heelball.foot.calibration import calibrated
from heelball.foot.evidence import (
    Shared,
    is_child,
    observe_all,
    offset_index,
    shared_variance,
    state_index,
    weights_of,
)
from heelball.foot.prior import OFFSETS, STATE_SIZE, VAGUE, Sex, feet_prior, vague_prior
from heelball.foot.reading import GaugeMark, Reading
from heelball.foot.vector import Foot, Measure, Population
from heelball.gaussian.normal import Array, Gaussian, log_density


@frozen(eq=False)
class Component:
    """One population the wearer may be of: its weight, and the state given the readings.

    `state` holds both feet and the gauge's offsets (13 numbers), then the shared numbers
    (techniques, biases, load factors) in the order of `columns`.
    """

    sex: Sex
    weight: float
    state: Gaussian
    columns: dict[Shared, int]

    def with_shared(self, keys: Sequence[Shared]) -> Component:
        """Return the same with further shared numbers, not yet seen in any reading."""
        new = sorted({key for key in keys if key not in self.columns})
        if not new:
            return self
        extra = Gaussian(np.zeros(len(new)), np.diag([shared_variance(key) for key in new]))
        size = len(self.state.mean)
        columns = self.columns | {key: size + i for i, key in enumerate(new)}
        return Component(self.sex, self.weight, self.state.joined(extra), columns)


@frozen(eq=False)
class FeetPosterior:
    """What is known of both feet: one Gaussian, or two where the population is unstated.

    `pairs` says how many pairs worn were weighed beside the readings; where any was, the state
    holds the wearer's taste too. `unheard` names the last of each pair that could not be.
    """

    components: tuple[Component, ...]
    population: Population
    child: bool
    pairs: int = 0
    unheard: tuple[str, ...] = ()

    def moments(self, row: Array) -> tuple[float, float]:
        """Return mean and sd [mm] of ``row @ state[:13]``, mixed over populations."""
        means = np.array([row @ c.state.mean[:STATE_SIZE] for c in self.components])
        variances = np.array([row @ c.state.cov[:STATE_SIZE, :STATE_SIZE] @ row for c in self.components])
        weights = np.array([c.weight for c in self.components])
        mean = float(weights @ means)
        return mean, float(np.sqrt(max(weights @ (variances + means**2) - mean**2, 0.0)))

    def measure(self, foot: Foot, measure: Measure) -> tuple[float, float] | None:
        """Return mean and sd of one measure [mm]; None where nothing at all is known of it."""
        mean, sd = self.moments(_row(foot, measure))
        return None if self.child and sd**2 > 0.5 * VAGUE else (mean, sd)

    def in_gauge_frame(self, foot: Foot, measure: Measure) -> float | None:
        """Return what the gauge's own marks would say of a measure [mm] (its offset included)."""
        if self.measure(foot, measure) is None or measure not in OFFSETS:
            return None
        row = _row(foot, measure)
        row[offset_index(measure)] = 1.0
        return self.moments(row)[0]


def _row(foot: Foot, measure: Measure) -> Array:
    row = np.zeros(STATE_SIZE)
    row[state_index(foot, measure)] = 1.0
    return row


def feet_posterior(
    readings: Sequence[Reading], gauge_marks: Sequence[GaugeMark], population: Population
) -> FeetPosterior:
    """Condition both feet and the gauge's offsets on all readings.

    Parameters
    ----------
    readings
        Of one wearer; none is an answer too: the prior.
    gauge_marks
        The fitter's own calibration of the gauge by ruler.
    population
        Whose survey is the prior; unstated weighs both by the readings' evidence.
    """
    child = is_child(readings)
    weighed: list[tuple[Component, float]] = []
    for sex, prior_weight in weights_of(population):
        observations = observe_all(readings, sex if population == "unstated" else population)
        keys = sorted({key for one in observations for key, _ in one.shared})
        start = calibrated(vague_prior() if child else feet_prior(sex), gauge_marks)
        component = Component(sex, prior_weight, start, {}).with_shared(keys)
        size = len(component.state.mean)
        design = np.array([one.row(component.columns, size) for one in observations]).reshape(-1, size)
        values = np.array([one.value for one in observations])
        noise = np.array([one.variance for one in observations])
        evidence = float(np.log(prior_weight)) + _log_evidence(component.state, design, values, noise)
        state = component.state.condition(design, values, noise)
        weighed.append((Component(sex, prior_weight, state, component.columns), evidence))
    total = np.logaddexp.reduce([evidence for _, evidence in weighed])
    return FeetPosterior(
        tuple(Component(c.sex, float(np.exp(e - total)), c.state, c.columns) for c, e in weighed),
        population,
        child,
    )


def _log_evidence(state: Gaussian, design: Array, values: Array, noise: Array) -> float:
    if len(values) == 0:
        return 0.0
    spread = design @ state.cov @ design.T + np.diag(noise)
    return float(log_density((values - design @ state.mean)[None], spread[None])[0])
