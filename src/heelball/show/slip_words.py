"""What to ask about a likely slip of the pen; it is asked, never repaired in silence."""

from __future__ import annotations

from collections.abc import Sequence

from heelball.foot.reading import Reading
from heelball.foot.slips import Slip
from heelball.show.labels import MEASURE_WORDS
from heelball.units import MILLIMETRES


def reading_text(reading: Reading) -> str:
    """Return a reading in few words: ``right length 10 on gauge-men``."""
    mark = (
        f"{reading.value} {reading.scale}"
        if reading.scale in MILLIMETRES
        else f"{reading.value} on {reading.scale}"
    )
    return f"{reading.foot} {MEASURE_WORDS[reading.what]} {mark}"


def slip_question(slip: Slip, readings: Sequence[Reading]) -> str:
    """Return the question to ask about a slip, and the odds for it.

    Parameters
    ----------
    slip
        What is likely.
    readings
        All readings of the wearer, in file order.
    """
    written = [readings[i] for i in slip.readings]
    if all(reading.shared_errors for reading in written):
        return f"{_of_sheets(slip, written)}? {odds_text(slip.odds)}."
    said = _listed(written)
    verb = "Was" if len(written) == 1 else "Were"
    return f"{verb} {said} {_meant(slip)}? {odds_text(slip.odds)}."


def _of_sheets(slip: Slip, written: Sequence[Reading]) -> str:
    """Return what is asked of whole sheets, whose readings were drawn as one."""
    if slip.kind == "left-for-right":
        return "Were the left and the right foot's sheets exchanged"
    # A foot has one length on each of its sheets.
    feet = [reading.foot for reading in written if reading.what == "length"]
    if len(feet) == 1:
        return f"Was the {feet[0]} foot's sheet {_meant(slip)}"
    whose = "both feet's" if len(set(feet)) > 1 else f"the {feet[0]} foot's"
    return f"Were {whose} sheets {_meant(slip)}"


def _meant(slip: Slip) -> str:
    """Return what the readings would then be."""
    meant = slip.meant[0]
    return {
        "other-scale": f"read on {meant.scale}",
        "inch-for-cm": "in inches" if meant.scale == "in" else "in centimetres",
        "length-for-ball": "length and heel-to-ball exchanged",
        "left-for-right": "left and right exchanged",
        "seated": "taken seated",
        "digits": f"{meant.value}, with two digits exchanged",
        "one-step": f"{meant.value}, one step out",
    }[slip.kind]


def _listed(readings: Sequence[Reading]) -> str:
    if len(readings) > 3:
        return f"all {len(readings)} readings"
    texts = [reading_text(reading) for reading in readings]
    return texts[0] if len(texts) == 1 else f"{', '.join(texts[:-1])} and {texts[-1]}"


def odds_text(odds: float) -> str:
    """Return odds as they are said: ``Odds 12 to 1 for it``.

    Examples
    --------
    >>> odds_text(12.3), odds_text(1e9)
    ('Odds 12 to 1 for it', 'Odds over 1000 to 1 for it')
    """
    if odds > 1000:
        return "Odds over 1000 to 1 for it"
    return f"Odds {odds:.0f} to 1 for it" if odds >= 1.5 else "About even odds for it"
