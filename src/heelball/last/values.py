"""A last and what is known of it, as plain values."""

from __future__ import annotations

from fractions import Fraction
from functools import cached_property
from typing import Literal

from attrs import frozen

Stiffness = Literal["soft", "medium", "stiff"]
Toe = Literal["round", "almond", "pointed", "hard-cap"]
Closing = Literal["lace", "pull-on"]
WidthScaleName = Literal["us", "uk", "jis", "gost", "mm"]


@frozen(order=False)
class Label:
    """What is stamped on a pair: a size and, where the last has letters, a width."""

    size: Fraction
    width: str | None


@frozen
class Advice:
    """What a maker says of a last: which label a reading (or another label) takes.

    Parameters
    ----------
    basis
        ``ball`` or ``length``: in readings of the foot gauge; ``label``: in labels of `scale`.
    order
        Sizes from the reading to the label to order; None where a table is given.
    table
        Pairs (gauge reading, label size) instead of `order`.
    scale
        With ``label``: the size scale whose numbers the advice speaks in.
    """

    basis: Literal["ball", "length", "label"]
    order: Fraction | None = None
    table: tuple[tuple[Fraction, Fraction], ...] = ()
    scale: str | None = None


@frozen
class MeasuredPair:
    """What was measured on one pair, or read from the maker's drawing [mm]."""

    size: Fraction
    width: str | None
    inside_length: float | None = None
    flex_line: float | None = None
    ball_girth: float | None = None
    sd_mm: float | None = None
    from_drawing: bool = False


@frozen
class Terms:
    """The maker's terms: whether advice is published, and for how many days a pair can go back.

    ``exchange_days`` 0 means no exchanges; None means nobody has asked.
    """

    publishes_advice: bool | None = None
    exchange_days: int | None = None


@frozen
class Last:
    """A last: its labels and everything that bears on how it runs.

    Parameters
    ----------
    code, maker
        The last's code and its maker's name.
    label_scale
        Name of the size scale its labels are numbered on.
    labels
        The offer: every label it can be had in, by size, then from narrow to wide.
    width_scale, reference_width
        The scale of the width letters, and the letter that a label without one carries.
    stiffness, toe, closing, heel_height
        What the boot is like; heel height [mm].
    advice, measured, terms
        What is known of how it runs, in file order.
    """

    code: str
    maker: str
    label_scale: str
    labels: tuple[Label, ...]
    width_scale: WidthScaleName = "us"
    reference_width: str | None = None
    stiffness: Stiffness = "stiff"
    toe: Toe = "round"
    closing: Closing = "lace"
    heel_height: float | None = None
    advice: tuple[Advice, ...] = ()
    measured: tuple[MeasuredPair, ...] = ()
    terms: Terms = Terms()

    @cached_property
    def by_size(self) -> dict[Fraction, tuple[Label, ...]]:
        """The labels of each size, sizes rising."""
        found: dict[Fraction, tuple[Label, ...]] = {}
        for label in sorted(self.labels, key=lambda label: label.size):
            found[label.size] = (*found.get(label.size, ()), label)
        return found
