"""The label of a pair, read on its last's scales."""

from __future__ import annotations

from heelball.errors import InputError, UnreadableText
from heelball.last.values import Label, Last
from heelball.records.values import KeptLast
from heelball.scales.catalogue import size_scale
from heelball.show.labels import label_text
from heelball.units import quoted
from heelball.work.keeping import core_last
from heelball.work.offer_fields import width_position


def offered_label(kept: KeptLast, size: str, width: str | None) -> Label:
    """Return a label that a last is offered in.

    Raises
    ------
    InputError
        Where it is none, or the last is no longer had; the place is ``label``.
    """
    last = core_last(kept)
    if kept.retired:
        raise InputError.at("label", f"{last.code} is no longer had", "a last that is")
    label = readable_label(last, size, width)
    if label not in last.labels:
        raise InputError.at("label", label_text(label, last), f"a label that {last.code} is offered in")
    return label


def readable_label(last: Last, size: str, width: str | None) -> Label:
    """Return a label of a last's scales, whether it is offered in it or not.

    Raises
    ------
    InputError
        Where size or width cannot be read; the place is ``label``.
    """
    scale = size_scale(last.label_scale)
    if not size.strip():
        raise InputError.at("label", "no size", "the size on the label")
    try:
        found = scale.parse(size)
        if width is not None:
            width_position(width, found, scale, last.width_scale)
    except UnreadableText as refused:
        raise InputError([refused.at("label")]) from None
    if width is None and last.reference_width is None and all(label.width for label in last.labels):
        raise InputError.at("label", f"{quoted(size)} without a width", "the width on the label too")
    return Label(found, width)
