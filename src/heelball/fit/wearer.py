"""A wearer as the core sees one: readings, a day, signs; never a name."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

from attrs import field, frozen

from heelball.foot.reading import GaugeMark, Reading
from heelball.foot.vector import Foot, Population

Place = Literal["ball", "toe", "breadth", "girth", "heel"]
Verdict = Literal["little", "right", "much"]
Swelling = Literal["rest", "ordinary", "hot"]

#: The words of a verdict, and how a foot may have swollen, least first.
VERDICTS: tuple[Verdict, ...] = ("little", "right", "much")
SWELLINGS: tuple[Swelling, ...] = ("rest", "ordinary", "hot")

#: The places where a boot is judged, in the order of the boot (MODEL 5).
PLACES: tuple[Place, ...] = ("ball", "toe", "breadth", "girth", "heel")


@frozen
class DayState:
    """A part of the wearer's day in the boot.

    Parameters
    ----------
    name, share
        What to call it, and its share of the day, 0 to 1.
    sock, insole
        Thickness of the sock in wear and of an added insole [mm].
    swelling
        How much the foot has swollen.
    """

    name: str
    share: float
    sock: float
    swelling: Swelling
    insole: float


@frozen
class Signs:
    """What the wearer tells of the foot's health, for referral only."""

    urgent: bool = False
    diabetes: bool = False
    numbness: bool = False
    wound: bool = False
    circulation: bool = False
    deformity: bool = False
    orthosis: bool = False
    changed: bool = False
    pain_weeks: float = 0.0


@frozen
class OwnedPair:
    """A pair the wearer owns, and the wearer's verdicts place by place."""

    last: str
    size: Fraction
    width: str | None
    verdicts: dict[tuple[Foot, Place], Verdict] = field(factory=dict)


@frozen
class Wearer:
    """A person to be fitted, without a name: `code` is what outputs and paper use.

    An empty `day` means one ordinary state.
    """

    code: str
    population: Population = "unstated"
    readings: tuple[Reading, ...] = ()
    gauge_marks: tuple[GaugeMark, ...] = ()
    day: tuple[DayState, ...] = ()
    pairs: tuple[OwnedPair, ...] = ()
    signs: Signs = Signs()
