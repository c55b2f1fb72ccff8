"""The record of one wearer's choice: ``heelball/choice/1``."""

from __future__ import annotations

from typing import Any, Final

from heelball.fit.answers import Answer, ByPlace, Choice, PlaceVerdict
from heelball.fit.wearer import PLACES, Wearer
from heelball.foot.vector import FEET
from heelball.show.choice_words import tips_when
from heelball.show.words import sentence, sentences
from heelball.work.figures_json import chance, label_record, measures_record, mm, slips_record

SCHEMA: Final = "heelball/choice/1"


def choice_record(answer: Answer, wearer: Wearer, *, all_labels: bool = False) -> dict[str, Any]:
    """Return the contracted record of one wearer's answer.

    Parameters
    ----------
    answer
        What the core found.
    wearer
        Whose answer it is; its name, where a file held one, is not in it.
    all_labels
        Whether each choice lists every label with its loss.
    """
    return {
        "schema": SCHEMA,
        "wearer": answer.code,
        "foot": {foot: measures_record(answer.feet[foot]) for foot in FEET},
        "slips": slips_record(answer.slips, wearer.readings),
        "referral": [{"reason": reason.kind, "text": sentence(reason)} for reason in answer.referral],
        "choices": [_choice(choice, all_labels) for choice in answer.choices],
        "remarks": sentences(answer.remarks),
        "made_pair": answer.made_pair and {foot: measures_record(answer.made_pair[foot]) for foot in FEET},
    }


def _choice(choice: Choice, all_labels: bool) -> dict[str, Any]:
    last, runner_up, following, two = choice.last, choice.runner_up, choice.next_reading, choice.two_sizes
    order, least_wrong = choice.order, choice.least_wrong
    rule = choice.trade_rule
    record: dict[str, Any] = {
        "last": last.code,
        "maker": last.maker,
        "order": order and label_record(order, last),
        "least_wrong": label_record(least_wrong, last) if order is None and least_wrong else None,
        "chance": chance(choice.chance),
        "loss": chance(choice.loss),
        "by_place": _by_place(choice.by_place),
        "by_state": [
            {
                "name": state.name,
                "share": chance(state.share),
                "chance": chance(state.chance),
                "by_place": _by_place(state.by_place),
            }
            for state in choice.by_state
        ],
        "trade_rule": {
            "order": rule.order and label_record(rule.order, last),
            "steps": [{"text": text} for text in sentences(rule.steps, last)],
            "also": [label_record(label, last) for label in rule.also],
        },
        "why": sentences(choice.why, last),
        "runner_up": runner_up
        and {
            **label_record(runner_up.label, last),
            "chance": chance(runner_up.chance),
            "loss": chance(runner_up.loss),
            "tips_when": tips_when(runner_up),
        },
        "deciding": {"foot": choice.deciding_foot, "place": choice.deciding_place},
        "next_reading": following
        and {"foot": following.foot, "what": following.what, "gain": chance(following.gain)},
        "two_sizes": two
        and {
            "left": label_record(two.left, last),
            "right": label_record(two.right, last),
            "loss": chance(two.loss),
        },
        "cautions": sentences(choice.cautions, last),
    }
    if all_labels:
        record["labels"] = [
            {**label_record(ranked.label, last), "loss": chance(ranked.loss)} for ranked in choice.labels
        ]
    return record


def _by_place(by_place: ByPlace) -> dict[str, dict[str, dict[str, float | None] | None]]:
    return {foot: {place: _verdict(by_place[foot][place]) for place in PLACES} for foot in FEET}


def _verdict(verdict: PlaceVerdict | None) -> dict[str, float | None] | None:
    if verdict is None:
        return None
    return {
        "mean_mm": mm(verdict.mean),
        "sd_mm": mm(verdict.sd),
        "too_little": chance(verdict.too_little),
        "right": chance(verdict.right),
        "too_much": chance(verdict.too_much),
    }
