"""The offer of a last from its fields: which sizes in which widths."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import cache, lru_cache
from typing import Final

from heelball.errors import UnreadableText
from heelball.last.built_for import Sex
from heelball.last.offer import parse_sizes
from heelball.last.values import Label, WidthScaleName
from heelball.package_data import mean_foot
from heelball.scales.catalogue import size_scale, size_scales
from heelball.scales.gauge_breadth import AVERAGE_LETTER
from heelball.scales.last_width import width_letters
from heelball.scales.size_scale import SizeScale
from heelball.work.fields import Fields, field_name, shown, written

_SIZES_WANTED: Final = 'the offer, such as "6-12 by 1/2, 13"'
_WIDTHS_WANTED: Final = 'widths such as ["B", "D"], or a table of sizes for each'

#: A field, what was found in it, and what was wanted.
_Wrong = tuple[str, str, str]

#: Each width with its own sizes as written; None where it is offered in all.
_Widths = tuple[tuple[str, str | None], ...]


@cache
def label_scales() -> tuple[str, ...]:
    """Return the scales that labels are numbered on: all but the foot gauge's."""
    return tuple(name for name, scale in size_scales().items() if not scale.is_gauge)


def width_position(width: str, size: Fraction, scale: SizeScale, width_scale: WidthScaleName) -> Fraction:
    """Return how wide a stamped width is, in letters; only to check it and to order labels.

    The mean foot of the scale's population, men where it has none of its own, stands for every
    wearer: the order from narrow to wide is the same for all.

    Raises
    ------
    UnreadableText
        Where the width is not one of its scale.
    """
    sex: Sex = "women" if scale.population == "women" else "men"
    mean = mean_foot(sex)
    return width_letters(
        width,
        width_scale,
        scale.foot_length(size),
        sex,
        mean_girth=Fraction(mean["girth"]),
        mean_length=Fraction(mean["length"]),
        average_letter=AVERAGE_LETTER[None],
    )


def read_offer(
    fields: Fields, scale: SizeScale | None, width_scale: WidthScaleName | None
) -> tuple[Label, ...]:
    """Return every label of ``sizes`` and ``widths``: by size, then from narrow to wide.

    Where `widths` is a table and `sizes` stands beside it, a label must be in both. Empty, with
    problems added, where something is wrong, or where a scale is not known.
    """
    before = len(fields.problems)
    sizes = fields.text("sizes", wanted=_SIZES_WANTED)
    widths = _read_widths(fields)
    if scale is None or width_scale is None or len(fields.problems) > before:
        return ()
    labels, wrong = _offered(scale.name, width_scale, sizes, widths)
    for one in wrong:
        fields.wrong(*one)
    return labels


def _read_widths(fields: Fields) -> _Widths | None:
    value = fields.take("widths")
    if value is None:
        return None
    widths: list[tuple[str, str | None]]
    if isinstance(value, dict):
        widths = [(width, written(sizes) or shown(sizes)) for width, sizes in value.items()]
    else:
        names = [written(one) for one in value] if isinstance(value, list) else []
        widths = [(name, None) for name in names if name] if all(names) else []
    if not widths:
        fields.wrong("widths", shown(value), _WIDTHS_WANTED)
    return tuple(widths)


@lru_cache(maxsize=1024)
def _offered(
    scale_name: str, width_scale: WidthScaleName, sizes_text: str | None, widths: _Widths | None
) -> tuple[tuple[Label, ...], tuple[_Wrong, ...]]:
    """Return the labels and what is wrong; the lasts of a folder often share their offer."""
    scale = size_scale(scale_name)
    wrong: list[_Wrong] = []

    def parsed(name: str, text: str) -> tuple[Fraction, ...]:
        try:
            return parse_sizes(text, scale)
        except UnreadableText as refused:
            wrong.append((name, refused.found, refused.wanted))
            return ()

    in_all = parsed("sizes", sizes_text) if sizes_text is not None else None
    if in_all is None and (widths is None or any(text is None for _, text in widths)):
        wrong.append(("sizes", "nothing", _SIZES_WANTED))
    if widths is None:
        return tuple(Label(size, None) for size in in_all or ()), tuple(wrong)
    own: dict[str, tuple[Fraction, ...]] = {}
    for width, text in widths:
        sizes = parsed(f"widths, {field_name(width)}", text) if text is not None else in_all or ()
        own[width] = sizes if in_all is None else tuple(size for size in sizes if size in in_all)
    if not wrong and not any(own.values()):
        wrong.append(("widths", "no size that `sizes` offers too", "widths in sizes that are offered"))
    ordered = _narrow_to_wide([width for width, _ in widths], scale, width_scale, wrong)
    every = sorted({size for sizes in own.values() for size in sizes})
    labels = (Label(size, width) for size in every for width in ordered if size in own[width])
    return () if wrong else tuple(labels), tuple(wrong)


def _narrow_to_wide(
    widths: Sequence[str], scale: SizeScale, width_scale: WidthScaleName, wrong: list[_Wrong]
) -> list[str]:
    """Return widths in order; on every width scale that is the same at all sizes."""
    size = scale.nearest((scale.lowest + scale.highest) / 2)
    found: dict[Fraction, str] = {}
    for width in widths:
        try:
            position = width_position(width, size, scale, width_scale)
        except UnreadableText as refused:
            wrong.append(("widths", refused.found, refused.wanted))
            continue
        if position in found:
            alike = f"{shown(found[position])} and {shown(width)}, one width"
            wrong.append(("widths", alike, "each width once"))
        found[position] = width
    return [width for _, width in sorted(found.items())]


def read_reference_width(
    fields: Fields,
    scale: SizeScale | None,
    width_scale: WidthScaleName | None,
    labels: tuple[Label, ...],
) -> str | None:
    """Return the width that a label without one carries, checked where the offer is known."""
    width = fields.text("reference_width", wanted="the width of a label without one")
    if width is None or scale is None or width_scale is None or not labels:
        return width
    try:
        width_position(width, labels[0].size, scale, width_scale)
    except UnreadableText as refused:
        fields.wrong("reference_width", refused.found, refused.wanted)
    return width
