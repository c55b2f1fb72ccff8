"""Readings that are typed instead of tapped: all of a form at once, each mistake beside its field."""

from __future__ import annotations

from collections.abc import Mapping

from attrs import frozen

from heelball.errors import UnreadableText
from heelball.scales.catalogue import size_scale
from heelball.units import MILLIMETRES
from heelball.work.draft_fields import SLOTS, Entry, Fields, entry
from heelball.work.entry_checks import read_line, read_typed


@frozen
class TypedEntry:
    """What a typed form comes to: what changes in the draft, how marks were read, what is wrong."""

    changes: dict[str, str | None]
    said: tuple[str, ...]
    problems: dict[str, tuple[str, str]]


def as_typed(one: Entry) -> str:
    """Return a reading as it would be typed: its mark, and behind it the unit where it has one.

    Examples
    --------
    >>> as_typed(Entry(SLOTS["right-girth"], "24.8", "cm"))
    '24.8 cm'
    """
    return f"{one.value} {one.scale}" if one.scale in MILLIMETRES else one.value


def typed_changes(fields: Fields, typed: Mapping[str, str], scale: str, tape: str) -> TypedEntry:
    """Return what typed marks and lines change in a draft.

    Parameters
    ----------
    fields
        The draft.
    typed
        What was typed, by the name of the reading, and of its line for a letter. A mark that was
        emptied is taken out; one that was left as it stands in the draft changes nothing.
    scale, tape
        What a mark without a unit is read on: of lengths, balls and breadths, and of what a tape reads.
    """
    changes: dict[str, str | None] = {}
    said: list[str] = []
    problems: dict[str, tuple[str, str]] = {}
    for name, slot in SLOTS.items():
        one = entry(fields, slot)
        text = typed.get(name, as_typed(one))
        on = one.scale if text == one.value else tape if slot.what in ("girth", "heel", "instep") else scale
        if not text:
            if one.value:
                changes |= {key: None for key in fields if key == name or key.startswith(f"{name}.")}
            continue
        if text != as_typed(one):
            try:
                read = read_typed(slot, text, on)
            except UnreadableText as refused:
                problems[name] = (refused.found, refused.wanted)
                continue
            changes |= {name: read.value, f"{name}.scale": read.scale, f"{name}.skipped": None}
            said += [read.said] if read.said else []
            on = read.scale
        if slot.what == "breadth":
            _line(f"{name}.line", typed, fields, on, changes, problems)
    return TypedEntry({**changes, "open": None} if changes else {}, tuple(said), problems)


def _line(
    name: str,
    typed: Mapping[str, str],
    fields: Fields,
    scale: str,
    changes: dict[str, str | None],
    problems: dict[str, tuple[str, str]],
) -> None:
    """Read the line typed beside a breadth."""
    text = typed.get(name, fields.get(name, ""))
    if not text:
        if name in fields:
            changes[name] = None
        return
    if scale in MILLIMETRES or not size_scale(scale).is_gauge:
        problems[name] = (repr(text), "a line only beside a breadth letter of the gauge")
        return
    try:
        changes[name] = read_line(text, scale)
    except UnreadableText as refused:
        problems[name] = (refused.found, refused.wanted)
