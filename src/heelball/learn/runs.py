"""What try-ons taught: runs of lasts and makers, feet and tastes of wearers, the gauge's offsets."""

from __future__ import annotations

from attrs import frozen

from heelball.fit.known_run import KnownRun
from heelball.fit.wearer import Place
from heelball.foot.vector import Foot
from heelball.gaussian.normal import Array, Gaussian
from heelball.learn.habits import Habits
from heelball.learn.try_on import TryOn


@frozen(eq=False)
class LastRun:
    """How one last runs.

    Parameters
    ----------
    last, maker
        Their codes.
    pairs
        Pairs of this last that try-ons told of: a wearer's of one label is one.
    belief
        Eight numbers [mm]: the gauge's offsets c, then the true run by place.
    alone
        The same as the last's own evidence and its maker's part in its prior have it, without any
        try-on: what `choose` holds without learned runs.
    """

    last: str
    maker: str
    pairs: int
    belief: Gaussian
    alone: Gaussian

    @property
    def run(self) -> Gaussian:
        """The run alone: five numbers [mm] in the order of `PLACES`."""
        return self.known.run

    @property
    def known(self) -> KnownRun:
        """What `fit` needs of it."""
        return KnownRun(self.belief, self.pairs)


@frozen(eq=False)
class MakerRun:
    """How a maker's lasts run together: five numbers [mm] in the order of `PLACES`."""

    maker: str
    lasts: int
    run: Gaussian


@frozen(eq=False)
class WearerFit:
    """What try-ons say of a wearer.

    Parameters
    ----------
    wearer
        Code.
    measured
        Whether any reading of the wearer's feet was given.
    pairs
        Pairs that this wearer told of.
    fit
        Foot plus taste, ten numbers [mm]: left foot in the order of `PLACES`, then right.
    foot
        Both feet, ten numbers [mm] in the same order.
    taste
        Five numbers [mm] in the order of `PLACES`.
    """

    wearer: str
    measured: bool
    pairs: int
    fit: Gaussian
    foot: Gaussian
    taste: Gaussian


@frozen
class Doubt:
    """A verdict that looks like a mistake.

    Parameters
    ----------
    try_on
        The report.
    foot, place
        Whose verdict.
    chance
        Of that word given everything else, lapse left out.
    lapse
        How likely the word was a lapse.
    """

    try_on: TryOn
    foot: Foot
    place: Place
    chance: float
    lapse: float


@frozen(eq=False)
class Runs:
    """All that was learned.

    Parameters
    ----------
    offsets
        The gauge's c, three numbers [mm].
    lasts, makers, wearers
        Each sorted by code.
    doubtful
        Verdicts that look like mistakes, the most likely first.
    habits
        As learned, or as given.
    settled
        Whether the computation came to rest; where not, figures are nearly so.
    own_blocks
        Whether sds of runs come from each last's own block because there are too many lasts for the
        exact solve: a little too small then.
    log_chances
        Log chance of each verdict learned from, given all the others, shape (n,).
    """

    offsets: Gaussian
    lasts: tuple[LastRun, ...]
    makers: tuple[MakerRun, ...]
    wearers: tuple[WearerFit, ...]
    doubtful: tuple[Doubt, ...]
    habits: Habits
    settled: bool
    own_blocks: bool
    log_chances: Array

    @property
    def known(self) -> dict[str, KnownRun]:
        """What `fit` needs of every last, by code."""
        return {one.last: one.known for one in self.lasts}
