"""Each foot in the chosen boot, seen from above, drawn to scale: one SVG for screen and paper."""

from __future__ import annotations

import math
import zlib
from collections.abc import Sequence
from typing import Final

from heelball.foot.vector import Foot
from heelball.last.values import Toe
from heelball.show.drafting import INNER_ROOM, OUTER_ROOM
from heelball.show.drawing_style import LETTER_WIDTH, LETTERING, STYLE, TITLE
from heelball.show.figures import DrawnBoot, DrawnFigure, DrawnFoot, DrawnPlace, figures, in_order
from heelball.show.ledger import LEDGER_WIDTH, ROW, ledger
from heelball.show.lengths import Units
from heelball.show.outline import INNER_SHARE
from heelball.show.plan import Plan
from heelball.show.svg import escape, line, number, rectangle, text
from heelball.units import format_mm

__all__ = ["STYLE", "DrawnBoot", "DrawnFigure", "DrawnFoot", "DrawnPlace", "draw", "figures"]

_TOE_WORDS: Final[dict[Toe, str]] = {
    "round": "round toe",
    "almond": "almond toe",
    "pointed": "pointed toe",
    "hard-cap": "hard cap",
}

#: Kept clear round a drawing [mm].
EDGE: Final = 8.0
_HEAD: Final = 36.0


def draw(feet: Sequence[DrawnFoot], boot: DrawnBoot, *, title: str) -> str:
    """Draw each foot in the boot from above, life size, with a table of the same figures.

    One user unit is one mm, so printed at 100 % the drawing is life size. The feet stand on the
    page as their wearer would look down on them: left on the left, heels on one line, toes up.
    Both bend lines count from the foot's inner joint, so that anywhere along them they are as far
    apart, along the axis, as flex line and heel-to-ball differ. The same values give the same bytes.

    Parameters
    ----------
    feet
        One foot or two, in any order [mm].
    boot
        The boot they stand in [mm].
    title
        What stands above the drawing; any text. Where it is too long it is cut on the page, not
        for those who listen.

    Returns
    -------
    str
        One ``svg`` element, ready for a file or for the middle of a page.

    Raises
    ------
    InternalFault
        Where there is no foot, or the same foot twice, or a measure that is not a finite number.
    """
    rows = figures(feet, boot)
    ordered = in_order(feet)
    widest = max(boot.built_for_breadth, *(foot.foot_breadth for foot in ordered))
    width = page_width(len(ordered), widest, LEDGER_WIDTH)
    base = math.ceil(_HEAD + max(boot.inside_length, *(foot.foot_length for foot in ordered)))
    key = base + 21.0
    table = key + 9.0
    note = table + ROW * (len(rows) + 1) + 7.0
    height = note + EDGE - 3.0

    parts = [rectangle("ground", (0.0, 0.0), width, height)]
    parts += _heading(boot, title, width)
    parts.append(line("witness", (EDGE, base), (width - EDGE, base)))
    parts += plans(ordered, boot, rows, width, base)
    parts += _key(key)
    parts += ['<g class="ledger">', *ledger(rows, EDGE, table, width - 2 * EDGE), "</g>"]
    parts.append(text("entry", (EDGE, note), _note(boot, ordered)))
    return document(parts, title, told(rows, boot), width, height)


def page_width(feet: int, widest: float, least: float) -> float:
    """Return how wide the page of one foot or two is: room for `widest`, and `least` at least [mm]."""
    return float(math.ceil(max((OUTER_ROOM + widest + INNER_ROOM) * feet, least) + 2 * EDGE))


def axes(feet: int, widest: float, width: float) -> dict[Foot, float]:
    """Return where the axis of each foot stands on a page [mm]; a foot alone stands in the middle."""
    if feet == 1:
        return {"left": width / 2, "right": width / 2}
    left = width / 2 - INNER_ROOM - INNER_SHARE * widest
    return {"left": left, "right": width - left}


def plans(
    feet: Sequence[DrawnFoot],
    boot: DrawnBoot,
    rows: Sequence[DrawnFigure],
    width: float,
    base: float,
    units: Units = "mm",
) -> list[str]:
    """Return each foot in the boot, the heels on the line at `base` of a page `width` wide [mm].

    Parameters
    ----------
    feet
        From left to right.
    boot, rows
        The boot, and the figures of all feet in it.
    width, base
        Of the page [mm].
    units
        What lengths are written in.
    """
    widest = max(boot.built_for_breadth, *(foot.foot_breadth for foot in feet))
    stands = axes(len(feet), widest, width)
    parts: list[str] = []
    for foot in feet:
        plan = Plan(
            side=foot.foot,
            axis=stands[foot.foot],
            base=base,
            reach=(1 - INNER_SHARE) * widest,
            foot=foot,
            boot=boot,
            rows=[row for row in rows if row.foot == foot.foot],
            units=units,
        )
        parts += [f'<g class="plan {foot.foot}">', *plan.elements(), "</g>"]
    return parts


def _heading(boot: DrawnBoot, title: str, width: float) -> list[str]:
    about = (
        f"{boot.last}, {boot.label}, {_TOE_WORDS[boot.toe]}, inside length {format_mm(boot.inside_length)} mm"
    )
    return [
        text("title", (EDGE, 15.0), _cut(title, width, TITLE)),
        text("label", (EDGE, 23.5), _cut(about, width, LETTERING)),
    ]


def _cut(words: str, width: float, size: float) -> str:
    fits = int((width - 2 * EDGE) / (LETTER_WIDTH * size))
    return words if len(words) <= fits else f"{words[: fits - 1]}…"


def _key(level: float) -> list[str]:
    """Return the bar and the names of the two outlines."""
    bar = [((0.0, 0.0), (50.0, 0.0)), ((0.0, -1.5), (0.0, 1.5)), ((50.0, -1.5), (50.0, 1.5))]
    start = EDGE + 86.0
    return [
        *(line("bar", (EDGE + x1, level + y1), (EDGE + x2, level + y2)) for (x1, y1), (x2, y2) in bar),
        text("label", (EDGE + 53.0, level + 2.0), "50 mm"),
        line("boot", (start, level), (start + 14.0, level)),
        text("label boot-word", (start + 17.0, level + 2.0), "inside of the boot"),
        line("foot", (start + 82.0, level), (start + 96.0, level)),
        text("label", (start + 99.0, level + 2.0), "foot"),
    ]


def _note(boot: DrawnBoot, feet: Sequence[DrawnFoot]) -> str:
    short = "" if boot.toe_deduction == 0 else f"{format_mm(boot.toe_deduction)} mm short of "
    heel = "" if all(foot.heel_judged for foot in feet) else " No heel read: it is not judged."
    return f"From above, to scale. Toe room counted to {short}the inside end.{heel}"


def told(rows: Sequence[DrawnFigure], boot: DrawnBoot) -> str:
    """Return the drawing in words, for those who listen."""
    feet = dict.fromkeys(row.foot for row in rows)
    sentences = [
        f"{foot.capitalize()} foot: {', '.join(row.words for row in rows if row.foot == foot)}."
        for foot in feet
    ]
    return " ".join([f"Seen from above in {boot.last}, {boot.label}, {_TOE_WORDS[boot.toe]}.", *sentences])


def document(parts: Sequence[str], title: str, words: str, width: float, height: float) -> str:
    """Return one ``svg`` element: its parts, its title, and the same in words for those who listen."""
    # Several drawings may stand on one page, and names there must differ.
    content = "\n".join([title, words, *parts])
    name = f"heelball-{zlib.crc32(content.encode('utf-8', 'replace')):08x}"
    across, down = number(width), number(height)
    frame = (
        f'xmlns="http://www.w3.org/2000/svg" class="heelball-drawing" width="{across}mm" height="{down}mm"'
        f' viewBox="0 0 {across} {down}" role="img" aria-labelledby="{name}-title {name}-told"'
    )
    return "\n".join(
        [
            f"<svg {frame}>",
            f'<title id="{name}-title">{escape(title)}</title>',
            f'<desc id="{name}-told">{escape(words)}</desc>',
            f"<style>{STYLE}</style>",
            *parts,
            "</svg>",
            "",
        ]
    )
