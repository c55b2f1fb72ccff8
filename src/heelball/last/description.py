"""Which foot each label of a last is built for, with how sure, and where the figures came from."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from attrs import frozen

from heelball.gaussian.normal import Gaussian
from heelball.last.built_for import ONE_SIZE, basis_of, built_for, letters_array, nominal_length
from heelball.last.run import Contradiction, run_design, run_evidence, run_posterior
from heelball.last.values import Label, Last
from heelball.package_data import defaults

#: The measures of a built-for foot, in the order of the run's places.
_MEASURES = ("ball", "length", "breadth", "girth", "heel")


@frozen
class Figure:
    """A built-for measure: mean and sd [mm]."""

    mean: float
    sd: float


@frozen
class LabelFacts:
    """The foot one label is built for, and the kinds of evidence it rests on."""

    label: Label
    letters: float
    built_for: Mapping[str, Figure]
    sources: tuple[str, ...]


@frozen
class LastFacts:
    """A last's labels and what contradicts among its evidence."""

    last: Last
    labels: tuple[LabelFacts, ...]
    contradictions: tuple[Contradiction, ...]


def describe(last: Last, population: str, offsets: Gaussian) -> LastFacts:
    """Return which foot each label is built for [mm].

    Parameters
    ----------
    last
        Of an adults' label scale.
    population
        Of the wearer, for scales for all adults: ``men``, ``women`` or ``unstated``.
    offsets
        Of the gauge (3 numbers): advice in gauge terms carries its uncertainty into mm.

    Raises
    ------
    ValueError
        For a child's label scale.
    """
    basis = basis_of(last.label_scale, population)
    evidence = run_evidence(last, basis)
    state, contradictions = run_posterior(evidence, offsets)
    lengths = np.array([nominal_length(label.size, last.label_scale) for label in last.labels])
    letters = letters_array(last.labels, last, basis)
    nominal = built_for(lengths, letters, basis)
    nominal[:, 1] -= defaults()["boot"]["inside_allowance"]
    kinds = tuple(dict.fromkeys(("size scale", *(one.kind for one in evidence.observed))))
    facts = []
    for i, label in enumerate(last.labels):
        reference = evidence.reference_length
        off = 0.0 if reference is None else float(lengths[i] - reference) / ONE_SIZE
        figures = {}
        for place, measure in enumerate(_MEASURES):
            row = run_design(evidence.in_gauge_frame, place, off, float(letters[i]))
            figures[measure] = Figure(
                float(nominal[i, place] + row @ state.mean), float(np.sqrt(row @ state.cov @ row))
            )
        facts.append(LabelFacts(label, float(letters[i]), figures, kinds))
    return LastFacts(last, tuple(facts), contradictions)
