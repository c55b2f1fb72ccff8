"""The question to a maker who publishes nothing: drafted, for the fitter to sign and send.

It speaks of lasts and labels, never of a person or a foot.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from heelball.last.values import Last
from heelball.learn.question import IN_ANY_ORDER, Askable, Question
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


_WHY: Final = (
    "Before we order, we would like to know how your boots run, so that the pair that comes can"
    " stay. We ask about:"
)
_FOR_EACH: Final = "For each of them:"
_QUESTIONS: Final[dict[Askable, str]] = {
    "advice": (
        "Which foot-gauge reading is each label for: length size, ball size, width letter and its line?"
    ),
    "flex_line": "Where does it bend, in mm from the inside of the heel?",
    "inside_length": "How long is it inside, in mm, along a straight stick from heel to toe?",
    "ball_girth": "How far round is it inside at the ball, in mm?",
}
_EXCHANGE: Final = "Within how many days can an unworn pair be exchanged?"
#: What each answer is called where its worth is told.
_CALLED: Final[dict[Askable, str]] = {
    "advice": "which reading each label is for",
    "flex_line": "where it bends",
    "inside_length": "how long it is inside",
    "ball_girth": "how far round at the ball",
    "drawing": "a drawing of the last",
}
_CLOSE: Final = "A drawing of the last, or one pair measured, would answer all but the fifth."


def question_to_maker(
    maker: str, lasts: Sequence[Last], worth: Sequence[Question] = IN_ANY_ORDER
) -> list[Line]:
    """Return the drafted question to one maker.

    Parameters
    ----------
    maker
        Who is written to.
    lasts
        The lasts asked about, all of that maker.
    worth
        What each answer is worth, the most first: questions are asked in that order.
    """
    lines = paragraph(_greeting(maker), first="  ")
    lines += paragraph(_WHY, first="  ")
    for last in lasts:
        lines += paragraph(_about(last), first="  - ", rest="    ")
    lines += paragraph(_FOR_EACH, first="  ")
    for number, question in enumerate(_in_order(worth), start=1):
        lines += paragraph(question, first=f"  {number}. ", rest="     ")
    lines += paragraph(_CLOSE, first="  ")
    return lines


def worth_text(worth: Sequence[Question]) -> str:
    """Return what each answer is expected to save in loss, for the fitter alone: the most first."""
    told = "; ".join(f"{_CALLED[one.asked]} {one.gain:.2f}" for one in worth)
    return f"What an answer is expected to save in loss, for typical feet: {told}."


def letter_text(maker: str, lasts: Sequence[Last], worth: Sequence[Question] = IN_ANY_ORDER) -> str:
    """Return the same question as plain text to be edited: blank lines between its paragraphs.

    Parameters
    ----------
    maker, lasts, worth
        See `question_to_maker`.
    """
    return "\n\n".join(_paragraphs(maker, lasts, worth))


def _in_order(worth: Sequence[Question]) -> list[str]:
    """Return the questions, what saves most first, the terms last."""
    return [*(_QUESTIONS[one.asked] for one in worth if one.asked in _QUESTIONS), _EXCHANGE]


def _paragraphs(maker: str, lasts: Sequence[Last], worth: Sequence[Question]) -> Iterator[str]:
    yield _one_line(_greeting(maker))
    yield _WHY
    yield "\n".join(f"- {_one_line(_about(last))}" for last in lasts)
    yield _FOR_EACH
    yield "\n".join(f"{number}. {question}" for number, question in enumerate(_in_order(worth), start=1))
    yield _CLOSE


def _one_line(text: str) -> str:
    """Return a text with names in it on one line: a break within a name would part the letter there."""
    return " ".join(text.split())


def _greeting(maker: str) -> str:
    return f"To {maker}:"


def _about(last: Last) -> str:
    about = f"last {last.code}, labels {offer_text(last)} on {size_scale(last.label_scale).title}"
    return f"{about}; for instance the {_example(last)}."


def _example(last: Last) -> str:
    return label_text(last.labels[len(last.labels) // 2], last)
