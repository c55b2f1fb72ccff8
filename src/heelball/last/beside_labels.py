"""How a last runs beside its labels: by how much each place differs from what the size scale says."""

from __future__ import annotations

from collections.abc import Mapping

from attrs import evolve, frozen

from heelball.gaussian.normal import Gaussian
from heelball.last.description import Figure, describe
from heelball.last.values import Label, Last


@frozen
class BesideLabels:
    """How a last runs.

    Parameters
    ----------
    label
        The label it is told at: the middle of the offer.
    by
        By measure, how much more the label is built for than the size scale alone says, and how
        sure that is [mm].
    told
        Whether anything but the size scale speaks: without, every mean is zero.
    """

    label: Label
    by: Mapping[str, Figure]
    told: bool


def beside_labels(last: Last, population: str, offsets: Gaussian) -> BesideLabels:
    """Return how a last runs beside its labels [mm].

    Parameters
    ----------
    last, population, offsets
        As in `describe`.

    Raises
    ------
    ValueError
        For a child's label scale.
    """
    label = last.labels[len(last.labels) // 2]
    (known,) = describe(evolve(last, labels=(label,)), population, offsets).labels
    bare = evolve(last, labels=(label,), advice=(), measured=())
    (scale_alone,) = describe(bare, population, offsets).labels
    by = {
        measure: Figure(figure.mean - scale_alone.built_for[measure].mean, figure.sd)
        for measure, figure in known.built_for.items()
    }
    return BesideLabels(label, by, bool(last.advice or last.measured))
