"""Both feet as a table on paper: each measure as it was read, and with its ±."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from attrs import frozen

from heelball.fit.answers import Answer, FootFigure
from heelball.fit.wearer import Wearer
from heelball.foot.reading import Reading, ReadingOf
from heelball.foot.vector import FEET, MEASURES, Foot, Measure
from heelball.scales.catalogue import size_scale
from heelball.show.figures import DrawnFoot
from heelball.show.labels import MEASURE_WORDS
from heelball.show.lengths import Units, figure_text
from heelball.show.paper.names import cut
from heelball.units import MILLIMETRES

NOT_READ: Final = "not read"
_NOT_KNOWN: Final = "not known"

# Marks shown in one cell, and letters of each: the rest is counted, or cut.
_MARKS: Final = 2
_LETTERS: Final = 12


@frozen
class Cell:
    """One measure of one foot: the marks as they were read, and what is known with its ±."""

    read: str
    figure: str


@frozen
class MeasureRow:
    """One measure of both feet."""

    measure: str
    left: Cell
    right: Cell


def measure_rows(
    feet: Mapping[Foot, Mapping[Measure, FootFigure]], wearer: Wearer, units: Units
) -> tuple[MeasureRow, ...]:
    """Return each measure of both feet, from length to heel breadth.

    Parameters
    ----------
    feet
        What is known of each foot.
    wearer
        Whose readings they come from.
    units
        What the figures are shown in; marks stand as they were written.
    """
    rows = []
    for measure in MEASURES:
        left, right = (_cell(_marks(foot, measure, wearer), feet[foot][measure], units) for foot in FEET)
        rows.append(MeasureRow(MEASURE_WORDS[measure], left, right))
    if any(reading.what == "instep" for reading in wearer.readings):
        # Kept, but no part of what is computed.
        left, right = (Cell(_marks(foot, "instep", wearer), "") for foot in FEET)
        rows.append(MeasureRow(MEASURE_WORDS["instep"], left, right))
    return tuple(rows)


def _marks(foot: Foot, what: ReadingOf, wearer: Wearer) -> str:
    marks = [_mark(reading) for reading in wearer.readings if (reading.foot, reading.what) == (foot, what)]
    more = f" and {len(marks) - _MARKS} more" if len(marks) > _MARKS else ""
    return f"{'; '.join(marks[:_MARKS])}{more}" if marks else NOT_READ


def _cell(read: str, known: FootFigure, units: Units) -> Cell:
    if known.mean is None or known.sd is None:
        return Cell(read, _NOT_KNOWN)
    return Cell(read, f"{figure_text(known.mean, units)}\N{NO-BREAK SPACE}±{figure_text(known.sd, units)}")


def _mark(reading: Reading) -> str:
    """Return a mark as it was written, with the line of a letter and a load other than standing."""
    unit = f" {reading.scale}" if reading.scale in MILLIMETRES else ""
    line = f" at {cut(reading.line, _LETTERS)}" if reading.line else ""
    load = {"standing": "", "one": ", on one foot", "seated": ", seated"}[reading.load]
    return f"{cut(reading.value, _LETTERS)}{unit}{line}{load}"


def scales_read(wearer: Wearer) -> str | None:
    """Return what the marks were read on, as a sentence; None where nothing but lengths was read."""
    used = dict.fromkeys(reading.scale for reading in wearer.readings if reading.scale not in MILLIMETRES)
    if not used:
        return None
    return f"Sizes and letters as read on: {', '.join(size_scale(name).title for name in used)}."


def feet_read(wearer: Wearer) -> tuple[Foot, ...]:
    """Return the feet of which anything was read."""
    return tuple(foot for foot in FEET if any(reading.foot == foot for reading in wearer.readings))


def bare_feet(answer: Answer, wearer: Wearer) -> list[DrawnFoot]:
    """Return the feet of which anything was read, bare, as they are to be drawn; none of a child."""
    drawn = []
    for foot in feet_read(wearer):
        known = [figure.mean for figure in answer.feet[foot].values()]
        means = [mean for mean in known if mean is not None]
        if len(means) < len(MEASURES):
            continue
        by_measure = dict(zip(answer.feet[foot], means, strict=True))
        heel = any(reading.what == "heel" for reading in wearer.readings)
        drawn.append(
            DrawnFoot(
                foot,
                by_measure["length"],
                by_measure["ball"],
                by_measure["breadth"],
                by_measure["heel"],
                heel_judged=heel,
            )
        )
    return drawn
