"""A try-on as learning sees one: who, which label, in what state, and each place's word."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date as Date

from attrs import frozen

from heelball.fit.wearer import Place, Swelling, Verdict
from heelball.foot.vector import Foot
from heelball.last.values import Label


@frozen
class TryOn:
    """A wearer's report of how one pair fits.

    Parameters
    ----------
    wearer, last
        Their codes.
    label
        What is stamped on the pair; one the last is offered in.
    verdicts
        By foot and place; a place left out was not told.
    sock, insole
        Thickness of the sock in wear and of an added insole [mm].
    swelling
        How much the foot had swollen.
    hours
        How long the pair was worn before the report; kept, not reckoned with.
    day
        When it was told.
    place
        Where it was written down, for sentences about it: a file and line, or a pair's record.
    """

    wearer: str
    last: str
    label: Label
    verdicts: Mapping[tuple[Foot, Place], Verdict]
    sock: float
    swelling: Swelling = "ordinary"
    insole: float = 0.0
    hours: float | None = None
    day: Date | None = None
    place: str = ""
