"""What the page of entering a foot shows: what is asked, its targets, and all readings beside it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from heelball.fit.answers import Reason
from heelball.foot.reading import ReadingOf
from heelball.scales.catalogue import size_scale
from heelball.show.labels import MEASURE_WORDS
from heelball.show.words import sentence
from heelball.work.draft_fields import (
    GAUGE_ORDER,
    SLOTS,
    TAPE_ORDER,
    Asked,
    Slot,
    quarter_marks,
    whole_marks,
)
from heelball.work.entering import SITTING, Entering
from heelball.work.entry_checks import own_ball_size
from heelball.work.typed_entry import as_typed

#: The gauge's scales, as they are chosen.
GAUGES: Final = (("gauge-men", "men"), ("gauge-women", "women"), ("gauge-child", "child"))
LOAD_WORDS: Final = (
    ("standing", "standing on both feet"),
    ("one", "all weight on one foot"),
    ("seated", "seated"),
)
SOCK_WORDS: Final = (("thin", "thin"), ("medium", "medium"), ("thick", "thick"), ("none", "no sock"))
METHOD_WORDS: Final = (
    ("", "as usual: gauge, tape or ruler"),
    ("tape", "tape"),
    ("caliper", "caliper"),
    ("ruler", "ruler"),
    ("sheet", "sheet"),
    ("scan", "scan"),
)
_ROWS: Final[tuple[ReadingOf, ...]] = ("length", "ball", "breadth")


def slot_words(slot: Slot) -> str:
    """Return what a reading is called: ``right heel-to-ball``."""
    return f"{slot.foot} {MEASURE_WORDS[slot.what]}"


def asked_words(what: Asked) -> str:
    """Return what is asked, in words."""
    if what.part == "line":
        return f"{slot_words(what.slot)}’s line"
    return slot_words(what.slot)


def pointed_at(at: str) -> Asked | None:
    """Return the reading, or its line, that an address points at; None where it points at none."""
    name, _, line = at.partition(".")
    slot = SLOTS.get(name)
    return Asked(slot, "line" if line else "value") if slot in GAUGE_ORDER and slot is not None else None


def entering_context(seen: Entering, *, at: str = "") -> dict[str, Any]:
    """Return what the template of the page needs beside the form.

    Parameters
    ----------
    seen
        What is being entered.
    at
        The reading that the fitter went back to; empty for what is next in the gauge's order.
    """
    what = pointed_at(at) or seen.asked
    quarter = quarter_marks(seen.fields)
    return {
        "seen": seen,
        "asked": what,
        "asked_words": asked_words(what) if what is not None else "",
        "targets": _targets(seen, what),
        "pressed": _pressed(seen, what),
        "own_ball": _own_ball(seen, what),
        "quarter": quarter,
        "quarter_words": asked_words(quarter[0]) if quarter is not None else "",
        "quarter_now": _now(seen.fields, quarter[0]) if quarter is not None else "",
        "rows": [(seen.line(Slot("right", name)), seen.line(Slot("left", name))) for name in _ROWS],
        "taped": [seen.line(slot) for slot in TAPE_ORDER if seen.line(slot).entry.value],
        "typed": {name: as_typed(seen.line(slot).entry) for name, slot in SLOTS.items()},
        "sitting": {name: seen.fields.get(name, usual) for name, usual in SITTING.items()},
        "unsaid": [line for line in seen.lines if line.lacks_kind],
        "slot_words": slot_words,
        "gauges": GAUGES,
        "loads": LOAD_WORDS,
        "socks": SOCK_WORDS,
        "methods": METHOD_WORDS,
        "child": sentence(Reason("child")) if _child(seen) else "",
    }


def _child(seen: Entering) -> bool:
    return seen.gauge is not None and seen.gauge.population == "child"


def asked_scale(seen: Entering, what: Asked) -> str:
    """Return the scale that what is asked is read on: a line's is its letter's, whatever was chosen since."""
    chosen = seen.gauge.name if seen.gauge is not None else ""
    return seen.line(what.slot).entry.scale or chosen if what.part == "line" else chosen


def _targets(seen: Entering, what: Asked | None) -> tuple[str, ...]:
    if what is None or seen.gauge is None:
        return ()
    scale = size_scale(asked_scale(seen, what))
    return whole_marks("length" if what.part == "line" else what.slot.what, scale)


def _now(fields: Mapping[str, str], what: Asked) -> str:
    name = what.slot.name if what.part == "value" else f"{what.slot.name}.line"
    return fields.get(name, "")


def _pressed(seen: Entering, what: Asked | None) -> str:
    """Return the whole size or letter that the draft holds of what is asked."""
    if what is None:
        return ""
    text = _now(seen.fields, what)
    return text.removesuffix(" 1/4").removesuffix(" 1/2").removesuffix(" 3/4")


def _own_ball(seen: Entering, what: Asked | None) -> str:
    """Return the ball size of the foot whose line is asked: it is offered first, never taken silently."""
    if what is None or what.part != "line" or seen.gauge is None:
        return ""
    entry = seen.line(Slot(what.slot.foot, "ball")).entry
    same = entry.scale == seen.line(what.slot).entry.scale
    return (own_ball_size(seen.fields, what.slot.foot) or "") if same else ""
