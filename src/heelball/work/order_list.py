"""The ranked lasts as the order page lists them: the doubtful place first, then what to order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from attrs import frozen

from heelball.fit.answers import Choice
from heelball.fit.wearer import Place
from heelball.last.values import Label, Last
from heelball.records.values import KeptLast
from heelball.show.labels import PLACE_WORDS, label_text
from heelball.show.lengths import Units, length_text

# How far a place is off, to either side, after the figure.
_SIDES: Final[Mapping[Place, tuple[str, str]]] = {
    "ball": ("behind", "ahead"),
    "breadth": ("narrow", "wide"),
    "girth": ("tight", "loose"),
    "heel": ("tight", "loose"),
}


@frozen
class Listed:
    """One last in the list.

    Parameters
    ----------
    last_id, code, maker
        Which last.
    doubtful
        The place that decides and how it stands there, in words.
    order
        The label to order, or the least wrong one.
    serves
        Whether that label serves.
    trade_rule
        The trade rule's label, or ``none``.
    """

    last_id: str
    code: str
    maker: str
    doubtful: str
    order: str
    serves: bool
    trade_rule: str


def listed(
    choices: Sequence[Choice], lasts: Mapping[str, KeptLast], units: Units = "mm"
) -> tuple[Listed, ...]:
    """Return the lines of the list, in the order of the choices.

    Parameters
    ----------
    choices
        Best first.
    lasts
        The lasts as kept, by code.
    units
        What lengths are written in.
    """
    return tuple(
        Listed(
            last_id=lasts[choice.last.code].id,
            code=choice.last.code,
            maker=choice.last.maker,
            doubtful=doubtful_words(choice, units),
            order=label_text(choice.label, choice.last),
            serves=choice.order is not None,
            trade_rule=order_words(choice.trade_rule.order, choice.last),
        )
        for choice in choices
    )


def order_words(label: Label | None, last: Last) -> str:
    """Return a label as it is stamped, or that there is none."""
    return "none" if label is None else label_text(label, last)


def doubtful_words(choice: Choice, units: Units = "mm") -> str:
    """Return the place that decides and how it stands there: ``Right toe: may be short; toe room 9 mm``."""
    foot, place = choice.deciding_foot, choice.deciding_place
    verdict = choice.by_place[foot][place]
    if verdict is None:
        return f"{foot.capitalize()} {place}: not judged"
    little, much = PLACE_WORDS[place]
    side = little if verdict.too_little >= verdict.too_much else much
    may = f"may {_may(place, side)}"
    return f"{foot.capitalize()} {place}: {may}; {_stands(place, verdict.mean, units)}"


def _may(place: Place, side: str) -> str:
    return side.replace("bends", "bend", 1) if place == "ball" else f"be {side}"


def _stands(place: Place, mean: float, units: Units) -> str:
    amount = length_text(abs(mean), units)
    even = length_text(abs(mean), "mm") == "0 mm"
    if place == "toe":
        return f"toe room {amount}" if mean >= 0 else f"{amount} short"
    if even:
        return "at the joint" if place == "ball" else "even"
    little, much = _SIDES[place]
    return f"{amount} {much if mean > 0 else little}"
