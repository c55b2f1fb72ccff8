"""How a last runs as learned from try-ons, in place of its maker's word alone (MODEL 9)."""

from __future__ import annotations

from typing import Final

import numpy as np
from attrs import frozen

from heelball.gaussian.normal import Array, Gaussian
from heelball.last.run import OFFSET_PLACES, PLACE, RUN_STATE

#: How wide a known run's numbers stand before its belief is observed [mm]: nothing beside it.
WIDE: Final = 3000.0

#: A direction of less information than this is not observed.
_NOTHING: Final = 1e-9


@frozen(eq=False)
class KnownRun:
    """What try-ons and all other evidence say of one last's run.

    Parameters
    ----------
    belief
        Eight numbers [mm]: the gauge's offsets c in the order of `OFFSET_PLACES`, then the true
        run in the order of `RUN_PLACES`, added to every label alike. The prior of c, the
        maker's advice and what was measured on pairs are all in it.
    pairs
        Pairs of this last that were tried on: a wearer's of one label is one.
    """

    belief: Gaussian
    pairs: int

    @property
    def run(self) -> Gaussian:
        """The run alone, five numbers [mm]."""
        first = len(OFFSET_PLACES)
        return Gaussian(self.belief.mean[first:], self.belief.cov[first:, first:])

    def observed(self, offsets: Gaussian) -> tuple[Array, Array]:
        """Return the belief as independent observations of variance 1 of a run's state.

        They stand on the prior of the gauge's offsets and a run of sd `WIDE` in every place, so
        that a wearer's own knowledge of the offsets meets the belief's once.

        Parameters
        ----------
        offsets
            Prior of the gauge's offsets, 3 numbers.

        Returns
        -------
        tuple of Array
            Rows of shape (k, 16) and values of shape (k,), k at most 8.
        """
        known = np.linalg.inv(self.belief.cov)
        shift = known @ self.belief.mean
        gauge = slice(0, len(OFFSET_PLACES))
        prior = np.linalg.inv(offsets.cov)
        known[gauge, gauge] -= prior
        shift[gauge] -= prior @ offsets.mean
        places = np.arange(len(OFFSET_PLACES), len(known))
        known[places, places] -= 1 / WIDE**2
        strength, direction = np.linalg.eigh((known + known.T) / 2)
        some = strength > _NOTHING
        root = np.sqrt(strength[some])
        rows = np.zeros((int(some.sum()), RUN_STATE))
        seen = direction[:, some].T
        rows[:, gauge] = root[:, None] * seen[:, gauge]
        rows[:, PLACE : PLACE + len(places)] = root[:, None] * seen[:, len(OFFSET_PLACES) :]
        return rows, (seen @ shift) / root
