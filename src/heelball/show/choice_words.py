"""A choice in words: its doubtful place, what would tip it, what stands beside it."""

from __future__ import annotations

from heelball.fit.answers import Choice, PlaceVerdict, RunnerUp
from heelball.fit.wearer import Place
from heelball.show.labels import MEASURE_WORDS, PLACE_WORDS, percent
from heelball.units import format_mm


def tips_when(runner_up: RunnerUp) -> str | None:
    """Return the change of a foot that would tip the choice to the runner-up, as a clause.

    None where nothing that may well be true would tip it.
    """
    if runner_up.tips_foot is None or runner_up.tips_what is None or runner_up.tips_by is None:
        return None
    measure = MEASURE_WORDS[runner_up.tips_what]
    side = "more" if runner_up.tips_by > 0 else "less"
    amount = format_mm(abs(runner_up.tips_by))
    told = "under 0.1" if amount == "0" else amount
    return f"if the {runner_up.tips_foot} {measure} were {told} mm {side}"


def where_it_stands(place: Place, mean: float) -> str:
    """Return where boot and foot stand to each other at one place, by the mean margin [mm].

    Examples
    --------
    >>> where_it_stands("ball", -4.0), where_it_stands("toe", 12.5)
    ('the boot bends 4 mm behind the joint', 'toe room 12.5 mm')
    """
    amount = format_mm(abs(mean))
    if place == "toe":
        return f"toe room {amount} mm" if mean >= 0 else f"{amount} mm short at the toe"
    if place == "ball":
        if amount == "0":
            return "the boot bends at the joint"
        return f"the boot bends {amount} mm {'ahead of' if mean > 0 else 'behind'} the joint"
    where = {"breadth": "across the ball", "girth": "round the ball", "heel": "at the heel"}[place]
    if amount == "0":
        return f"even {where}"
    return f"{amount} mm {'roomy' if mean > 0 else 'tight'} {where}"


def doubt(place: Place, verdict: PlaceVerdict) -> str:
    """Return what may be wrong at a place, the likelier side first: ``short by chance 12 %``."""
    little, much = PLACE_WORDS[place]
    sides = sorted([(verdict.too_little, little), (verdict.too_much, much)], reverse=True)
    said = [f"{words} by chance {percent(chance)}" for chance, words in sides if chance >= 0.03]
    return ", ".join(said) or "no doubt to speak of"


def deciding_place(choice: Choice) -> str:
    """Return the place that decides and what it most likely is: ``right toe, short``."""
    verdict = choice.by_place[choice.deciding_foot][choice.deciding_place]
    little, much = PLACE_WORDS[choice.deciding_place]
    side = little if verdict is None or verdict.too_little >= verdict.too_much else much
    return f"{choice.deciding_foot} {choice.deciding_place}, {side}"
