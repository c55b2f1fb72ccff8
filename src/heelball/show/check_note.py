"""A pair that arrived as a bench note: the step, why, and what the pair teaches of its last."""

from __future__ import annotations

from collections.abc import Sequence

from heelball.fit.answers import Reason
from heelball.last.values import Label, Last
from heelball.learn.arrived import Arrived
from heelball.learn.deciding import Decided
from heelball.show.check_words import BREAK_IN, step_text, teaches_texts, why_texts
from heelball.show.page import Line, heading, items
from heelball.show.words import sentence, sentences


def check_note(
    wearer: str,
    last: Last,
    label: Label,
    decided: Decided,
    found: Arrived,
    *,
    days_left: int | None,
    referral: Sequence[Reason],
    cautions: Sequence[Reason],
) -> list[Line]:
    """Return the note of one pair, at most 80 columns wide.

    An urgent sign opens the note: no step stands above it.
    """
    lines = heading(wearer)
    urgent = [reason for reason in referral if reason.kind == "urgent"]
    for reason in urgent:
        lines += heading(sentence(reason))
    before = sentences(reason for reason in referral if reason not in urgent)
    if before:
        lines += [Line(""), *heading("Before anything else"), *items(before)]
    lines.append(Line(""))
    lines += heading(f"{last.code} by {last.maker}: {step_text(decided, last, label)}")
    lines += items(why_texts(decided, found, last, days_left))
    taught = teaches_texts(found)
    lines += [Line(""), *heading(f"What this pair teaches of {last.code}")]
    lines += items(taught or ["nothing yet: measure its flex line, or ask place by place how it fits."])
    lines += [Line(""), *heading("Mind"), *items([BREAK_IN, *sentences(cautions, last)])]
    return lines
