"""The drawing whose bytes are kept in golden/drawing.svg.

Look at it before keeping a new one; then, in the repository, with Heelball installed:
``python -m tests.show.golden_drawing``.
"""

from __future__ import annotations

from pathlib import Path

from heelball.show.drawing import DrawnBoot, DrawnFoot, draw

GOLDEN = Path(__file__).parent / "golden" / "drawing.svg"

FEET = (
    DrawnFoot("left", 271.3, 201.0, 99.8, 67.9),
    DrawnFoot("right", 273.1, 205.6, 102.0, 68.4),
)
BOOT = DrawnBoot("N7", "10 1/2 D", 293.4, 203.1, 101.2, 69.2, "almond", 5.0)


def drawn() -> str:
    return draw(FEET, BOOT, title="W12 in N7, 10 1/2 D")


if __name__ == "__main__":
    GOLDEN.write_text(drawn(), encoding="utf-8", newline="\n")
