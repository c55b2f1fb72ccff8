"""Words for why the computed answer is what it is, and why the trade rule's differs."""

from __future__ import annotations

from typing import Any, Final

from heelball.show.choice_words import doubt, where_it_stands
from heelball.show.labels import percent
from heelball.show.trade_words import Facts, Words
from heelball.units import format_mm


def _doubtful(facts: Facts) -> str:
    verdict = facts["verdict"]
    stands = where_it_stands(facts["place"], verdict.mean)
    where = f"{facts['foot']} foot, {facts['place']}".capitalize()
    return f"{where}: {doubt(facts['place'], verdict)}; {stands} (±{format_mm(verdict.sd)} mm)."


def _none_serves(facts: Facts) -> str:
    return (
        f"No label offered serves; {facts['label']} is least wrong, right all over by chance"
        f" {percent(facts['chance'])}."
    )


def _trade_differs(facts: Facts) -> str:
    trade = facts["trade"]
    followed = _followed(facts["followed"])
    cost = ""
    if facts["trade_loss"] is not None:
        cost = f" Its {trade} would cost {facts['trade_loss']:.2f} in loss against {facts['loss']:.2f}."
    return f"The trade rule says {trade}: {followed}.{cost}"


def _followed(step: Any) -> str:
    if step is None:
        return "it takes the largest mark and never orders smaller"
    facts = step.facts
    mark = "length size" if facts["length"] == facts["taken"] != facts["ball"] else "ball size"
    if facts["length"] == facts["ball"]:
        mark = "length and ball size"
    return f"it follows the {facts['foot']} foot's {mark}, {facts['taken']}, and takes that mark at its word"


def _likelier(facts: Facts) -> str:
    chances = f"{percent(facts['other_chance'])} against {percent(facts['chance'])}"
    return (
        f"{facts['other']} is right all over by a higher chance, {chances},"
        " but where it is wrong it is wrong where it costs more."
    )


def _run_measured(facts: Facts) -> str:
    pairs = "a measured pair" if facts["pairs"] == 1 else f"{facts['pairs']} measured pairs"
    return f"How this last runs is known from {pairs}{' and advice' if facts['advice'] else ''}."


def _run_learned(facts: Facts) -> str:
    if not facts["pairs"]:
        return "How this last runs is known from try-ons of other lasts, its maker's first."
    pairs = "one pair" if facts["pairs"] == 1 else f"{facts['pairs']} pairs"
    return f"How this last runs is known from {pairs} tried on, beside whatever else is known of it."


#: Words for every reason of a choice.
REASON_WORDS: Final[dict[str, Words]] = {
    "doubtful-place": _doubtful,
    "none-serves": _none_serves,
    "trade-agrees": "The trade rule comes to {label} too.",
    "trade-orders-none": "The trade rule orders nothing here; {label} comes out with least loss.",
    "trade-differs": _trade_differs,
    "likelier-label": _likelier,
    "run-measured": _run_measured,
    "run-learned": _run_learned,
    "run-advice": "How this last runs is known from {maker}'s advice.",
    "run-unknown": "How this last runs is not known: {maker}'s labels are taken as any maker's.",
}
