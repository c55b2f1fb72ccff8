"""What is known of how a last runs, from its fields: a maker's advice, and pairs that were measured."""

from __future__ import annotations

from fractions import Fraction
from typing import Any, Final, Literal

from heelball.errors import UnreadableText
from heelball.last.values import Advice, Label, MeasuredPair
from heelball.scales.catalogue import BARLEYCORN, GAUGE_OF, size_scale
from heelball.scales.size_scale import SizeScale
from heelball.units import format_fraction
from heelball.work.fields import Fields, nearest, parse_signed, shown, written
from heelball.work.offer_fields import label_scales

Basis = Literal["ball", "length", "label"]
_BASES: Final[tuple[Basis, ...]] = ("ball", "length", "label")
_OF_A_GAUGE: Final[tuple[Basis, ...]] = ("ball", "length")
_ORIGINS: Final = ("pair", "drawing")
_TABLE_WANTED: Final = 'pairs of a gauge reading and a label, such as [["10 1/2", "10"]]'

#: No last runs further from its labels than this, in sizes; a larger order is a slip.
_MOST_SIZES: Final = 5

#: What can be measured of any pair [mm].
MEASURES: Final = {"inside_length": (100, 500), "flex_line": (50, 400), "ball_girth": (100, 500)}


def read_advice(fields: Fields, scale: SizeScale | None, labels: tuple[Label, ...]) -> Advice | None:
    """Return one advice, or None with its problems added.

    Parameters
    ----------
    fields
        A table ``[advice]``.
    scale, labels
        The label scale and the offer, as far as they could be read.
    """
    before = len(fields.problems)
    rows = fields.take("table")
    basis = fields.word("from", _BASES, default="ball") if rows is None else fields.word("from", _OF_A_GAUGE)
    order = fields.parsed("order", parse_signed, wanted="sizes from the reading to the label, such as -0.5")
    named = fields.text("scale", wanted="the size scale the advice speaks in")
    fields.done()
    if rows is None and not fields.has("order"):
        fields.wrong("order", "neither order nor table", "one of them")
    elif rows is not None and fields.has("order"):
        fields.wrong("order", "both order and table", "one of them")
    if basis == "label" and named is None and not fields.has("scale"):
        fields.wrong("scale", "nothing", "the size scale the advice speaks in")
    elif basis == "label" and named is not None and named not in label_scales():
        fields.wrong("scale", shown(named), nearest(named, label_scales()))
    elif basis in ("ball", "length") and named is not None:
        fields.wrong("scale", shown(named), 'a scale only with from = "label"')
    table = _read_table(fields, rows, scale) if rows is not None else ()
    if basis is None or len(fields.problems) > before:
        return None
    if order is not None and (found := _too_far(order, named, scale, labels)):
        fields.wrong("order", found, f"at most {_MOST_SIZES} sizes either way")
        return None
    return Advice(basis, order, table, named)


def _too_far(
    order: Fraction, named: str | None, scale: SizeScale | None, labels: tuple[Label, ...]
) -> str | None:
    """Return what is said of an order that puts a last further from its labels than any runs."""
    if named is None:
        return format_fraction(order) if abs(order) > _MOST_SIZES else None
    if scale is None or not labels:
        return None
    # MODEL 3: by number, at one label; the middle of the offer stands for all.
    number = labels[len(labels) // 2].size
    sizes = (size_scale(named).foot_length(number - order) - scale.foot_length(number)) / BARLEYCORN
    if abs(sizes) <= _MOST_SIZES:
        return None
    foot = f"the foot of {named} {format_fraction(number - order)}"
    return f"{format_fraction(order)}, by which label {scale.format(number)} is for {foot}"


def _read_table(fields: Fields, rows: Any, scale: SizeScale | None) -> tuple[tuple[Fraction, Fraction], ...]:
    """Return pairs (gauge reading, label), rising; readings are on the gauge of the label's population."""
    if not isinstance(rows, list) or not rows:
        fields.wrong("table", shown(rows) if rows else "an empty table", _TABLE_WANTED)
        return ()
    if scale is None:
        return ()
    gauge = size_scale(GAUGE_OF[scale.population or "men"])
    found: dict[Fraction, Fraction] = {}
    for number, row in enumerate(rows, start=1):
        texts = [written(cell) for cell in row] if isinstance(row, list) else []
        if len(texts) != 2 or not texts[0] or not texts[1]:
            fields.wrong(f"table, row {number}", shown(row), _TABLE_WANTED)
            continue
        try:
            reading, label = gauge.parse(texts[0], quarters=True), scale.parse(texts[1])
        except UnreadableText as refused:
            fields.wrong(f"table, row {number}", refused.found, refused.wanted)
            continue
        if reading in found:
            fields.wrong(f"table, row {number}", f"reading {shown(row[0])} twice", "each gauge reading once")
        found[reading] = label
    return tuple(sorted(found.items()))


def read_measured(fields: Fields, scale: SizeScale | None, labels: tuple[Label, ...]) -> MeasuredPair | None:
    """Return what was measured on one pair, or None with its problems added."""
    before = len(fields.problems)
    text = fields.text("size", wanted="the size on the label", required=True)
    width = fields.text("width", wanted="the width on the label")
    found = {
        name: fields.number(f"{name}_mm", low=low, high=high, unit="mm")
        for name, (low, high) in MEASURES.items()
    }
    sd = fields.number("sd_mm", low=0, high=50, unit="mm", above=True)
    origin = fields.word("from", _ORIGINS, default="pair")
    fields.done()
    if not any(fields.has(f"{name}_mm") for name in MEASURES):
        fields.wrong("flex_line_mm", "nothing measured", "flex_line_mm, inside_length_mm or ball_girth_mm")
    size = None
    if scale is not None and text is not None:
        size = fields.parsed("size", scale.parse, wanted="the size on the label")
        if size is not None and labels and Label(size, width) not in labels:
            fields.wrong("size", f"{text} {width or ''}".strip(), "a label that the last is offered in")
    if size is None or len(fields.problems) > before:
        return None
    return MeasuredPair(size, width, **found, sd_mm=sd, from_drawing=origin == "drawing")
