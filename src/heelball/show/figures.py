"""The figures of feet in one boot: what a drawing shows and the table beside it says."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from attrs import frozen

from heelball.errors import InternalFault
from heelball.foot.vector import FEET, Foot
from heelball.last.values import Toe
from heelball.show.lengths import Units, length_text
from heelball.units import format_mm

#: Where a drawing from above compares boot and foot, in the order of the boot (MODEL 5).
DrawnPlace = Literal["ball", "toe", "breadth", "heel"]


@frozen
class DrawnFoot:
    """One foot as it is in the boot: the effective foot of the day's mean state [mm] (MODEL 4).

    `heel_judged` is false where no heel was read: the outline then takes the heel the survey
    expects, and nothing is said of it.
    """

    foot: Foot
    foot_length: float
    heel_to_ball: float
    foot_breadth: float
    heel_breadth: float
    heel_judged: bool = True


@frozen
class DrawnBoot:
    """The boot chosen, the same for both feet.

    Parameters
    ----------
    last, label
        What it is called: the last's code and the label as stamped.
    inside_length, flex_line
        From the rearmost inside of the heel to the inside end, and to where it bends [mm].
    built_for_breadth, built_for_heel_breadth
        The foot it is built for [mm].
    toe, toe_deduction
        The shape of the toe, and how much of the inside length no toe can use [mm] (MODEL 3).
    """

    last: str
    label: str
    inside_length: float
    flex_line: float
    built_for_breadth: float
    built_for_heel_breadth: float
    toe: Toe
    toe_deduction: float


@frozen
class DrawnFigure:
    """One row: a foot and the boot at one place.

    Parameters
    ----------
    foot, place
        Which foot, and where.
    of_boot, of_foot
        The two measures compared [mm]: flex line and heel-to-ball; usable inside length and foot
        length; breadth built for and breadth, at the ball and at the heel.
    words
        What the difference means, as a bench ledger would say it.
    """

    foot: Foot
    place: DrawnPlace
    of_boot: float
    of_foot: float
    words: str

    @property
    def difference(self) -> float:
        """Boot less foot [mm]."""
        return self.of_boot - self.of_foot


def figures(feet: Sequence[DrawnFoot], boot: DrawnBoot, units: Units = "mm") -> tuple[DrawnFigure, ...]:
    """Compare each foot with the boot, place by place.

    Parameters
    ----------
    feet
        One foot or two, in any order.
    boot
        The boot they stand in.
    units
        What the words speak in.

    Returns
    -------
    tuple of DrawnFigure
        Four rows a foot, from ball to heel, three where no heel was read; the left foot's first.

    Raises
    ------
    InternalFault
        Where there is no foot, or the same foot twice.

    Examples
    --------
    >>> foot = DrawnFoot("right", 271.0, 201.0, 100.0, 68.0)
    >>> boot = DrawnBoot("N7", "10 D", 287.5, 199.0, 101.2, 68.0, "round", 0.0)
    >>> for figure in figures([foot], boot):
    ...     print(figure.words)
    boot bends 2 mm behind the joint
    toe room 16.5 mm
    1.2 mm wide at the ball
    even at the heel
    """
    rows: list[DrawnFigure] = []
    for foot in in_order(feet):
        ball = boot.flex_line - foot.heel_to_ball
        usable = boot.inside_length - boot.toe_deduction
        breadth = boot.built_for_breadth - foot.foot_breadth
        rows += (
            DrawnFigure(foot.foot, "ball", boot.flex_line, foot.heel_to_ball, _bend(ball, units)),
            DrawnFigure(
                foot.foot, "toe", usable, foot.foot_length, _toe_room(usable - foot.foot_length, units)
            ),
            DrawnFigure(
                foot.foot, "breadth", boot.built_for_breadth, foot.foot_breadth, _ease(breadth, "ball", units)
            ),
        )
        if foot.heel_judged:
            heel = boot.built_for_heel_breadth - foot.heel_breadth
            rows.append(
                DrawnFigure(
                    foot.foot,
                    "heel",
                    boot.built_for_heel_breadth,
                    foot.heel_breadth,
                    _ease(heel, "heel", units),
                )
            )
    return tuple(rows)


def in_order(feet: Sequence[DrawnFoot]) -> list[DrawnFoot]:
    """Return the feet from left to right.

    Raises
    ------
    InternalFault
        Where there is no foot, or the same foot twice.
    """
    by_name = {foot.foot: foot for foot in feet}
    if not by_name or len(by_name) < len(feet):
        raise InternalFault(f"One foot of each side can be shown, not {[foot.foot for foot in feet]}.")
    return [by_name[name] for name in FEET if name in by_name]


def _said(amount: float, units: Units) -> str:
    """Return an amount without its sign, or nothing where it would be read as zero."""
    return "" if format_mm(abs(amount)) == "0" else length_text(abs(amount), units)


def _bend(ahead: float, units: Units) -> str:
    amount = _said(ahead, units)
    if not amount:
        return "boot bends at the joint"
    return f"boot bends {amount} {'ahead of' if ahead > 0 else 'behind'} the joint"


def _toe_room(room: float, units: Units) -> str:
    amount = _said(room, units)
    if not amount:
        return "no toe room"
    return f"toe room {amount}" if room > 0 else f"{amount} short at the toe"


def _ease(ease: float, where: Literal["ball", "heel"], units: Units) -> str:
    amount = _said(ease, units)
    if not amount:
        return f"even at the {where}"
    return f"{amount} {'wide' if ease > 0 else 'narrow'} at the {where}"
