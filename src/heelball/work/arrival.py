"""The boot that came, measured beside what was known of its label, and what that makes of the answer."""

from __future__ import annotations

from datetime import date as Date
from math import hypot
from typing import Final

from attrs import evolve, frozen

from heelball.fit.choice import answer
from heelball.fit.wearer import Wearer
from heelball.foot.prior import offset_prior
from heelball.foot.vector import Measure
from heelball.last.description import describe
from heelball.last.run import Kind
from heelball.last.values import Label, Last, MeasuredPair
from heelball.learn.arrived import Measured, believed
from heelball.package_data import defaults
from heelball.show.arrival_words import changed_answer_text, difference_text

#: What can be measured of a boot, in the order a fitter takes it, and the measure it is built for.
MEASURED: Final[dict[Kind, Measure]] = {
    "inside_length": "length",
    "flex_line": "ball",
    "ball_girth": "girth",
}


@frozen
class Compared:
    """What the measures of a boot say.

    Parameters
    ----------
    differences
        Each measure taken.
    said
        The same in words, then what it makes of the answer.
    now, chance
        The label that would now be ordered and how likely it is right all over; None where no
        label serves or nothing is chosen for this wearer.
    """

    differences: tuple[Measured, ...]
    said: tuple[str, ...]
    now: Label | None
    chance: float | None


def differences(boot: MeasuredPair, last: Last, population: str) -> tuple[Measured, ...]:
    """Return each measure of a boot beside what its label was thought to be.

    Parameters
    ----------
    boot
        What was measured.
    last
        As known before this boot was measured.
    population
        Of the wearer, for scales for all adults.
    """
    label = Label(boot.size, boot.width)
    facts = next(
        one for one in describe(last, population, offset_prior()).labels if one.label == label
    ).built_for
    own: dict[str, float] = defaults()["run"]["measured_sd"]
    # The foot that a label is built for stands in the boot with the allowance ahead of it.
    ahead = {"inside_length": float(defaults()["boot"]["inside_allowance"])}
    return tuple(
        Measured(
            kind,
            found,
            facts[measure].mean + ahead.get(kind, 0.0),
            hypot(facts[measure].sd, own[kind]),
        )
        for kind, measure in MEASURED.items()
        if (found := getattr(boot, kind)) is not None
    )


def compare(boot: MeasuredPair, last: Last, wearer: Wearer, ordered: Label, today: Date) -> Compared:
    """Return what the measures of a boot say of its last, and of what was ordered from it.

    Parameters
    ----------
    boot
        What was measured.
    last
        As known before this boot was measured.
    wearer
        Whose pair it is.
    ordered
        The label that was ordered.
    today
        For the age of readings.
    """
    found = differences(boot, last, wearer.population)
    said = [difference_text(one) for one in found]
    heard = believed(boot, found)
    if heard is None:
        return Compared(found, tuple(said), None, None)
    measured = evolve(last, measured=(*last.measured, heard))
    before, after = (answer(wearer, [known], today=today, detailed=0).choices for known in (last, measured))
    if not before or not after:
        return Compared(found, tuple(said), None, None)
    said.append(changed_answer_text(ordered, before[0], after[0]))
    now = after[0].order
    return Compared(found, tuple(said), now, None if now is None else after[0].chance)
