"""The use case behind ``heelball convert``: text in, a contracted record or a bench note out."""

from __future__ import annotations

from fractions import Fraction
from textwrap import wrap
from typing import Any, Final

from heelball.errors import InputError, Problem, UnreadableText
from heelball.scales.catalogue import size_scale, size_scales
from heelball.scales.conversion import Conversion, convert, from_foot_length, to_foot_length
from heelball.scales.size_scale import SizeScale
from heelball.units import MILLIMETRES, format_fraction, format_mm, parse_length

SCHEMA: Final = "heelball/convert/1"

_WIDTH: Final = 80


def convert_text(value: str, from_name: str, to_name: str) -> dict[str, Any]:
    """Convert a size or a foot length as typed, and return the contracted record.

    Parameters
    ----------
    value
        A size as on a label, a reading in quarters, or a foot length.
    from_name, to_name
        Names of size scales, or ``mm``, ``cm``, ``in`` for a foot length.

    Returns
    -------
    dict
        ``heelball/convert/1``: `value`, `low` and `high` are the nearest labels of the target
        scale (a length: to 0.1 mm, 0.01 cm or 1/16 in); `exact` holds them as they fall, in the
        continued count where a child's scale starts again.

    Raises
    ------
    InputError
        With the places ``value``, ``--from`` and ``--to``.
    """
    source, target = _scales(from_name, to_name)
    try:
        conversion = _conversion(value, source, target)
    except UnreadableText as unreadable:
        raise InputError([unreadable.at("value")]) from None
    found = {"value": conversion.value, "low": conversion.low, "high": conversion.high}
    if isinstance(target, str):
        found = {key: length / MILLIMETRES[target] for key, length in found.items()}
        labels = {key: _length(length, target) for key, length in found.items()}
    else:
        labels = {key: _label(size, target) for key, size in found.items()}
    return {
        "schema": SCHEMA,
        "from": from_name,
        "input": " ".join(value.split()),
        "to": to_name,
        **labels,
        "exact": {key: float(round(number, 2)) for key, number in found.items()},
        "foot_mm": float(round(conversion.foot_length, 2)),
        "remarks": [remark.sentence for remark in conversion.remarks],
    }


def convert_lines(record: dict[str, Any]) -> list[str]:
    """Return a record of `convert_text` as a bench note of at most 80 columns."""
    value, low, high = (_named(record[key], record["to"]) for key in ("value", "low", "high"))
    first = f"{_named(record['input'], record['from'])} is {value}"
    if record["to"] in size_scales():
        falls = size_scale(record["to"]).format_decimal(Fraction(str(record["exact"]["value"])))
        first += f" (falls at {falls})"
    lines = [f"{first}."]
    if (record["low"], record["high"]) != (record["value"], record["value"]):
        lines.append(f"From {low} to {high} by other editions of the scales.")
    lines.append(f"Foot length {format_mm(record['foot_mm'])} mm.")
    for remark in record["remarks"]:
        lines.extend(
            wrap(remark, _WIDTH, initial_indent="- ", subsequent_indent="  ", break_on_hyphens=False)
        )
    return lines


def _scales(*names: str) -> tuple[SizeScale | str, ...]:
    """Return the scale, or the unit, of each name; refuse all that are unknown at once."""
    scales: list[SizeScale | str] = []
    problems: list[Problem] = []
    for place, name in zip(("--from", "--to"), names, strict=True):
        try:
            scales.append(name if name in MILLIMETRES else size_scale(name))
        except UnreadableText as unreadable:
            problems.append(Problem(place, unreadable.found, f"{unreadable.wanted}, or mm, cm or in"))
    if problems:
        raise InputError(problems)
    return tuple(scales)


def _conversion(value: str, source: SizeScale | str, target: SizeScale | str) -> Conversion:
    if isinstance(source, str):
        length = parse_length(value, source)
        if isinstance(target, SizeScale):
            return from_foot_length(length, target)
        _check_foot(length)
        return Conversion(length, length, length, length)
    size = source.parse(value, quarters=True)
    return convert(size, source, target) if isinstance(target, SizeScale) else to_foot_length(size, source)


def _check_foot(length: Fraction) -> None:
    """Refuse a foot that no scale reaches."""
    shortest = min(scale.foot_length(scale.lowest) for scale in size_scales().values())
    longest = max(scale.foot_length(scale.highest) for scale in size_scales().values())
    if not shortest <= length <= longest:
        reach = f"{format_mm(float(shortest))} to {format_mm(float(longest))} mm"
        raise UnreadableText(
            f"a foot of {format_mm(float(length))} mm", f"a foot of {reach}, the range of all scales"
        )


def _label(size: Fraction, scale: SizeScale) -> str:
    """Return the nearest label; beyond an end of the scale, its last one."""
    return scale.format(min(max(scale.nearest(size), scale.lowest), scale.highest))


def _length(length: Fraction, unit: str) -> str:
    if unit == "in":
        return format_fraction(Fraction(round(length * 16), 16))
    return format_mm(float(length)) if unit == "mm" else f"{float(round(length, 2)):g}"


def _named(text: str, name: str) -> str:
    """Return a figure with the name of its scale before it, or of its unit behind."""
    return f"{text.removesuffix(name).rstrip()} {name}" if name in MILLIMETRES else f"{name} {text}"
