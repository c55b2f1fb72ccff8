"""How a last runs, drawn: one line a place, a dot where it runs, a bar for its ±."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from heelball.fit.wearer import PLACES
from heelball.show.drawing_style import LETTERING, STYLE
from heelball.show.runs_note import run_text
from heelball.show.svg import escape, line, number, path, rectangle, text

#: Names of the places, beside their lines.
NAMES: Final = {
    "ball": "where it bends",
    "toe": "length inside",
    "breadth": "across the joint",
    "girth": "round the ball",
    "heel": "across the heel",
}

_LEFT: Final = 52.0
_HALF_WIDTH: Final = 60.0
_ROW: Final = 14.0
_TOP: Final = 34.0
_EDGE: Final = 6.0
_WORDS: Final = 92.0
#: The axis reaches at least so far to either side [mm of run].
_LEAST: Final = 8.0


def run_plan(code: str, runs: Sequence[tuple[float, float]]) -> str:
    """Return the drawing as one ``svg`` element.

    Parameters
    ----------
    code
        The last's.
    runs
        Mean and sd at each of `PLACES` [mm].
    """
    reach = max(_LEAST, *(abs(mean) + sd for mean, sd in runs))
    per_mm = _HALF_WIDTH / reach
    zero = _LEFT + _HALF_WIDTH
    across, down = _LEFT + 2 * _HALF_WIDTH + _WORDS + _EDGE, _TOP + _ROW * len(PLACES) + 16
    title = f"How {code} runs beside its labels"
    told = "; ".join(run_text(place, *one) for place, one in zip(PLACES, runs, strict=True))
    bottom = _TOP + _ROW * len(PLACES)
    parts = [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="heelball-drawing" role="img"'
            f' viewBox="0 0 {number(across)} {number(down)}">'
        ),
        f"<title>{escape(title)}</title><desc>{escape(told)}</desc><style>{STYLE}</style>",
        rectangle("ground", (0, 0), across, down),
        text("title", (_EDGE, 14), title),
        text("label mid", (zero, _TOP - 6), "as labelled"),
        text("label mid head", (zero - _HALF_WIDTH * 0.62, _TOP - 6), "less"),
        text("label mid head", (zero + _HALF_WIDTH * 0.62, _TOP - 6), "more"),
        line("axis", (zero, _TOP - 3), (zero, bottom)),
    ]
    for i, (place, (mean, sd)) in enumerate(zip(PLACES, runs, strict=True)):
        y = _TOP + _ROW * (i + 0.5)
        x = zero + mean * per_mm
        parts += [
            text("label", (_EDGE, y + LETTERING * 0.35), NAMES[place]),
            line("faint-rule", (_LEFT, y), (_LEFT + 2 * _HALF_WIDTH, y)),
            line("boot", (x - sd * per_mm, y), (x + sd * per_mm, y)),
            *(line("boot", (end, y - 2), (end, y + 2)) for end in (x - sd * per_mm, x + sd * per_mm)),
            path("boot", [("M", ((x, y - 3.2),)), ("L", ((x + 3.2, y),)), ("L", ((x, y + 3.2),)),
                          ("L", ((x - 3.2, y),)), ("Z", ())]),
            text("label", (_LEFT + 2 * _HALF_WIDTH + 6, y + LETTERING * 0.35), run_text(place, mean, sd)),
        ]  # fmt: skip
    step = 5 if reach <= 20 else 10
    for mm in range(-int(reach // step) * step, int(reach // step) * step + 1, step):
        x = zero + mm * per_mm
        parts.append(line("rule", (x, bottom), (x, bottom + 2)))
        parts.append(text("label mid", (x, bottom + 9), f"{mm:+d}".replace("-", "−") if mm else "0"))
    parts.append(text("label", (_LEFT + 2 * _HALF_WIDTH + 6, bottom + 9), "mm"))
    parts.append("</svg>")
    return "\n".join(parts)
