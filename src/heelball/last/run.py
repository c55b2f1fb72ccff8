"""How a last runs beside its labels: prior, evidence, contradiction (MODEL 3).

The state of a run stands behind the gauge's three offsets c: s (sizes bigger all over), q (one
for each place), the grade error's slopes a size (one for each place) and a letter (breadth, girth).
Where a maker's advice speaks in gauge readings the last is in the gauge's frame: what the advice
pins down is the run less c, so that c drops out of every margin read on the gauge.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import Final, Literal

import numpy as np
from attrs import frozen

from heelball.gaussian.normal import Array, Gaussian
from heelball.last.built_for import (
    ONE_SIZE,
    RUN_PLACES,
    Basis,
    built_for,
    letters_of,
    nominal_length,
)
from heelball.last.values import Advice, Label, Last
from heelball.package_data import defaults
from heelball.scales.catalogue import GAUGE_OF, size_scale

#: Order of the gauge's offsets, before the run's own state; the places they belong to.
OFFSET_PLACES: Final = ("ball", "toe", "breadth")

SIZES: Final = 3
PLACE: Final = 4
GRADE: Final = 9
LETTER_GRADE: Final = 14
RUN_STATE: Final = 16
LETTER_PLACES: Final = ("breadth", "girth")

Kind = Literal["advice", "flex_line", "inside_length", "ball_girth"]

#: Where each kind of measuring stands among `RUN_PLACES`.
MEASURED_AT: Final[dict[Kind, int]] = {"flex_line": 0, "inside_length": 1, "ball_girth": 3}


@frozen(eq=False)
class Evidence:
    """One observation of a run: ``value = design @ state + noise``.

    Parameters
    ----------
    kind, label
        What was observed, and on which label (None: of the last as a whole).
    design
        Shape (16,): the gauge's offsets, then the run's state.
    value, variance
        What was observed, and the variance of its noise.
    """

    kind: Kind
    label: Label | None
    design: Array
    value: float
    variance: float


@frozen
class Contradiction:
    """An observation further than 3 sd from what those before it predict, in its own unit."""

    kind: Kind
    label: Label | None
    found: float
    expected: float
    sd: float


@frozen(eq=False)
class RunEvidence:
    """All that is known of one last's run before any wearer.

    Parameters
    ----------
    in_gauge_frame
        Whether a maker's advice speaks in gauge readings.
    reference_length
        Foot length of the mean label that evidence names [mm]; None where none does.
    observed
        In file order, advice first.
    """

    in_gauge_frame: bool
    reference_length: float | None
    observed: tuple[Evidence, ...]


@lru_cache(maxsize=1)
def one_size() -> Array:
    """Return g: what one size is in each place [mm], shape (5,)."""
    return np.array([defaults()["run"]["one_size"][place] for place in RUN_PLACES])


def run_variances(grades: bool) -> Array:
    """Return the prior variances of a run's own state, shape (13,); no slopes without `grades`."""
    run = defaults()["run"]
    sd = [run["sizes_sd"], *(run["place_sd"][place] for place in RUN_PLACES)]
    slopes = [
        *(run["grade_sd"][place] for place in RUN_PLACES),
        *(run["letter_grade_sd"][place] for place in LETTER_PLACES),
    ]
    variances: Array = np.array([*sd, *(slopes if grades else [0.0] * len(slopes))]) ** 2
    return variances


def advice_sizes(advice: Advice, last: Last, basis: Basis) -> float:
    """Return s, the sizes [of 8.467 mm] that a maker's advice says the last is bigger than its labels.

    In gauge terms s is the order with its sign turned, or the table's mean offset. Against
    another label scale it is the difference of the feet both numbers name, at the label of the
    population's mean foot.
    """
    scale = size_scale(last.label_scale)
    if advice.basis == "label":
        assert advice.scale is not None
        assert advice.order is not None
        label = scale.size(Fraction(basis.length))
        named = size_scale(advice.scale).foot_length(label - advice.order)
        return (float(named) - float(scale.foot_length(label))) / ONE_SIZE
    if advice.order is not None:
        return -float(advice.order)
    gauge = size_scale(GAUGE_OF[basis.sex])
    offsets = [float(gauge.foot_length(read) - scale.foot_length(label)) for read, label in advice.table]
    return sum(offsets) / len(offsets) / ONE_SIZE


def run_evidence(last: Last, basis: Basis) -> RunEvidence:
    """Return the evidence of how a last runs, as linear observations of its state."""
    run = defaults()["run"]
    in_frame = any(advice.basis in ("ball", "length") for advice in last.advice)
    named = [
        sum(nominal_length(label, last.label_scale) for _, label in advice.table) / len(advice.table)
        for advice in last.advice
        if advice.table
    ]
    named += [nominal_length(pair.size, last.label_scale) for pair in last.measured]
    reference = sum(named) / len(named) if named else None
    observed: list[Evidence] = []
    for advice in last.advice:
        design = np.zeros(RUN_STATE)
        design[SIZES] = 1.0
        sd = run["advice_from_length_sd"] if advice.basis == "length" else run["advice_sd"]
        observed.append(Evidence("advice", None, design, advice_sizes(advice, last, basis), sd**2))
    for pair in last.measured:
        label = Label(pair.size, pair.width)
        length = np.array(nominal_length(pair.size, last.label_scale))
        letters = letters_of(label, last, basis)
        expected = built_for(length, np.array(letters), basis)
        for kind, place in MEASURED_AT.items():
            found = getattr(pair, kind)
            if found is None:
                continue
            design = run_design(in_frame, place, (float(length) - (reference or 0.0)) / ONE_SIZE, letters)
            sd = run["measured_sd"][kind] if pair.sd_mm is None else pair.sd_mm
            observed.append(Evidence(kind, label, design, found - float(expected[place]), sd**2))
    return RunEvidence(in_frame, reference, tuple(observed))


def run_design(in_frame: bool, place: int, sizes_off: float, letters: float) -> Array:
    """Return the row that reads a last's true run in one place off the state, shape (16,)."""
    design = np.zeros(RUN_STATE)
    if in_frame and place < len(OFFSET_PLACES):
        design[place] = -1.0
    design[SIZES] = one_size()[place]
    design[PLACE + place] = 1.0
    design[GRADE + place] = sizes_off
    if RUN_PLACES[place] in LETTER_PLACES:
        design[LETTER_GRADE + LETTER_PLACES.index(RUN_PLACES[place])] = letters
    return design


def run_rows(in_frame: bool) -> Array:
    """Return the rows that read a last's true run off the state where no grade errs, shape (5, 16)."""
    return np.array([run_design(in_frame, place, 0.0, 0.0) for place in range(len(RUN_PLACES))])


def run_posterior(evidence: RunEvidence, offsets: Gaussian) -> tuple[Gaussian, tuple[Contradiction, ...]]:
    """Return a last's run and the gauge's offsets given the evidence, and what contradicts.

    Parameters
    ----------
    evidence
        Of one last.
    offsets
        Of the gauge, 3 numbers.

    Returns
    -------
    tuple
        The joint Gaussian of 16 numbers, and the contradictions found on the way.
    """
    own = run_variances(evidence.reference_length is not None)
    state = offsets.joined(Gaussian(np.zeros(len(own)), np.diag(own)))
    limit = defaults()["run"]["contradiction_sd"]
    contradictions = []
    for one in evidence.observed:
        expected = float(one.design @ state.mean)
        sd = float(np.sqrt(one.design @ state.cov @ one.design + one.variance))
        if abs(one.value - expected) > limit * sd:
            contradictions.append(Contradiction(one.kind, one.label, one.value, expected, sd))
        state = state.condition(one.design[None], np.array([one.value]), np.array([one.variance]))
    return state, tuple(contradictions)
