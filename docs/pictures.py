"""Draw the pictures of the README and the pages with the program itself: ``make picture``."""

from __future__ import annotations

import json
import sys
from contextlib import redirect_stdout
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryFile
from typing import cast

import typst
from PIL import Image

from heelball.cli.main import run
from heelball.sheet.printing import TEMPLATE, sheet_told

REPOSITORY = Path(__file__).resolve().parents[1]
PICTURES = REPOSITORY / "docs" / "pictures"
# Dots to an inch: the words of the sheet can be read on a screen.
SHARPNESS = 84
# Shades of grey that black on white needs at its edges.
SHADES = 8


def main() -> int:
    """Draw all of them; return the command's exit code."""
    PICTURES.mkdir(exist_ok=True)
    draw_sheet()
    return draw_foot_in_boot()


def draw_foot_in_boot() -> int:
    """Draw the sawyer of the demo bench in the best boot; return the command's exit code."""
    words = [
        "choose",
        str(REPOSITORY / "demo" / "wearers" / "sawyer.toml"),
        "--lasts",
        str(REPOSITORY / "demo" / "lasts"),
        "--svg",
        str(PICTURES / "foot-in-boot.svg"),
    ]
    # The note itself is not wanted here.
    with TemporaryFile("w", encoding="utf-8") as note, redirect_stdout(note):
        return run(words)


def draw_sheet() -> None:
    """Draw the pages of the sheet for the right foot on A4: the foot's, the proof, the instructions."""
    compiled = typst.compile(
        TEMPLATE,
        root=TEMPLATE.parent,
        ignore_system_fonts=True,
        sys_inputs={"told": json.dumps(sheet_told("a4", ["right"]))},
        format="png",
        ppi=SHARPNESS,
    )
    # A list wherever there is more than one page.
    pages = cast("list[bytes]", compiled)
    for name, page in zip(("foot", "proof", "how"), pages, strict=True):
        grey = Image.open(BytesIO(page)).convert("L").quantize(SHADES)
        grey.save(PICTURES / f"sheet-{name}.png", optimize=True)


if __name__ == "__main__":
    sys.exit(main())
