"""What is typed of a pair that arrived: its label, its measures, and place by place how it fits."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from typing import Final

from heelball.errors import Problem, UnreadableText
from heelball.fit.wearer import PLACES, VERDICTS, Place, Verdict
from heelball.foot.vector import FEET, Foot
from heelball.last.values import Label, Last, MeasuredPair
from heelball.scales.catalogue import size_scale
from heelball.show.labels import offer_text
from heelball.units import format_mm, parse_length
from heelball.work.advice_fields import MEASURES
from heelball.work.fields import nearest, shown

#: Between the places of one foot, and between a place and its word.
_NEXT: Final = ","
_IS: Final = "="


def find_last(code: str, lasts: Mapping[str, Last], problems: list[Problem]) -> Last | None:
    """Return the last of a code; None, with a problem, where there is none."""
    if code not in lasts:
        close = get_close_matches(code, list(lasts), n=1, cutoff=0.5)
        wanted = close[0] if close else "a last among the last files"
        problems.append(Problem("--last", f"an unknown last {shown(code)}", wanted))
        return None
    return lasts[code]


def find_label(size: str, width: str | None, last: Last, problems: list[Problem]) -> Label | None:
    """Return a label that a last is offered in; None, with a problem, where it is not."""
    try:
        number = size_scale(last.label_scale).parse(size)
    except UnreadableText as refused:
        problems.append(refused.at("--size"))
        return None
    label = Label(number, width)
    if label not in last.labels:
        stamped = f"{size} {width or ''}".strip()
        found = f"no label {shown(stamped)} of {last.code}"
        problems.append(Problem("--size, --width", found, offer_text(last)))
        return None
    return label


def read_boot(
    label: Label | None, flex_line: str | None, inside_length: str | None, problems: list[Problem]
) -> MeasuredPair | None:
    """Return what was measured of a boot; None where nothing was, or something is wrong."""
    line = _length("flex_line", flex_line, problems)
    inside = _length("inside_length", inside_length, problems)
    if line is not None and inside is not None and line >= inside:
        found = f"{format_mm(line)} mm in a boot {format_mm(inside)} mm long"
        problems.append(Problem("--flex-line", found, "a line inside the boot"))
    if label is None or (line is None and inside is None):
        return None
    return MeasuredPair(label.size, label.width, inside_length=inside, flex_line=line)


def _length(kind: str, text: str | None, problems: list[Problem]) -> float | None:
    """Return a length in mm, or with its own unit behind it [mm]."""
    if text is None:
        return None
    place = f"--{kind.replace('_', '-')}"
    unit = next((one for one in ("mm", "cm", "in") if text.strip().endswith(one)), "mm")
    try:
        length = float(parse_length(text, unit))
    except UnreadableText as refused:
        problems.append(refused.at(place))
        return None
    low, high = MEASURES[kind]
    if not low <= length <= high:
        problems.append(
            Problem(
                place, shown(text), f"{low:g} to {high:g} mm from the inside heel, or inches as in 8 1/8 in"
            )
        )
        return None
    return length


def read_verdicts(
    written: Mapping[Foot, str | None], problems: list[Problem]
) -> dict[tuple[Foot, Place], Verdict]:
    """Return what was said of a pair, from ``ball=right,toe=little`` for each foot."""
    found: dict[tuple[Foot, Place], Verdict] = {}
    for foot in FEET:
        text = written.get(foot)
        if text is not None:
            found |= _of_foot(foot, text, problems)
    return found


def _of_foot(foot: Foot, text: str, problems: list[Problem]) -> dict[tuple[Foot, Place], Verdict]:
    found: dict[tuple[Foot, Place], Verdict] = {}
    told: set[str] = set()
    at = f"--{foot}"
    for part in text.split(_NEXT):
        name, between, word = (piece.strip() for piece in part.partition(_IS))
        place = next((one for one in PLACES if one == name), None)
        verdict = next((one for one in VERDICTS if one == word), None)
        if not between:
            problems.append(
                Problem(at, shown(part.strip()), "places and words such as ball=right,toe=little")
            )
        elif place is None:
            problems.append(Problem(at, f"an unknown place {shown(name)}", nearest(name, PLACES)))
        elif name in told:
            problems.append(Problem(at, f"{name} twice", "each place once"))
        elif verdict is None:
            problems.append(Problem(f"{at}, {name}", shown(word), nearest(word, VERDICTS)))
        else:
            found[foot, place] = verdict
        told.add(name)
    return found
