"""What the order page says of a wearer before any boot: signs, feet, slips, what was not read."""

from __future__ import annotations

from attrs import frozen

from heelball.fit.answers import Answer
from heelball.fit.wearer import Wearer
from heelball.foot.vector import FEET
from heelball.show.lengths import Units, in_units
from heelball.show.slip_words import slip_question
from heelball.show.terms import feet_remark
from heelball.show.words import sentence, sentences


@frozen
class Feet:
    """What is said of a wearer before any boot, as sentences.

    Parameters
    ----------
    urgent, referral
        Signs that call for someone else; the urgent ones stand above everything.
    remarks
        How the feet bend and measure.
    questions
        Slips to ask about.
    minded
        What is to be minded whatever boot it is.
    state
        That nothing, or one foot alone, was read; empty where both feet were.
    """

    urgent: tuple[str, ...]
    referral: tuple[str, ...]
    remarks: tuple[str, ...]
    questions: tuple[str, ...]
    minded: tuple[str, ...]
    state: str


def feet_words(found: Answer, wearer: Wearer, units: Units = "mm") -> Feet:
    """Return what is said before any boot.

    Parameters
    ----------
    found, wearer
        The answer, and whose it is.
    units
        What lengths are written in.
    """
    urgent = [sentence(reason) for reason in found.referral if reason.kind == "urgent"]
    other = [text for text in sentences(found.referral) if text not in urgent]
    read = {reading.foot for reading in wearer.readings}
    state = ""
    if not read:
        state = "Neither foot has been read yet, so there is nothing to order by."
    elif len(read) == 1:
        (one,) = read
        missing = next(foot for foot in FEET if foot not in read)
        state = (
            f"Only the {one} foot has been read. The {missing} one is taken to be like it, give or take"
            " what left and right usually differ by: read it too before ordering."
        )
    known = {found.code: found.code}
    return Feet(
        urgent=tuple(urgent),
        referral=tuple(in_units(text, units, known) for text in other),
        remarks=tuple(feet_remark(found.feet, wearer)) if read and not found.child else (),
        questions=tuple(slip_question(slip, wearer.readings) for slip in found.slips),
        minded=tuple(in_units(text, units, known) for text in sentences(found.remarks)),
        state=state,
    )
