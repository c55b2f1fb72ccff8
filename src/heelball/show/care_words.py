"""Words for signs and cautions: what was seen, who to see, never a diagnosis."""

from __future__ import annotations

from typing import Final

from heelball.show.labels import MEASURE_WORDS, sizes_text
from heelball.show.run_words import contradiction_text
from heelball.show.trade_words import Facts, Words
from heelball.units import format_mm

_SIGNS: Final = {
    "numbness": "numbness or tingling",
    "wound": "an open or past wound",
    "circulation": "poor circulation",
    "deformity": "a foot out of shape",
    "orthosis": "an orthosis",
    "changed": "a foot that has changed",
    "pain": "pain",
}

#: Said under every note.
STANDING: Final = "Not medical advice. Where right ends and too little or too much begins is judgement."


_URGENT_SIGNS: Final = (
    "a wound with fever, black or cold skin, a hot red swollen foot, sudden loss of feeling, or an injury"
)
_WITHIN_A_DAY: Final = "A fresh wound, redness or swelling should be seen within one working day."

#: When anyone should be seen by someone else, told on paper that is handed over.
WHEN_TO_BE_SEEN: Final = (
    f"Urgent help the same day: {_URGENT_SIGNS}.",
    (
        "A doctor or podiatrist, before going on with the boots: numbness or tingling, a wound or blister"
        " that does not heal, a change of colour or of shape, or pain for over two weeks."
    ),
    f"With diabetes, look at both feet every day. {_WITHIN_A_DAY}",
)


def _diabetes(facts: Facts) -> str:
    signs = [_SIGNS[sign] for sign in facts["signs"]]
    told = signs[0] if len(signs) == 1 else f"{', '.join(signs[:-1])} and {signs[-1]}"
    return (
        f"Diabetes is told, with {told}: see a podiatrist or the diabetes foot clinic before ordering."
        f" {_WITHIN_A_DAY}"
    )


def _pain(facts: Facts) -> str:
    return f"Foot pain for {facts['weeks']:g} weeks is told: see a doctor or podiatrist before ordering."


def _length_over_ball(facts: Facts) -> str:
    return (
        f"The {facts['foot']} foot reads {sizes_text(facts['sizes'])} longer than its ball, which few feet"
        " do: measure both again; if it stays, see someone who fits boots to unusual feet."
    )


def _feet_apart(facts: Facts) -> str:
    return (
        f"The feet read {format_mm(facts['apart'])} mm apart in {MEASURE_WORDS[facts['what']]}, over"
        f" {format_mm(facts['limit'])} mm, which few pairs of feet are: measure both again; if it stays, see"
        " someone who fits odd pairs."
    )


def _rare_ratio(facts: Facts) -> str:
    return (
        f"The {facts['foot']} {MEASURE_WORDS[facts['what']]} is {facts['ratio']:.2f} of the"
        f" {MEASURE_WORDS[facts['other']]}; nearly all feet lie from {facts['low']:.2f} to"
        f" {facts['high']:.2f}. Read both again."
    )


def _no_advice(facts: Facts) -> str:
    none = f"{facts['maker']} gives no advice for {facts['last']}"
    if facts["measured"]:
        return f"{none}: the measured pair speaks for it. Ask the maker too."
    return f"{none}: ask how it runs before ordering."


def _old_readings(facts: Facts) -> str:
    day = facts["date"].isoformat()
    return f"The newest reading is of {day}, over {facts['months']} months old: measure again."


def _pairs_weighed(facts: Facts) -> str:
    pairs = facts["pairs"]
    if facts["alone"]:
        told, verb = ("a pair", "fits") if pairs == 1 else (f"{pairs} pairs", "fit")
        return f"Nothing was read: the feet are known from how {told} worn {verb}; a reading would tell more."
    told = "The pair worn is" if pairs == 1 else f"The {pairs} pairs worn are"
    return f"{told} weighed beside the readings: how they fit says something of feet and taste."


def _pairs_not_weighed(facts: Facts) -> str:
    pairs = facts["pairs"]
    lasts = ", ".join(facts["lasts"])
    told = "One pair told of is" if pairs == 1 else f"{pairs} pairs told of are"
    theirs = "its last or label is" if pairs == 1 else "their lasts or labels are"
    return f"{told} not weighed ({lasts}): {theirs} not at hand, or nothing is told of how it fits."


def _high_heel(facts: Facts) -> str:
    return (
        f"Heel of {format_mm(facts['heel'])} mm: the answer is for a flatter boot, and the foot slides"
        " forward in this one."
    )


#: Words for every sign that calls for someone else, and every caution.
CARE_WORDS: Final[dict[str, Words]] = {
    "urgent": (f"An urgent sign is told: {_URGENT_SIGNS}. Get urgent medical help today, before any boot."),
    "diabetes-with-signs": _diabetes,
    "numbness": "Numbness is told: see a doctor or podiatrist before ordering.",
    "wound": "A wound is told: have a doctor or nurse see it before ordering.",
    "circulation": "Poor circulation is told: see a doctor or podiatrist before ordering.",
    "deformity": "A foot out of shape is told: see a podiatrist or a maker of made shoes before ordering.",
    "pain": _pain,
    "length-over-ball": _length_over_ball,
    "feet-apart": _feet_apart,
    "child": (
        "Read on a child's scale: no boot is chosen, for no open survey says how children's feet are"
        " made. See someone who fits children, and measure again before each pair."
    ),
    "rare-ratio": _rare_ratio,
    "ask-about-signs": (
        "Diabetes is told: ask about numbness, wounds, circulation and changes of shape before ordering."
    ),
    "orthosis": "Own orthosis: the answer is for a flat insole. Try the boot on with the orthosis in it.",
    "changed": "Pregnancy, growth or injury since: a foot may have changed. Measure again before ordering.",
    "old-readings": _old_readings,
    "pairs-weighed": _pairs_weighed,
    "pairs-not-weighed": _pairs_not_weighed,
    "no-advice": _no_advice,
    "no-exchanges": "{maker} takes no exchanges: settle that before ordering.",
    "hard-cap": "Hard cap: it does not give. The toes must clear it, standing and walking downhill.",
    "high-heel": _high_heel,
    "pull-on": ("Pull-on: the answer is for a laced boot; without laces the instep must hold it. Try it on."),
    "contradiction": contradiction_text,
    "leather": (
        "Snug across or round the ball: leather gives there over weeks, never in length or where it bends."
    ),
    "standing": STANDING,
}
