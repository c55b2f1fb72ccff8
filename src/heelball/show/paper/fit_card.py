"""The fit card: one page for the wearer to take away."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date as Date
from typing import Any

from heelball.fit.answers import Answer, Choice
from heelball.fit.wearer import Wearer
from heelball.show.lengths import Units
from heelball.show.paper.card import card_of
from heelball.show.paper.card_values import FitCard
from heelball.show.paper.sheet import listed, measures_table, plate_told, table, titled
from heelball.show.paper.typesetting import PaperSize, typeset


def fit_card(
    answer: Answer,
    choices: Sequence[Choice],
    wearer: Wearer,
    *,
    day: Date,
    paper: PaperSize = "a4",
    units: Units = "mm",
    name: str | None = None,
    fitter: str | None = None,
) -> bytes:
    """Return the fit card as PDF: one page, the feet drawn at 1 : 2.

    Parameters
    ----------
    answer, choices, wearer, day, units, name, fitter
        See `card_of`.
    paper
        ``a4`` or ``letter``.

    Raises
    ------
    MissingExtra
        Where typst is not installed.
    """
    card = card_of(answer, choices, wearer, day=day, units=units, name=name, fitter=fitter)
    return typeset("sheet", _told(card, units), day=day, paper=paper)


def _told(card: FitCard, units: Units) -> dict[str, Any]:
    """Return the card as the template shows it, in reading order: an urgent sign above all."""
    blocks: list[dict[str, Any]] = []
    if card.urgent:
        blocks.append({"kind": "sign", "texts": card.urgent})
    if card.before:
        blocks.append(listed(card.before.title, card.before.texts))
    if card.order:
        blocks.append(
            {
                "kind": "order",
                "title": card.order.heading,
                "rows": card.order.rows,
                "texts": card.order.others,
            }
        )
    if card.places:
        rows = [(row.place, row.left, row.right) for row in card.places]
        blocks.append(table("In the boot", ("", "left", "right"), rows, (card.places_note,), wide=(1, 2)))
    blocks.append(measures_table("Both feet", card.feet, card.feet_notes, units))
    if card.mind:
        blocks.append(listed(card.mind.title, card.mind.texts))
    if card.at_home:
        blocks.append({"kind": "steps", "title": card.at_home.title, "texts": card.at_home.texts})
    if card.send_back:
        blocks.append(listed(card.send_back.title, card.send_back.texts))
    blocks.append(listed(card.be_seen.title, card.be_seen.texts))
    blocks.append({"kind": "remark", "texts": (card.standing,)})
    return {
        **titled("Fit card", card.whose, card.made),
        "blocks": blocks,
        **plate_told(card.plate, card.plate_note),
    }
