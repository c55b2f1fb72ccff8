"""What is looked at while readings are entered: typed marks, slips, and readings taken before."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from datetime import date as Date
from typing import Final, cast

from attrs import frozen

from heelball.errors import UnreadableText
from heelball.fit.answers import Reason
from heelball.fit.referral import queried, referrals
from heelball.fit.wearer import Wearer
from heelball.foot.evidence import is_child
from heelball.foot.reading import GaugeMark, Load, Reading, ReadingOf
from heelball.foot.slips import likely_slips
from heelball.foot.vector import Foot, Population
from heelball.records.values import KeptReading
from heelball.scales.catalogue import size_scale
from heelball.scales.letters import format_letter, parse_letter
from heelball.show.labels import MEASURE_WORDS
from heelball.show.mark_words import line_question
from heelball.show.slip_words import slip_question
from heelball.show.words import sentence
from heelball.units import MILLIMETRES, format_mm, parse_length, quoted, range_text
from heelball.work.draft_fields import SLOTS, Entry, Fields, Slot, entries
from heelball.work.keeping import standing
from heelball.work.reading_fields import METHODS, default_method, refusal

#: What a foot, from a small child's to the largest, can measure [mm]: wide, only to tell units apart.
_OF_A_FOOT: Final[dict[ReadingOf, tuple[int, int]]] = {
    "length": (80, 400),
    "ball": (55, 310),
    "breadth": (35, 170),
    "girth": (90, 420),
    "heel": (20, 120),
    "instep": (90, 450),
}

_GAUGE_WORDS: Final = {
    "gauge-men": "the men's foot gauge",
    "gauge-women": "the women's foot gauge",
    "gauge-child": "the child's foot gauge",
}

_WITH_UNIT: Final = re.compile(r"(?P<mark>.*?)\s*(?P<unit>mm|cm|in)", re.IGNORECASE | re.DOTALL)
# Nobody reads a foot to a thousandth: three digits behind a comma or a point may be thousands.
_TWO_WAYS: Final = re.compile(r"(?P<front>\d{1,3})[.,](?P<back>\d{3})", re.ASCII)


@frozen
class Typed:
    """A typed mark as it will stand, its scale or unit, and in words how it was read."""

    value: str
    scale: str
    said: str


def read_typed(slot: Slot, text: str, scale: str) -> Typed:
    """Return a typed mark as it will stand, with what it was taken for.

    Parameters
    ----------
    slot
        Which reading it is.
    text
        What was typed: ``10 1/2``, ``24,8 cm``, ``C 3/4``; a unit behind it goes before `scale`.
    scale
        The gauge's scale, or ``mm``, ``cm`` or ``in``.

    Raises
    ------
    UnreadableText
        Where it cannot stand there, or could be read in two ways: that is asked, never guessed.
    """
    plain = " ".join(text.split())
    unit = _WITH_UNIT.fullmatch(plain)
    if unit is not None:
        plain, scale = unit["mark"], unit["unit"].lower()
    both = _TWO_WAYS.fullmatch(plain)
    if both is not None:
        decimals = f"{both['front']}.{both['back'].rstrip('0') or '0'}"
        thousands = both["front"] + both["back"]
        raise UnreadableText(f"{quoted(plain)} could be decimals or thousands", f"{decimals} or {thousands}")
    refused = refusal(slot.what, scale, plain)
    if refused is not None:
        raise _in_words(scale, *refused[1:])
    if scale in MILLIMETRES:
        return _length(slot, plain, scale)
    value = _as_stamped(slot, plain, scale)
    return Typed(value, scale, "" if value == plain else f"{quoted(plain)} is read as {value}")


def _length(slot: Slot, plain: str, unit: str) -> Typed:
    value = plain.replace(",", ".")
    length = float(parse_length(value, unit))
    low, high = _OF_A_FOOT[slot.what]
    if not low <= length <= high:
        other = _other_unit(plain, unit, low, high)
        found = f"{value} {unit}, which no foot has in {MEASURE_WORDS[slot.what]}"
        raise UnreadableText(found, f"{range_text(low, high, unit)}{other}")
    same = unit == "mm" and value == plain
    return Typed(
        value, unit, "" if same else f"{quoted(plain)} is read as {value} {unit}, {format_mm(length)} mm"
    )


def _other_unit(plain: str, unit: str, low: int, high: int) -> str:
    """Return a question about another unit in which a length would be a foot's."""
    meant = [
        f"{plain} {other}"
        for other in MILLIMETRES
        if other != unit and low <= float(parse_length(plain, other)) <= high
    ]
    return f" (was {' or '.join(meant)} meant?)" if meant else ""


def _as_stamped(slot: Slot, plain: str, scale: str) -> str:
    """Return a size or a letter in the one way it is written, as finely as it was typed."""
    if slot.what == "breadth":
        position, _ = parse_letter(plain)
        return format_letter(position)
    found = size_scale(scale)
    return found.format(found.parse(plain, quarters=True))


def read_line(text: str, scale: str) -> str:
    """Return the size line of a breadth letter as it is stamped.

    Raises
    ------
    UnreadableText
        Where it is not a size of the gauge's scale.
    """
    found = size_scale(scale)
    try:
        return found.format(found.parse(" ".join(text.split()), quarters=True))
    except UnreadableText as refused:
        raise _in_words(scale, refused.found, refused.wanted) from None


def _in_words(scale: str, found: str, wanted: str) -> UnreadableText:
    """Return a refusal that calls the gauge as the page does, not by its name in files."""
    words = _GAUGE_WORDS.get(scale, scale)
    return UnreadableText(found.replace(scale, words), wanted.replace(scale, words))


def taken_before(kept: Iterable[KeptReading], slot: Slot) -> list[KeptReading]:
    """Return the readings that stand of the same foot and measure, the newest first."""
    return [one for one in reversed(standing(kept)) if (one.foot, one.what) == (slot.foot, slot.what)]


def draft_reading(one: Entry, fields: Fields, *, fitter: str, day: Date | None) -> Reading:
    """Return a reading of the draft as the core reads it."""
    method = fields.get("method", "")
    usual = default_method(one.slot.what, one.scale)
    return Reading(
        one.slot.foot,
        one.slot.what,
        one.scale,
        one.value,
        one.line or None,
        cast("Load", fields.get("load") or "standing"),
        method if method in METHODS and usual != "gauge" else usual,
        fitter or None,
        day,
        place=one.slot.name,
    )


def questions_beside(
    fields: Fields,
    kept: Sequence[tuple[KeptReading, Reading]],
    marks: Sequence[GaugeMark],
    population: Population,
    *,
    fitter: str,
) -> dict[str, str]:
    """Return one question for each drafted reading that is likely a slip, or that few feet have.

    One slip has many explanations: the likeliest is asked about, and others only if they would
    still be likely were that one mended.

    Parameters
    ----------
    fields
        The draft.
    kept
        The readings that stand, as kept and as the core reads them.
    marks, population
        The fitter's gauge, and the wearer's population.
    fitter
        Who measures now.
    """
    corrected = {one.of for one in entries(fields) if one.kind == "correction"}
    readings = [reading for row, reading in kept if row.id not in corrected]
    first = len(readings)
    sized = {reading.foot for reading in readings if reading.what in ("length", "ball")}
    drafted = [one for one in entries(fields) if one.slot.what != "breadth"]
    sized |= {one.slot.foot for one in drafted if one.slot.what in ("length", "ball")}
    drafted += [one for one in entries(fields) if one.slot.what == "breadth" and _stands(one, sized)]
    readings += [draft_reading(one, fields, fitter=fitter, day=None) for one in drafted]
    if not drafted or is_child(readings):
        return {}
    found: dict[str, str] = {}
    mended = list(readings)
    while slips := [one for one in likely_slips(mended, population, marks) if one.readings[-1] >= first]:
        names = [drafted[index - first].slot.name for index in slips[0].readings if index >= first]
        if any(name in found for name in names):
            break
        found |= dict.fromkeys(names, "") | {names[0]: slip_question(slips[0], mended)}
        for index, meant in zip(slips[0].readings, slips[0].meant, strict=True):
            mended[index] = meant
    for reason in _rare(readings, population):
        name = _touched(reason, [one.slot for one in drafted])
        if name is not None and name not in found:
            found[name] = sentence(reason)
    for letter, ball in _far_lines(readings):
        name = next((one.place for one in (letter, ball) if one.place in SLOTS), None)
        if name is not None and name not in found:
            found[name] = line_question(letter, ball)
    return {name: said for name, said in found.items() if said}


def _far_lines(readings: Sequence[Reading]) -> Iterator[tuple[Reading, Reading]]:
    """Yield letters whose line is a size or more from the ball size that was read last of their foot."""
    balls = {(one.foot, one.scale): one for one in readings if one.what == "ball"}
    for letter in readings:
        ball = balls.get((letter.foot, letter.scale))
        if letter.what == "breadth" and letter.line is not None and ball is not None:
            scale = size_scale(letter.scale)
            line, size = (scale.parse(text, quarters=True) for text in (letter.line, ball.value))
            if abs(line - size) >= 1:
                yield letter, ball


def _rare(readings: Sequence[Reading], population: Population) -> list[Reason]:
    """Return what was read and few feet have: of one foot, and of left against right."""
    wearer = Wearer("", population, tuple(readings))
    return [*referrals(wearer), *queried(readings, population)]


def _touched(reason: Reason, drafted: Sequence[Slot]) -> str | None:
    """Return the drafted reading that something rare is asked about: the one that was read last."""
    foot, what = reason.facts.get("foot"), reason.facts.get("what", "ball")
    names = [what, reason.facts.get("other", "length")]
    mine = [slot.name for slot in drafted if slot.what in names and foot in (None, slot.foot)]
    return mine[-1] if mine else None


def _stands(one: Entry, sized: set[Foot]) -> bool:
    """Return whether a breadth can be judged: in units, or a letter with a line or a size to stand at."""
    return not one.lacks_line or one.slot.foot in sized


def own_ball_size(fields: Fields, foot: Foot) -> str | None:
    """Return the ball size this draft holds of a foot on the gauge; None where it holds none."""
    name = f"{foot}-ball"
    size, scale = fields.get(name), fields.get(f"{name}.scale")
    return size if size and scale and scale not in MILLIMETRES else None
