"""From one size scale to another, through the foot both numbers stand for.

A conversion is a value with a low and a high: what the scales' own lines give, and how far their
other published editions reach. Only length is converted; a width letter belongs to its scale.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Final, Literal

from attrs import frozen

from heelball.errors import UnreadableText
from heelball.scales.catalogue import size_scales
from heelball.scales.editions import Edition, editions
from heelball.scales.size_scale import SizeScale
from heelball.units import format_mm

RemarkKind = Literal["editions", "women", "old-zero", "last-only", "restart", "ends"]


@frozen
class Remark:
    """One thing a reader of a conversion should know: what it is about, and a sentence."""

    kind: RemarkKind
    sentence: str


@frozen
class Conversion:
    """What a size or a foot length is on another scale.

    Parameters
    ----------
    foot_length
        The nominal foot length it went through [mm], exactly.
    value
        The number on the target scale as it falls, in the continued count where that scale
        starts again; a length in mm where the target is a length.
    low, high
        The least and the greatest number over the editions of both scales, as they fall.
    remarks
        Where the scales or their editions disagree.
    """

    foot_length: Fraction
    value: Fraction
    low: Fraction
    high: Fraction
    remarks: tuple[Remark, ...] = ()


#: Two American women's scales that a label seldom tells apart, each with its rule.
_WOMEN: Final = {"us-women": "men + 1", "us-women-common": "men + 1 1/2"}

#: Modern American scales and the older ones of the same name (S10), whose zeros differ by 1/4 in.
_OLD_ZERO: Final = {"us-men": "us-men-old", "us-women": "us-women-old"}

#: Scales of which only last lengths were published.
_LAST_ONLY: Final = ("us-men-old", "us-women-old", "us-boys-old", "us-girls-old")


def convert(size: Fraction, source: SizeScale, target: SizeScale) -> Conversion:
    """Convert a size to another scale through its nominal foot length.

    Low and high are taken over every edition of the source with every edition of the target.

    Parameters
    ----------
    size
        A size of `source`, in the continued count where that scale starts again.
    source, target
        The two scales.

    Returns
    -------
    Conversion
        In numbers of `target`; ``low <= value <= high``.

    Raises
    ------
    UnreadableText
        Where that foot is off the target's range.
    """
    foot_length = source.foot_length(size)
    if source.name == target.name:
        return Conversion(foot_length, size, size, size)
    value = _on_range(foot_length, target)
    sizes = [number for _, length in _foot_lengths(size, source) for _, number in _sizes(length, target)]
    remarks = [
        *_of_source(size, source),
        *_of_target(foot_length, target),
        *_of_women(foot_length, source, target),
        *_of_old_zero(size, source, target),
        *_of_scales(source, target),
    ]
    return _spread(foot_length, value, sizes, target, remarks)


def from_foot_length(foot_length: Fraction, target: SizeScale) -> Conversion:
    """Return what a foot length [mm] is on a scale, over the editions of that scale.

    Raises
    ------
    UnreadableText
        Where the foot is off the scale's range.
    """
    value = _on_range(foot_length, target)
    sizes = [number for _, number in _sizes(foot_length, target)]
    remarks = [*_of_target(foot_length, target), *_of_women(foot_length, None, target), *_of_scales(target)]
    return _spread(foot_length, value, sizes, target, remarks)


def to_foot_length(size: Fraction, source: SizeScale) -> Conversion:
    """Return the foot length [mm] of a size, over the editions of its scale."""
    foot_length = source.foot_length(size)
    lengths = [length for _, length in _foot_lengths(size, source)]
    remarks = [*_of_source(size, source), *_of_women(foot_length, source, None), *_of_scales(source)]
    return Conversion(
        foot_length, foot_length, min(foot_length, *lengths), max(foot_length, *lengths), tuple(remarks)
    )


def _foot_lengths(size: Fraction, source: SizeScale) -> list[tuple[Edition, Fraction]]:
    read = ((edition, edition.foot_length(size)) for edition in editions(source))
    return [(edition, length) for edition, length in read if length is not None]


def _sizes(foot_length: Fraction, target: SizeScale) -> list[tuple[Edition, Fraction]]:
    read = ((edition, edition.size(foot_length)) for edition in editions(target))
    return [(edition, number) for edition, number in read if number is not None]


def _on_range(foot_length: Fraction, target: SizeScale) -> Fraction:
    """Return the target's number for a foot; refuse one whose nearest label it does not have."""
    value = target.size(foot_length)
    if not target.lowest <= target.nearest(value) <= target.highest:
        shortest, longest = (_in_mm(target.foot_length(end)) for end in (target.lowest, target.highest))
        raise UnreadableText(
            f"a foot of {_in_mm(foot_length)} is off {target.name}",
            f"a foot of {shortest.removesuffix(' mm')} to {longest}",
        )
    return value


def _spread(
    foot_length: Fraction, value: Fraction, sizes: list[Fraction], target: SizeScale, remarks: list[Remark]
) -> Conversion:
    # The value itself is among them: half a step beyond a table's end the table is silent.
    low, high = min(value, *sizes), max(value, *sizes)
    if target.nearest(low) < target.lowest or target.nearest(high) > target.highest:
        remarks.append(
            Remark("ends", f"Some editions put this foot beyond {target.name} ({target.range_in_words}).")
        )
    return Conversion(foot_length, value, low, high, tuple(remarks))


def _of_source(size: Fraction, source: SizeScale) -> Iterable[Remark]:
    """Yield how the editions of a scale read a size."""
    lengths = _foot_lengths(size, source)
    if len(lengths) > 1:
        listed = "; ".join(f"{_in_mm(length)} {_named(edition)}" for edition, length in lengths)
        yield Remark("editions", f"{source.name} {source.format(size)} as a foot: {listed}.")


def _of_target(foot_length: Fraction, target: SizeScale) -> Iterable[Remark]:
    """Yield how the editions of a scale number a foot."""
    sizes = _sizes(foot_length, target)
    if len(sizes) > 1:
        listed = "; ".join(f"{target.format_decimal(number)} {_named(edition)}" for edition, number in sizes)
        yield Remark("editions", f"This foot on {target.name}: {listed}.")


def _of_scales(*scales: SizeScale) -> Iterable[Remark]:
    """Yield what holds of a scale whatever the size."""
    for scale in scales:
        if scale.name in _LAST_ONLY:
            yield Remark(
                "last-only",
                f"Of {scale.name} only the last lengths are published ({scale.source}); "
                "the foot is taken 2/3 in shorter, as on the modern scales.",
            )
    restarting = " and ".join(scale.name for scale in scales if scale.restarts)
    if restarting:
        twice = "C and Y tell apart what stands twice"
        yield Remark("restart", f"On {restarting} 13 1/2 is followed by 1; {twice}.")


def _of_women(foot_length: Fraction, source: SizeScale | None, target: SizeScale | None) -> Iterable[Remark]:
    """Yield that American women's sizes are two scales, and what the other one would say."""
    women = [scale for scale in (source, target) if scale and scale.name in _WOMEN]
    if len(women) == 2:
        rules = " and ".join(f"{name} ({rule})" for name, rule in _WOMEN.items())
        yield Remark("women", f"{rules} are two scales; a label seldom says which.")
    elif women:
        (scale,) = women
        (other_name,) = set(_WOMEN) - {scale.name}
        other = size_scales()[other_name]
        if scale is target:
            number = other.format_decimal(other.size(foot_length))
            then = f"on {other.name} ({_WOMEN[other.name]}) the same foot is {number}"
        else:
            length = _in_mm(other.foot_length(scale.size(foot_length)))
            then = f"read as {other.name} ({_WOMEN[other.name]}) the same number is a foot of {length}"
        yield Remark("women", f"{scale.name} is {_WOMEN[scale.name]}; {then}.")


def _of_old_zero(size: Fraction, source: SizeScale, target: SizeScale) -> Iterable[Remark]:
    """Yield what the older American zero makes of a step between the UK and the US."""
    if source.name == "uk" and target.name in _OLD_ZERO:
        old = size_scales()[_OLD_ZERO[target.name]]
        number = old.format_decimal(old.size(source.foot_length(size)))
        yield Remark("old-zero", f"From the older American zero ({old.name}) the same foot is {number}.")
    if source.name in _OLD_ZERO and target.name == "uk":
        old = size_scales()[_OLD_ZERO[source.name]]
        number = target.format_decimal(target.size(old.foot_length(size)))
        yield Remark(
            "old-zero", f"Read from the older American zero ({old.name}) the same number is uk {number}."
        )


def _in_mm(length: Fraction) -> str:
    return f"{format_mm(float(length))} mm"


def _named(edition: Edition) -> str:
    return f"{edition.words} ({edition.source})"
