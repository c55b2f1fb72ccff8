"""What a fit card says to the wearer: socks, trying on at home, when to send a pair back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from heelball.fit.wearer import DayState
from heelball.last.values import Last
from heelball.package_data import defaults
from heelball.show.care_words import CARE_WORDS
from heelball.show.lengths import Units, length_text
from heelball.show.paper.names import MAKER, cut

# Socks named one by one; of more, the thinnest and the thickest.
_SOCKS: Final = 3

#: Where it bends, and what to look for at each place, in the order of the boot.
_PLACES: Final = (
    (
        "Where the foot bends: with the heel off the floor, feel on the inner side for the joint behind the"
        " big toe. Where the boot bends: the fold that comes across the upper. The fold should lie on the"
        " joint."
    ),
    "Toes: {low} to {high} free ahead of the longest toe, standing; none touches as you walk down stairs.",
    "Across the ball: the sole is as broad as the foot, and the upper can be pinched up a little.",
    "Round the ball: done up firmly, the upper lies on the foot without a gap and without pressing.",
    "Heel: it lifts little and does not rub.",
    "Walk ten minutes on a carpet and look at both feet: red lines show where the boots press.",
)

#: What sends a pair back, whatever the terms.
_WHAT_IS_WRONG: Final = (
    "Send the pair back if the fold lies clearly ahead of the joint or behind it, if a toe touches, or if a"
    " foot hurts or goes numb. Neither length nor where a boot bends gives with wear."
)

_TERMS_UNKNOWN: Final = "Ask {maker} before ordering within how many days an unworn pair can go back."
_TERMS: Final = "{maker} takes an unworn pair back within {days}."


def at_home(day: Sequence[DayState], units: Units) -> tuple[str, ...]:
    """Return how to try a pair on at home, step by step.

    Parameters
    ----------
    day
        The wearer's day in the boot, for its socks and insoles.
    units
        What lengths are shown in.
    """
    # Common to the guidelines [T01 T02]: free length ahead of the longest toe, standing.
    places = [
        words.format(low=length_text(10.0, units).removesuffix(f" {units}"), high=length_text(20.0, units))
        for words in _PLACES
    ]
    socks = _socks(day, units)
    return (
        "Indoors, on a clean floor, so that they can go back as they came.",
        f"At the end of the day, when feet are fullest, standing, both boots done up for work, in {socks}.",
        *places,
    )


def _socks(day: Sequence[DayState], units: Units) -> str:
    """Return the socks and insoles of a day: those the answer reckons with."""
    if not day:
        return "the socks you will wear in them"
    thick = sorted({state.sock for state in day})
    if len(thick) > _SOCKS:
        thick = [thick[0], thick[-1]]
    named = [_sock(sock, units) for sock in thick]
    said = named[0] if len(named) == 1 else f"{', '.join(named[:-1])} and {named[-1]}"
    insoles = [state.insole for state in day if state.insole > 0]
    insole = f", with your added insole of {length_text(max(insoles), units)}" if insoles else ""
    return f"the socks of your day ({said}){insole}"


def _sock(sock: float, units: Units) -> str:
    names = {thickness: name for name, thickness in defaults()["day"]["sock"].items()}
    return str(names.get(sock, length_text(sock, units)))


def send_back(last: Last) -> tuple[str, ...]:
    """Return when a pair of a last goes back: the maker's terms, and what is wrong with it."""
    maker, days = cut(last.maker, MAKER), last.terms.exchange_days
    if days is None:
        terms = _TERMS_UNKNOWN.format(maker=maker)
    elif days == 0:
        words = CARE_WORDS["no-exchanges"]
        assert isinstance(words, str)
        terms = words.format(maker=maker)
    else:
        terms = _TERMS.format(maker=maker, days="1 day" if days == 1 else f"{days} days")
    return (terms, _WHAT_IS_WRONG)
