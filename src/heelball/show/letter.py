"""The question to a maker who publishes nothing: drafted, for the fitter to sign and send.

It speaks of lasts and labels, never of a person or a foot.
"""

from __future__ import annotations

from collections.abc import Sequence

from heelball.last.values import Last
from heelball.scales.catalogue import size_scale
from heelball.show.labels import label_text, offer_text
from heelball.show.page import Line, paragraph


def publishes_nothing(last: Last) -> bool:
    """Return whether a maker is to be asked: nothing is published, or nothing known of the last."""
    if last.terms.publishes_advice is not None:
        return not last.terms.publishes_advice
    return not last.advice and not last.measured


def lasts_to_ask_about(lasts: Sequence[Last]) -> dict[str, list[Last]]:
    """Return, by maker, the lasts to write about."""
    asked: dict[str, list[Last]] = {}
    for last in lasts:
        if publishes_nothing(last):
            asked.setdefault(last.maker, []).append(last)
    return asked


def question_to_maker(maker: str, lasts: Sequence[Last]) -> list[Line]:
    """Return the drafted question to one maker.

    Parameters
    ----------
    maker
        Who is written to.
    lasts
        The lasts asked about, all of that maker.
    """
    lines = paragraph(f"To {maker}:", first="  ")
    lines += paragraph(
        "Before we order, we would like to know how your boots run, so that the pair that comes can"
        " stay. We ask about:",
        first="  ",
    )
    for last in lasts:
        about = f"last {last.code}, labels {offer_text(last)} on {size_scale(last.label_scale).title}"
        lines += paragraph(f"{about}; for instance the {_example(last)}.", first="  - ", rest="    ")
    lines += paragraph("For each of them:", first="  ")
    questions = (
        "Which foot-gauge reading is each label for: length size, ball size, width letter and its line?",
        "Where does it bend, in mm from the inside of the heel?",
        "How long is it inside, in mm, along a straight stick from heel to toe?",
        "How far round is it inside at the ball, in mm?",
        "Within how many days can an unworn pair be exchanged?",
    )
    for number, question in enumerate(questions, start=1):
        lines += paragraph(question, first=f"  {number}. ", rest="     ")
    lines += paragraph(
        "A drawing of the last, or one pair measured, would answer all but the fifth.", first="  "
    )
    return lines


def _example(last: Last) -> str:
    return label_text(last.labels[len(last.labels) // 2], last)
