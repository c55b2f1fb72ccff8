"""One observation of a foot, as it was written down."""

from __future__ import annotations

from datetime import date as Date
from typing import Literal

from attrs import field, frozen

from heelball.foot.vector import Foot

ReadingOf = Literal["length", "ball", "breadth", "girth", "heel", "instep"]
Load = Literal["standing", "one", "seated"]
Method = Literal["gauge", "tape", "caliper", "ruler", "sheet", "scan"]


@frozen
class Reading:
    """One observation of a foot.

    Parameters
    ----------
    foot, what
        Which foot, and which measure of it.
    scale
        Name of a size scale, or ``mm``, ``cm``, ``in``.
    value
        The mark as written: ``"10 1/2"``, ``"C 3/4"``, ``"271"``.
    line
        For a breadth letter: the size line of the gauge it was read at, as written; None means
        the foot's own ball size.
    load, method
        How the foot was loaded and what it was measured with.
    fitter, sitting, date
        Who measured, at which sitting, when; each may be unknown.
    sd_mm
        Standard deviation [mm] that replaces the method's noise and rounding; bias, the gauge's
        own offset and the fitter's technique stay.
    shared_errors
        Errors of variance 1 that this reading shares with others of the same sheet, each by its
        name with its loading [mm]; `sd_mm` is then what remains to the reading alone.
    place
        Where the reading stands in its file, for sentences about it.
    """

    foot: Foot
    what: ReadingOf
    scale: str
    value: str
    line: str | None = None
    load: Load = "standing"
    method: Method = "gauge"
    fitter: str | None = None
    date: Date | None = None
    sitting: str | None = None
    sd_mm: float | None = None
    place: str = field(default="", eq=False)
    shared_errors: tuple[tuple[str, float], ...] = ()


@frozen
class GaugeMark:
    """A ruler laid on the fitter's own gauge: what one of its marks truly denotes.

    Parameters
    ----------
    scale, what, mark
        The gauge's scale, which slide (``ball``, ``length`` or ``breadth``), and the mark.
    line
        For a breadth letter: the size line it stands at.
    measured_mm
        Distance measured with the ruler [mm].
    """

    scale: str
    what: Literal["ball", "length", "breadth"]
    mark: str
    measured_mm: float
    line: str | None = None
    place: str = field(default="", eq=False)
