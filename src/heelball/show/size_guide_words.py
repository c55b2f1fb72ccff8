"""What a size guide says: to a reader who knows neither this tool nor the trade."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date as Date
from typing import Final

from attrs import frozen

from heelball.fit.size_guide import Cell, Row, SizeGuide
from heelball.fit.wearer import PLACES
from heelball.package_data import defaults
from heelball.scales.catalogue import size_scale
from heelball.show.labels import label_text, percent
from heelball.show.runs_note import pairs_text, run_text
from heelball.units import format_fraction

_INTRO: Final = (
    "A stiff boot bends in one place only. It has to bend where your foot bends: at the ball joint behind the"
    " big toe. So this guide goes by the length from heel to ball, not by the whole length of the foot."
)
_HOW: Final = (
    (
        "Have both feet read on a foot gauge, standing, bare, with your weight on both feet: the"
        " whole length, the heel-to-ball length at the inner ball joint, and the breadth letter on the line"
        " of your ball size."
    ),
    (
        "Find your ball size on the left and your breadth letter at the top. Where your feet differ, look up"
        " each, and order for the larger."
    ),
    (
        "Check that your length reading lies within the lengths of that line. If it does not, be measured in"
        " person."
    ),
)
_WHO: Final = (
    "feet that read a size or more apart, or a length more than one and a half sizes over the ball size",
    "a reading that this guide has no label for, or a length outside the line's",
    "feet under about 16 years, still growing",
    "your own orthosis, a high instep, or a toe joint that no longer bends",
    (
        "diabetes, numbness, wounds, poor circulation, a foot that changed its shape, or pain for over two"
        " weeks: see a doctor or podiatrist first"
    ),
)
_CANNOT: Final = (
    "It takes an ordinary day and a medium sock. A thick sock or hot, long days ask for more room.",
    (
        "It judges no instep, no arch and no leg. Leather gives in breadth and girth over weeks, never in"
        " length nor where the boot bends."
    ),
    (
        "Where a boot may bend and still be right is judgement: no trial has measured it. This is not medical"
        " advice."
    ),
    (
        "Common practice, without a source, takes the larger of length size and ball size and never goes"
        " smaller; this guide weighs every place of the foot, and may differ from it by half a size or a"
        " letter."
    ),
)


@frozen
class GuideWords:
    """A size guide in words, for paper and page alike.

    Parameters
    ----------
    title, intro, known
        What it is, why it goes by the ball, and how the run is known.
    how, who, cannot
        Lists: how to use it, who must be measured in person, what it cannot know.
    head
        Of the table: ball, letters, lengths.
    rows
        Cells of text, as many as in `head`.
    example
        One line of the table read aloud.
    runs
        How the last runs, place by place.
    doubt
        What a second label in a cell, a question mark and a dash mean.
    """

    title: str
    intro: str
    known: str
    how: tuple[str, ...]
    who: tuple[str, ...]
    cannot: tuple[str, ...]
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    example: str
    runs: tuple[str, ...]
    doubt: str


def guide_words(
    guide: SizeGuide, runs: Sequence[tuple[float, float]], *, pairs: int | None, day: Date
) -> GuideWords:
    """Return a guide in words.

    Parameters
    ----------
    guide
        The table.
    runs
        Mean and sd at each place [mm].
    pairs
        Pairs tried on from which the run was learned; None where none were.
    day
        The day it was made.
    """
    last = guide.last
    source = (
        "from its maker's advice and what was measured"
        if pairs is None
        else f"{pairs_text(pairs)} tried on, beside what its maker says"
    )
    if pairs is None and not (last.advice or last.measured):
        source = "from its labels alone: every ± is wide, try on before you buy"
    return GuideWords(
        title=f"Size guide: {last.code} by {last.maker}, for {guide.sex}",
        intro=_INTRO,
        known=f"How this last runs is known {source}. Made {day.isoformat()}.",
        how=_HOW,
        who=_WHO,
        cannot=_CANNOT,
        head=("Ball size", *guide.letters, "Lengths"),
        rows=tuple(
            (
                format_fraction(row.ball),
                *(_cell(guide, cell) for cell in row.cells),
                _lengths(row),
            )
            for row in guide.rows
        ),
        example=_example(guide),
        runs=tuple(run_text(place, *one) for place, one in zip(PLACES, runs, strict=True)),
        doubt=(
            "Ball size, breadth and lengths are readings"
            f" ({size_scale(guide.gauge).title}); what to order are labels. Of two labels in one place"
            " the second is nearly as good by what is known: try it where the first does not suit. A question"
            " mark: less than an even chance that all is right; order only what you can send back, or be"
            " measured in person. A dash: be measured in person. Readings are good to about half a size and"
            " half a letter (±), so a neighbour of your label may fit as well."
        ),
    )


def _cell(guide: SizeGuide, cell: Cell) -> str:
    if cell.order is None:
        return "–"
    said = label_text(cell.order, guide.last)
    if cell.chance < float(defaults()["guide"]["even"]):
        said += " ?"
    return said if cell.in_doubt is None else f"{said} or {label_text(cell.in_doubt, guide.last)}"


def _lengths(row: Row) -> str:
    if row.shortest == row.longest:
        return format_fraction(row.shortest)
    return f"{format_fraction(row.shortest)} to {format_fraction(row.longest)}"


def _example(guide: SizeGuide) -> str:
    """Return the likeliest cell of the middle line read aloud; empty where the table is."""
    if not guide.rows:
        return ""
    row = guide.rows[len(guide.rows) // 2]
    letter, cell = max(zip(guide.letters, row.cells, strict=True), key=lambda one: one[1].chance)
    if cell.order is None:
        return ""
    return (
        f"If you read ball {format_fraction(row.ball)} and breadth {letter}, order"
        f" {label_text(cell.order, guide.last)}: it is right all over by chance {percent(cell.chance)}."
    )
