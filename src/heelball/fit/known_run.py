"""How a last runs as learned from try-ons, in place of its maker's word alone (MODEL 9)."""

from __future__ import annotations

from attrs import frozen

from heelball.gaussian.normal import Gaussian


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
        Try-ons of this last that were learned from.
    """

    belief: Gaussian
    pairs: int
