"""What a made pair would need, on one page: both feet, the day's growth, socks; no name, no code."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date as Date
from typing import Any, Final

from attrs import frozen

from heelball.fit.answers import Answer
from heelball.fit.day import growth, ordinary_state, states_of
from heelball.fit.wearer import PLACES, DayState, Swelling, Wearer
from heelball.foot.vector import FEET
from heelball.show.labels import MEASURE_OF, MEASURE_WORDS, percent
from heelball.show.ledger import signed
from heelball.show.lengths import Units, figure_text, length_text
from heelball.show.paper.measures import MeasureRow, bare_feet, feet_read, measure_rows, scales_read
from heelball.show.paper.names import CODE, cut
from heelball.show.paper.sheet import listed, made_text, measures_table, plate_told, table, titled
from heelball.show.paper.typesetting import PaperSize, typeset
from heelball.show.plate import Plate, plate_of_feet

_SWELLING: Final[dict[Swelling, str]] = {"rest": "rested", "ordinary": "ordinary", "hot": "swollen"}

_NAMED: Final[dict[Units, str]] = {"mm": "mm", "in": "inches"}

# States of a day shown; more are counted.
_STATES: Final = 4

_NEEDS: Final = (
    "No label of any last on offer serves these feet.",
    "Each boot is to bend where the foot bends: at the ball joint, by heel-to-ball.",
    "All figures are of the bare foot, standing on both feet; girth is taken round the ball.",
    "± is one standard deviation: where it is wide, ask for another reading before the lasts are made.",
)


@frozen
class DayPart:
    """One part of the day: what is worn, and how much bigger the foot is than ordinary, by place."""

    share: str
    sock: str
    insole: str
    swelling: str
    grown: tuple[str, ...]


@frozen
class MadePairSheet:
    """Everything on the sheet.

    Parameters
    ----------
    reference
        What the sheet is called; it stands instead of a name.
    made, day
        When and by whom.
    needs
        What the sheet is for and how its figures are meant.
    feet, feet_notes
        Each measure of both feet.
    growth, growth_notes
        The day in the boot.
    plate, plate_note
        The bare feet at 1 : 2, and what is to be said of them.
    """

    reference: str
    made: str
    day: Date
    needs: tuple[str, ...]
    feet: tuple[MeasureRow, ...]
    feet_notes: tuple[str, ...]
    growth: tuple[DayPart, ...]
    growth_notes: tuple[str, ...]
    plate: Plate | None
    plate_note: str


def made_pair_sheet(
    answer: Answer,
    wearer: Wearer,
    *,
    reference: str,
    day: Date,
    paper: PaperSize = "a4",
    units: Units = "mm",
    fitter: str | None = None,
) -> bytes:
    """Return what a made pair would need as PDF: one page, the feet drawn at 1 : 2.

    Parameters
    ----------
    answer, wearer, reference, day, units, fitter
        See `made_pair_of`.
    paper
        ``a4`` or ``letter``.

    Raises
    ------
    MissingExtra
        Where typst is not installed.
    """
    sheet = made_pair_of(answer, wearer, reference=reference, day=day, units=units, fitter=fitter)
    return typeset("sheet", _told(sheet, units), day=day, paper=paper)


def made_pair_of(
    answer: Answer,
    wearer: Wearer,
    *,
    reference: str,
    day: Date,
    units: Units = "mm",
    fitter: str | None = None,
) -> MadePairSheet:
    """Return what stands on the sheet: never a name, the wearer's code, a state's name, or a sign of health.

    Parameters
    ----------
    answer
        What is said of the wearer; its figures are what a made pair would need.
    wearer
        Whose readings and day they are.
    reference
        What the sheet is called; it must name nobody.
    day
        The day on the sheet.
    units
        What lengths are shown in; marks stand as they were written.
    fitter
        The fitter's initials.
    """
    known = answer.made_pair or answer.feet
    feet = bare_feet(answer, wearer)
    shown = cut(reference, CODE)
    read = feet_read(wearer)
    unread = [f"The {foot} foot was not read and is not drawn." for foot in FEET if foot not in read]
    scales = scales_read(wearer)
    states = sorted(states_of(wearer.day), key=lambda state: -state.share)
    return MadePairSheet(
        reference=shown,
        made=made_text(day, fitter),
        day=day,
        needs=_NEEDS,
        feet=measure_rows(known, wearer, units),
        feet_notes=(scales,) if scales else (),
        growth=tuple(_grown(state, units) for state in states[:_STATES]),
        growth_notes=_growth_notes(len(states), units),
        plate=plate_of_feet(feet, title=shown, units=units) if feet else None,
        plate_note=" ".join(["Bare feet from above, standing.", *unread]),
    )


def _grown(state: DayState, units: Units) -> DayPart:
    amounts = dict(zip(PLACES, map(float, growth(state)), strict=True))
    return DayPart(
        share=percent(state.share),
        sock=length_text(state.sock, units),
        insole=length_text(state.insole, units) if state.insole else "none",
        swelling=_SWELLING[state.swelling],
        grown=tuple(_signed(amounts[place], units) for place in PLACES),
    )


def _signed(amount: float, units: Units) -> str:
    if units == "mm":
        return signed(amount)
    figure = figure_text(abs(amount), units)
    if float(figure) == 0:
        return figure
    return f"{'+' if amount > 0 else '−'}{figure}"


def _growth_notes(states: int, units: Units) -> tuple[str, ...]:
    sock = length_text(ordinary_state().sock, units)
    notes = [f"Measures: how much bigger, in {_NAMED[units]}, than on an ordinary day in a sock of {sock}."]
    if states > _STATES:
        notes.append(f"And {states - _STATES} smaller parts of the day.")
    return tuple(notes)


def _told(sheet: MadePairSheet, units: Units) -> dict[str, Any]:
    head = ["of the day", *(part.share for part in sheet.growth)]
    rows: list[Sequence[str]] = [
        ["sock", *(part.sock for part in sheet.growth)],
        ["added insole", *(part.insole for part in sheet.growth)],
        ["foot", *(part.swelling for part in sheet.growth)],
    ]
    for count, place in enumerate(PLACES):
        rows.append([MEASURE_WORDS[MEASURE_OF[place]], *(part.grown[count] for part in sheet.growth)])
    columns = range(1, len(head))
    return {
        **titled("What a made pair would need", sheet.reference, sheet.made),
        "blocks": [
            measures_table("Both feet", sheet.feet, sheet.feet_notes, units),
            table("The day in the boot", head, rows, sheet.growth_notes, wide=columns),
            listed("To the maker", sheet.needs),
        ],
        **plate_told(sheet.plate, sheet.plate_note),
    }
