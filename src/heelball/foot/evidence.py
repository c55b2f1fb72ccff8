"""From readings to observations of the state: what each says, of what, and how sure (MODEL 2)."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Final, Literal, cast

import numpy as np
from attrs import frozen

from heelball.foot.calibration import calibrated
from heelball.foot.marks import is_letter, mark_of
from heelball.foot.prior import OFFSETS, STATE_SIZE, Sex, feet_prior, vague_prior
from heelball.foot.reading import GaugeMark, Load, Method, Reading, ReadingOf
from heelball.foot.vector import FEET, MEASURES, Foot, Measure, Population
from heelball.gaussian.normal import Array, log_density
from heelball.package_data import defaults
from heelball.scales.catalogue import size_scale
from heelball.units import MILLIMETRES

#: A number shared by several readings: a fitter's technique, a method's bias, a load's factor,
#: an error of a sheet by its name; or by several verdicts: the wearer's taste at a place.
Shared = tuple[Literal["technique", "bias", "load", "error", "taste"], str, str]

#: How many numbers the covariances that are weighed at once may hold: 16 MB of them.
_NUMBERS_AT_ONCE: Final = 2_000_000


@frozen
class Observation:
    """One reading as the model sees it: ``value = x + offset + shared numbers + noise`` [mm].

    Parameters
    ----------
    foot, measure
        Which number of the state it reads.
    value, variance
        Corrected to standing [mm]; noise and rounding [mm²].
    on_gauge
        Whether the gauge's own offset is in it.
    shared
        The shared numbers in it, each with its coefficient.
    """

    foot: Foot
    measure: Measure
    value: float
    variance: float
    on_gauge: bool
    shared: tuple[tuple[Shared, float], ...]

    def row(self, columns: dict[Shared, int], size: int) -> Array:
        """Return the row of the design matrix, shape (size,)."""
        row = np.zeros(size)
        row[state_index(self.foot, self.measure)] = 1.0
        if self.on_gauge and self.measure in OFFSETS:
            row[offset_index(self.measure)] = 1.0
        for key, coefficient in self.shared:
            row[columns[key]] = coefficient
        return row


def state_index(foot: Foot, measure: Measure) -> int:
    """Return where a measure of a foot stands in the state vector."""
    return FEET.index(foot) * len(MEASURES) + MEASURES.index(measure)


def offset_index(measure: str) -> int:
    """Return where the gauge's offset of a measure stands in the state vector."""
    return 2 * len(MEASURES) + OFFSETS.index(measure)


def noise_sd(method: Method, what: str) -> float:
    """Return the noise of one reading [mm]."""
    if method == "tape" and what == "girth":
        return float(defaults()["method"]["tape_girth_sd"])
    return float(defaults()["method"]["noise_sd"][method])


@lru_cache(maxsize=64)
def load_factor(load: Load, what: ReadingOf) -> tuple[float, float]:
    """Return the factor from a load to standing on both feet, and its sd.

    Heel-to-ball goes like length, heel breadth like breadth, girth by half the breadth's share.
    """
    if load == "standing":
        return 1.0, 0.0
    factor, sd = defaults()["load"][load]["length" if what in ("length", "ball") else "breadth"]
    if what == "girth":
        factor, sd = 1 + (factor - 1) / 2, sd / 2
    return (factor, sd) if load == "seated" else (1 / factor, sd / factor**2)


def observe(reading: Reading, beside: Sequence[Reading], population: str) -> Observation | None:
    """Return the observation a reading makes; None for an instep, which is kept but not judged."""
    if reading.what == "instep":
        return None
    mark = mark_of(reading, beside, population)
    on_gauge = reading.method == "gauge"
    factor, factor_sd = load_factor(reading.load, reading.what)
    what = reading.what
    shared: list[tuple[Shared, float]]
    if on_gauge:
        shared = [(("technique", reading.fitter or "", what), 1.0)]
    else:
        shared = [(("bias", reading.method, what), 1.0)]
    if factor_sd:
        shared.append((("load", reading.load, what), mark.value))
    shared += [(("error", name, ""), loading) for name, loading in reading.shared_errors]
    if reading.sd_mm is None:
        variance = noise_sd(reading.method, what) ** 2 + mark.step**2 / 12
    else:
        variance = reading.sd_mm**2
    return Observation(reading.foot, what, factor * mark.value, variance, on_gauge, tuple(shared))


def observe_all(readings: Sequence[Reading], population: str) -> tuple[Observation, ...]:
    """Return the observations of all readings that are judged, in order."""
    seen = (observe(reading, readings, population) for reading in readings)
    return tuple(one for one in seen if one is not None)


def _observe_once(
    readings: Sequence[Reading], population: str, seen: dict[Reading, Observation | None]
) -> tuple[Observation, ...]:
    """Return the same as `observe_all`, looking up readings that stand by themselves."""
    found = []
    for reading in readings:
        if is_letter(reading) and reading.line is None:
            one = observe(reading, readings, population)
        else:
            if reading not in seen:
                seen[reading] = observe(reading, readings, population)
            one = seen[reading]
        if one is not None:
            found.append(one)
    return tuple(found)


def shared_variance(key: Shared) -> float:
    """Return the prior variance of a shared number."""
    kind, which, what = key
    if kind == "technique":
        return float(defaults()["gauge"]["technique_sd"][what]) ** 2
    if kind == "bias":
        return float(defaults()["method"]["bias_sd"]) ** 2
    if kind == "error":
        return 1.0
    if kind == "taste":
        return float(defaults()["verdict"][what]["taste_sd"]) ** 2
    return load_factor(cast("Load", which), cast("ReadingOf", what))[1] ** 2


def is_child(readings: Sequence[Reading]) -> bool:
    """Return whether a reading on a child's scale marks the wearer as a child."""
    return any(
        reading.scale not in MILLIMETRES and size_scale(reading.scale).population == "child"
        for reading in readings
    )


def weights_of(population: Population) -> tuple[tuple[Sex, float], ...]:
    """Return the populations a wearer may be of, with their prior weights."""
    if population == "unstated":
        return (("men", 0.5), ("women", 0.5))
    return ((population, 1.0),)


def log_evidences(
    cases: Sequence[Sequence[Reading]], population: Population, gauge_marks: Sequence[GaugeMark] = ()
) -> Array:
    """Return the log marginal likelihood of each of several ways to read the same readings.

    Parameters
    ----------
    cases
        Each the same readings, changed here and there; all judge the same places.

    population, gauge_marks
        Of the wearer and of the fitter's gauge, as for the posterior.

    Returns
    -------
    Array
        Shape (number of cases,).
    """
    child = is_child(cases[0])
    # Each case needs a covariance of all its readings: so many at a time that memory stays small.
    several = max(1, _NUMBERS_AT_ONCE // max(1, len(cases[0]) ** 2))
    starts = range(0, len(cases), several)
    return np.concatenate(
        [_of_several(cases[i : i + several], population, gauge_marks, child) for i in starts]
    )


def _of_several(
    cases: Sequence[Sequence[Reading]],
    population: Population,
    gauge_marks: Sequence[GaugeMark],
    child: bool,
) -> Array:
    total = np.full(len(cases), -np.inf)
    for sex, weight in weights_of(population):
        prior = calibrated(vague_prior() if child else feet_prior(sex), gauge_marks)
        values, covs = [], []
        seen: dict[Reading, Observation | None] = {}
        for readings in cases:
            observations = _observe_once(readings, sex if population == "unstated" else population, seen)
            keys = sorted({key for one in observations for key, _ in one.shared})
            columns = {key: STATE_SIZE + i for i, key in enumerate(keys)}
            design = np.array([one.row(columns, STATE_SIZE + len(keys)) for one in observations])
            own, common = design[:, :STATE_SIZE], design[:, STATE_SIZE:]
            variance = np.array([shared_variance(key) for key in keys])
            noise = np.diag([one.variance for one in observations])
            covs.append(own @ prior.cov @ own.T + (common * variance) @ common.T + noise)
            values.append(np.array([one.value for one in observations]) - own @ prior.mean)
        density = log_density(np.array(values), np.array(covs))
        total = np.logaddexp(total, np.log(weight) + density)
    return total
