"""Words for the steps of the trade's rule."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any, Final

from heelball.show.labels import MEASURE_WORDS, sizes_text

#: What a reason is about; labels stand in it as they are stamped.
Facts = Mapping[str, Any]

#: A sentence with the facts' names in braces, or what makes one of them.
Words = str | Callable[[Facts], str]


def _foot(facts: Facts) -> str:
    foot = str(facts["foot"]).capitalize()
    if facts["ball"] is None:
        return f"{foot} foot: length size {facts['length']}, which counts alone."
    if facts["length"] is None:
        return f"{foot} foot: ball size {facts['ball']}, which counts alone."
    if facts["length"] == facts["ball"]:
        return f"{foot} foot: length size and ball size are both {facts['taken']}."
    return (
        f"{foot} foot: length size {facts['length']}, ball size {facts['ball']};"
        f" the larger counts, {facts['taken']}."
    )


def _larger_foot(facts: Facts) -> str:
    if facts["same"]:
        return f"Both feet count {facts['size']}."
    return f"The larger foot decides: the {facts['foot']}, {facts['size']}."


def _feet_apart(facts: Facts) -> str:
    own = [f"{foot} {facts[foot] or 'none'}" for foot in ("left", "right")]
    return f"The feet are a whole size apart; each by itself: {', '.join(own)}."


def _letter(facts: Facts) -> str:
    at = f" at {facts['at']}" if facts["at"] else " at that size"
    short = "just short of " if facts["short"] else ""
    read = f"Letter{at}: {short}{facts['read']}"
    either = f"{facts['lower']} or {facts['upper']}"
    if facts["because"] == "swelling":
        return f"{read}; {either}, and {facts['taken']} because of socks or swelling."
    if facts["between"]:
        return f"{read}; {either}, and {facts['taken']} it is."
    return f"{read}." if facts["read"] == facts["taken"] else f"{read}, so {facts['taken']}."


def _advice(facts: Facts) -> str:
    order = Fraction(facts["order"])
    named = {"ball": "the reading", "length": "the length size"}.get(facts["from"], "the reading")
    return f"{facts['maker']} says {_moved(order)} {named}: {facts['read']} becomes {facts['target']}."


def _advice_label(facts: Facts) -> str:
    order = Fraction(facts["order"])
    return f"{facts['maker']} says {_moved(order)} the {facts['scale']} size: that size is {facts['read']}."


def _moved(order: Fraction) -> str:
    if round(order * 4) == 0:
        return "order"
    return f"{sizes_text(order)} {'down from' if order < 0 else 'up from'}"


def _one_width(facts: Facts) -> str:
    side = "wider" if facts["off"] > 0 else "narrower"
    return f"There is one width at that size; the foot reads {abs(facts['off']):.1f} letters {side}."


def _length_over_ball(facts: Facts) -> str:
    over = sizes_text(facts["sizes"])
    return f"The {facts['foot']} foot's length size is {over} above its ball size: measure again."


def _not_gauge(facts: Facts) -> str:
    return (
        f"{str(facts['foot']).capitalize()} foot: no standing gauge mark for {MEASURE_WORDS[facts['what']]};"
        " its other readings are turned into one."
    )


def _no_ball(facts: Facts) -> str:
    foot = str(facts["foot"]).capitalize()
    return f"{foot} foot: no heel-to-ball was read; the length size stands in for it."


def _moved_up(facts: Facts) -> str:
    up = sizes_text(facts["sizes"])
    return f"The size wanted is not offered; {facts['size']}, {up} up, is the next larger."


#: Words for every step of the trade rule.
TRADE_WORDS: Final[dict[str, Words]] = {
    "trade-both-gauges": (
        "Neither a gauge mark nor men's or women's is given: both gauges are followed and the larger"
        " order stands first."
    ),
    "trade-foot": _foot,
    "trade-length-over-ball": _length_over_ball,
    "trade-nothing-read": "No length or heel-to-ball was read, so the rule has nothing to go by.",
    "trade-larger-foot": _larger_foot,
    "trade-feet-apart": _feet_apart,
    "trade-not-gauge": _not_gauge,
    "trade-no-ball": _no_ball,
    "trade-no-breadth": "No breadth was read: the average letter is taken.",
    "trade-offer-ends": "It would take {wanted}: {maker}'s offer ends before it.",
    "trade-label-size": "On {scale} labels that is {size}.",
    "trade-moved-up": _moved_up,
    "trade-letter": _letter,
    "trade-no-advice": "{maker} gives no advice: {size} is ordered as it is read.",
    "trade-advice-label": _advice_label,
    "trade-advice": _advice,
    "trade-one-width": _one_width,
    "trade-wider": "{wanted} is not offered at that size; {taken} is the next wider.",
    "trade-too-narrow": "At {size} nothing as wide as {wanted} is offered: too narrow.",
}
