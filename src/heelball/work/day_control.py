"""One moment of a day as it is set at the bench: sock, hours on feet, heat and insole.

The model knows three swellings of a foot (MODEL 4); which hours and which heat count as which of
them is judgement, and stands here alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final, Literal

from attrs import evolve, frozen

from heelball.errors import InputError, Problem, UnreadableText
from heelball.fit.day import states_of
from heelball.fit.wearer import SWELLINGS, DayState, Swelling, Wearer
from heelball.package_data import defaults
from heelball.show.lengths import Units, length_text
from heelball.units import parse_length, parse_number, quoted
from heelball.work.fields import ask_which

Sock = Literal["thin", "medium", "thick"]
Heat = Literal["cool", "hot"]

SOCKS: Final[tuple[Sock, ...]] = ("thin", "medium", "thick")
HEATS: Final[tuple[Heat, ...]] = ("cool", "hot")

#: Up to so long on the feet they count as rested, from so long on as hot [h]: judgement.
RESTED_BELOW_HOURS: Final = 1
SWOLLEN_FROM_HOURS: Final = 8

#: The same in words.
MAPPING: Final = (
    f"A foot counts as rested under {RESTED_BELOW_HOURS} hour on it, as swollen from"
    f" {SWOLLEN_FROM_HOURS} hours on, and as ordinary between. In heat it counts as one step further."
    " Where those steps lie is judgement: no survey says."
)

_SWELLING_WORDS: Final[Mapping[Swelling, str]] = {
    "rest": "foot rested",
    "ordinary": "foot as in an ordinary day",
    "hot": "foot swollen",
}
_MOST_HOURS: Final = 24
_THICKEST_INSOLE: Final = 20


@frozen
class Moment:
    """One moment of a day, as set: hours on feet, insole [mm]."""

    sock: Sock = "medium"
    hours: float = 4.0
    heat: Heat = "cool"
    insole: float = 0.0

    @property
    def swelling(self) -> Swelling:
        """Which of the model's three swellings that is."""
        step = 0 if self.hours < RESTED_BELOW_HOURS else 1 if self.hours < SWOLLEN_FROM_HOURS else 2
        return SWELLINGS[min(step + (self.heat == "hot"), 2)]

    @property
    def state(self) -> DayState:
        """The moment as the only state of a day."""
        return DayState("this moment", 1.0, defaults()["day"]["sock"][self.sock], self.swelling, self.insole)

    def as_day(self) -> list[dict[str, Any]]:
        """Return the day that has only this moment, as a wearer file would hold it."""
        return [
            {
                "name": "day",
                "share": 1.0,
                "sock": self.sock,
                "swelling": self.swelling,
                "insole_mm": self.insole,
            }
        ]


def read_moment(written: Mapping[str, str], units: Units = "mm") -> Moment:
    """Return the moment that was set.

    Parameters
    ----------
    written
        By field: ``sock``, ``hours``, ``heat`` and ``insole``; what is left empty is as usual.
    units
        What an insole without a unit is in.

    Raises
    ------
    InputError
        With every problem; the place of each is the field's name.
    """
    usual = Moment()
    problems: list[Problem] = []
    sock, heat, hours, insole = usual.sock, usual.heat, usual.hours, usual.insole
    if said := written.get("sock"):
        found = next((one for one in SOCKS if one == said), None)
        if found is None:
            problems.append(Problem("sock", quoted(said), "thin, medium or thick"))
        sock = found or sock
    if said := written.get("heat"):
        warmth = next((one for one in HEATS if one == said), None)
        if warmth is None:
            problems.append(Problem("heat", quoted(said), "cool or hot"))
        heat = warmth or heat
    if said := written.get("hours"):
        hours = _number("hours", said, problems)
    if said := written.get("insole"):
        insole = _insole(said, units, problems)
    if problems:
        raise InputError(problems)
    return Moment(sock, hours, heat, insole)


def on_day(wearer: Wearer, moment: Moment | None) -> Wearer:
    """Return a wearer on one moment of a day; on the wearer's own day where none is set."""
    return wearer if moment is None else evolve(wearer, day=(moment.state,))


def state_words(state: DayState, units: Units = "mm") -> str:
    """Return a state of the day in words: ``medium sock, foot rested``."""
    socks: Mapping[str, float] = defaults()["day"]["sock"]
    sock = next((name for name, thickness in socks.items() if thickness == state.sock), None)
    said = [
        f"{sock} sock" if sock else f"sock of {length_text(state.sock, units)}",
        _SWELLING_WORDS[state.swelling],
    ]
    if state.insole:
        said.append(f"insole of {length_text(state.insole, units)}")
    return ", ".join(said)


def day_words(day: Sequence[DayState], units: Units = "mm") -> list[str]:
    """Return a wearer's day in words, a line a state; one ordinary state where none is kept."""
    if not day:
        return [f"Nothing is kept of this wearer's day: {state_words(states_of(day)[0], units)}."]
    return [f"{state.name}, {round(100 * state.share)} %: {state_words(state, units)}" for state in day]


def _number(name: str, text: str, problems: list[Problem]) -> float:
    wanted = f"hours, 0 to {_MOST_HOURS}"
    if not _one_way(name, text, problems):
        return 0.0
    try:
        hours = parse_number(text)
    except UnreadableText as refused:
        problems.append(Problem(name, refused.found, wanted))
        return 0.0
    if hours > _MOST_HOURS:
        problems.append(Problem(name, quoted(text), wanted))
    return float(hours)


def _insole(text: str, units: Units, problems: list[Problem]) -> float:
    wanted = f"0 to {_THICKEST_INSOLE} mm" if units == "mm" else "0 to 0.78 in"
    if not _one_way("insole", text, problems):
        return 0.0
    try:
        thickness = parse_length(text, units)
    except UnreadableText as refused:
        problems.append(Problem("insole", refused.found, wanted))
        return 0.0
    if thickness > _THICKEST_INSOLE:
        problems.append(Problem("insole", quoted(text), wanted))
    return float(thickness)


def _one_way(name: str, text: str, problems: list[Problem]) -> bool:
    """Return whether a number can be read in one way only, with a problem where it cannot."""
    try:
        ask_which(text)
    except UnreadableText as refused:
        problems.append(refused.at(name))
        return False
    return True
