"""The record of a pair that was checked: ``heelball/check/1``."""

from __future__ import annotations

from typing import Any, Final

from heelball.fit.wearer import PLACES
from heelball.gaussian.normal import Gaussian
from heelball.learn.deciding import Option
from heelball.show.check_words import BREAK_IN, why_texts
from heelball.show.words import sentence, sentences
from heelball.work.figures_json import chance, label_record, mm
from heelball.work.pair_checked import Checked

SCHEMA: Final = "heelball/check/1"


def check_record(checked: Checked) -> dict[str, Any]:
    """Return the contracted record of one pair that arrived."""
    decided, found, last = checked.decided, checked.found, checked.last
    own, adjusted, other = decided.own, decided.adjusted, decided.other
    return {
        "schema": SCHEMA,
        "wearer": checked.wearer,
        "last": last.code,
        "maker": last.maker,
        **label_record(checked.label, last),
        "referral": [{"reason": reason.kind, "text": sentence(reason)} for reason in checked.referral],
        "say": decided.say,
        "to": decided.to and label_record(decided.to, last),
        "wear": _worn(adjusted) if decided.say == "adjust" else None,
        "chance": chance(decided.chance),
        "why": why_texts(decided, found, last, checked.days_left),
        "as_it_is": _costs(own),
        "adjusted": {**_worn(adjusted), **_costs(adjusted)},
        "other": other and {**label_record(other.label, last), **_costs(other)},
        "can_go_back": decided.can_go_back,
        "measured": [
            {
                "what": one.kind,
                "found_mm": mm(one.found),
                "expected_mm": mm(one.expected),
                "sd_mm": mm(one.sd),
            }
            for one in found.measured
        ],
        "run": {
            place: {"before": _at(found.run_before, i), "after": _at(found.run_after, i)}
            for i, place in enumerate(PLACES)
        },
        "cautions": [BREAK_IN, *sentences(checked.cautions, last)],
    }


def _worn(option: Option) -> dict[str, float | None]:
    return {"sock_mm": mm(option.sock), "insole_mm": mm(option.insole or None)}


def _costs(option: Option) -> dict[str, float | bool | None]:
    return {"loss": chance(option.loss), "chance": chance(option.chance), "serves": option.serves}


def _at(run: Gaussian, place: int) -> dict[str, float | None]:
    return {"mean_mm": mm(float(run.mean[place])), "sd_mm": mm(float(run.cov[place, place]) ** 0.5)}
