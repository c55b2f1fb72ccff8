"""The look of a drawing: thin true lines on paper, ink, one accent, lettering of three heights."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

#: Heights of the lettering: the title, the words in the drawing, the entries of the table [mm].
TITLE: Final = 8.0
LETTERING: Final = 5.5
ENTRY: Final = 5.0

#: Width of a letter as a share of its height; wide enough for every face that may be taken.
LETTER_WIDTH: Final = 0.6

_FACES: Final = "Charter,'Bitstream Charter',Cambria,'Noto Serif','Liberation Serif','DejaVu Serif',serif"

# Paper, ink, thin ink, accent: by day and by night.
_DAY: Final = ("#fbf8f1", "#24211c", "#756e61", "#1f4f7d")
_NIGHT: Final = ("#1c1a17", "#ece5d8", "#a39a8a", "#8fbce6")

# What differs between foot and boot differs in stroke as well as in colour.
_SHAPES: Final = {
    "text": f"font-family:{_FACES};font-variant-numeric:lining-nums tabular-nums",
    ".title": f"font-size:{TITLE}px",
    ".label": f"font-size:{LETTERING}px",
    ".entry": f"font-size:{ENTRY}px",
    ".head": "font-style:italic",
    ".mid": "text-anchor:middle",
    ".end": "text-anchor:end",
    "path,line": "fill:none",
    ".foot": "stroke-width:.4",
    ".boot": "stroke-width:.6",
    ".cap": "stroke-width:.35;stroke-dasharray:1.5 1.5",
    ".foot-bend": "stroke-width:.5",
    ".boot-bend": "stroke-width:.6;stroke-dasharray:6 2.5",
    ".axis": "stroke-width:.25;stroke-dasharray:9 1.6 1.6 1.6",
    ".witness,.dimension": "stroke-width:.22",
    ".rule,.bar": "stroke-width:.4",
    ".faint-rule": "stroke-width:.2",
}


def _colours(paper: str, ink: str, thin_ink: str, accent: str) -> dict[str, str]:
    return {
        ".ground": f"fill:{paper}",
        "text,.arrow": f"fill:{ink}",
        ".foot,.foot-bend,.rule,.bar": f"stroke:{ink}",
        ".axis,.witness,.dimension,.faint-rule": f"stroke:{thin_ink}",
        ".boot,.boot-bend,.cap": f"stroke:{accent}",
        ".boot-word": f"fill:{accent}",
    }


def _written(rules: Mapping[str, str]) -> str:
    """Write rules that reach no further than a drawing, wherever it stands."""
    return "".join(
        f"{','.join(f'.heelball-drawing {name}' for name in names.split(','))}{{{rule}}}"
        for names, rule in rules.items()
    )


#: The style sheet inside every drawing. Night falls on screens only: paper stays paper, and so does
#: whatever does not know the question.
STYLE: Final = (
    f"{_written(_SHAPES)}{_written(_colours(*_DAY))}"
    f"@media screen and (prefers-color-scheme:dark){{{_written(_colours(*_NIGHT))}}}"
)
