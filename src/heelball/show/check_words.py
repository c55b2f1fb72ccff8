"""What is said of a pair that arrived: the step, why, and what the pair teaches of its last."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from heelball.fit.reasons import place_reason
from heelball.fit.wearer import PLACES
from heelball.last.values import Label, Last
from heelball.learn.arrived import Arrived
from heelball.learn.deciding import Decided, Option
from heelball.package_data import defaults
from heelball.show.arrival_words import difference_text
from heelball.show.labels import label_text, percent
from heelball.show.runs_note import run_text
from heelball.show.words import sentence
from heelball.units import format_mm

#: Said of every pair that may still go back or be kept.
BREAK_IN: Final = (
    "Try it indoors, on a clean floor, until it is sure to stay. Leather gives across and round the ball"
    " over weeks, never in length or where it bends: a boot that hurts is not worn in."
)

_STRETCH: Final = (
    "It does not serve as it is. A shoemaker can widen it across and round the ball; nothing makes it"
    " longer or moves where it bends. Do not wear it against pain."
)

#: A run moved by so much [mm], or its sd shrunk to so much of what it was, is worth a word.
_MOVED: Final = 0.3
_SHRUNK: Final = 0.95


def step_text(decided: Decided, last: Last, label: Label) -> str:
    """Return the step in few words.

    Examples
    --------
    ``keep 10 D``, ``try another sock or insole in 10 D``, ``exchange 10 D for 9 1/2 D``.
    """
    own = label_text(label, last)
    if decided.say == "keep":
        return f"keep {own}"
    if decided.say == "adjust":
        return f"try {worn_text(decided.adjusted)} in {own}"
    if decided.to is None:
        return f"send {own} back; another last"
    return f"exchange {own} for {label_text(decided.to, last)}"


def worn_text(option: Option) -> str:
    """Return what else is worn in the pair: ``a thick sock (3 mm)``, ``an insole of 3 mm more``."""
    if option.sock is None:
        return f"an insole of {format_mm(option.insole)} mm more"
    words = {thickness: word for word, thickness in defaults()["day"]["sock"].items()}
    return f"a {words[option.sock]} sock ({format_mm(option.sock)} mm) all day"


def why_texts(decided: Decided, found: Arrived, last: Last, days_left: int | None) -> list[str]:
    """Return why this step and no other, with the numbers.

    Parameters
    ----------
    decided, found
        The step, and what it was decided from.
    last
        The pair's.
    days_left
        Until the pair can no longer go back; None: not told.
    """
    texts = list(_step(decided, last))
    texts += _going_back(decided, last, days_left)
    texts.append(sentence(place_reason(decided.foot, decided.place, decided.doubtful), last))
    texts += [difference_text(one) for one in found.measured]
    if not found.settled:
        texts.append("What is told does not go together well: the figures are nearly so.")
    return texts


def teaches_texts(found: Arrived) -> list[str]:
    """Return what the pair teaches of its last, place by place where it teaches anything."""
    before, after = found.run_before, found.run_after
    texts = []
    for i, place in enumerate(PLACES):
        old, new = float(before.cov[i, i]) ** 0.5, float(after.cov[i, i]) ** 0.5
        if abs(after.mean[i] - before.mean[i]) < _MOVED and new > _SHRUNK * old:
            continue
        was = run_text(place, float(before.mean[i]), old)
        texts.append(f"{run_text(place, float(after.mean[i]), new)}; before this pair: {was}")
    return texts


def _step(decided: Decided, last: Last) -> Iterator[str]:
    own, adjusted, other = decided.own, decided.adjusted, decided.other
    name = label_text(own.label, last)
    if decided.say == "adjust":
        yield f"With {worn_text(adjusted)}: {_against(adjusted, own, 'as it is')}."
        return
    if decided.say == "exchange":
        if decided.to is None:
            least = min((one for one in (own, other) if one), key=lambda one: one.loss)
            yield (
                f"No label of {last.code} serves: the least wrong, {label_text(least.label, last)}, is right"
                f" all over by chance {percent(least.chance)}. Send it back, and choose another last."
            )
        elif other is not None:
            yield f"{label_text(decided.to, last)} instead: {_against(other, own, f'of {name}')}."
        return
    if decided.all_right:
        yield "Every place asked about is called right: what is felt stands above what is computed."
        if other is not None and own.loss - other.loss >= defaults()["check"]["exchange_gain"]:
            yield (
                f"By the numbers {label_text(other.label, last)} would fit better,"
                f" {_against(other, own, f'of {name}')}: measure both feet again."
            )
        return
    yield f"{name} is right all over by chance {percent(own.chance)}, its loss {own.loss:.2f}."
    yield f"The best change of sock or insole, {worn_text(adjusted)}, has {adjusted.loss:.2f}."
    if other is not None:
        yield f"The best other label, {label_text(other.label, last)}, has {other.loss:.2f}."


def _going_back(decided: Decided, last: Last, days_left: int | None) -> Iterator[str]:
    own, other = decided.own, decided.other
    if decided.say == "exchange":
        if days_left is not None:
            yield (
                "One day is left to send it back."
                if days_left == 1
                else f"{days_left} days are left to send it back, today among them."
            )
        elif last.terms.exchange_days is None:
            yield f"By when it can go back is not known: ask {last.maker} today."
        return
    if decided.can_go_back or decided.all_right:
        return
    reason = f"{last.maker} takes no exchanges" if days_left is None else "no day is left to send it back"
    if other is not None and other.serves and own.loss - other.loss >= defaults()["check"]["exchange_gain"]:
        yield f"{label_text(other.label, last)} would have {other.loss:.2f}, but {reason}."
    if not own.serves:
        yield _STRETCH


def _against(one: Option, own: Option, which: str) -> str:
    return (
        f"loss {one.loss:.2f} against {own.loss:.2f} {which}, right all over by chance"
        f" {percent(one.chance)} against {percent(own.chance)}"
    )
