"""Lengths as they are shown, in mm or in inches, and sentences turned from one to the other."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final, Literal

from heelball.units import MILLIMETRES, format_mm

#: What lengths are shown in.
Units = Literal["mm", "in"]

_INCH: Final = float(MILLIMETRES["in"])
# A figure in mm with its unit.
_LENGTH: Final = r"(?P<figure>\d+(?:\.\d+)?) mm\b"


def figure_text(length: float, units: Units, *, places: int = 1) -> str:
    """Return a length [mm] as a bare figure, as long as its neighbours in a column.

    Parameters
    ----------
    length
        The length [mm].
    units
        What it is shown in; inches have one decimal place more.
    places
        Decimal places in mm.

    Examples
    --------
    >>> figure_text(271.04, "mm"), figure_text(271.04, "in")
    ('271.0', '10.67')
    """
    return f"{length:.{places}f}" if units == "mm" else f"{length / _INCH:.{places + 1}f}"


def length_text(length: float, units: Units) -> str:
    """Return a length [mm] with its unit, as short as it goes: ``4 mm``, ``0.16 in``.

    Examples
    --------
    >>> length_text(4.0, "mm"), length_text(4.0, "in")
    ('4 mm', '0.16 in')
    """
    return f"{format_mm(length)} mm" if units == "mm" else f"{length / _INCH:.2f} in"


def in_units(text: str, units: Units, kept: Mapping[str, str] | None = None) -> str:
    """Return a sentence written in mm with its lengths in `units`.

    Parameters
    ----------
    text
        The sentence.
    units
        What lengths are to be shown in.
    kept
        Names that stand in the sentence, by what is to be shown for each: no length is read in them.

    Examples
    --------
    >>> in_units("The boot bends 4 mm behind the joint (±3 mm).", "in")
    'The boot bends 0.16 in behind the joint (±0.12 in).'
    >>> in_units("The 5 mm by Northmoor: toe room 12.5 mm.", "in", {"5 mm": "5 mm"})
    'The 5 mm by Northmoor: toe room 0.49 in.'
    """
    names = {name: shown for name, shown in (kept or {}).items() if name}
    # The longest first, so that no name is cut by another that it begins with.
    listed = [re.escape(name) for name in sorted(names, key=len, reverse=True)]

    def shown(found: re.Match[str]) -> str:
        if found["figure"] is None:
            return names[found[0]]
        return length_text(float(found["figure"]), units)

    return re.sub("|".join([*listed, _LENGTH]), shown, text)
