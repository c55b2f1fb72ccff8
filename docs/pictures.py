"""Draw the README's picture with the program itself: ``make picture``."""

from __future__ import annotations

import sys
from contextlib import redirect_stdout
from pathlib import Path
from tempfile import TemporaryFile

from heelball.cli.main import run

REPOSITORY = Path(__file__).resolve().parents[1]
PICTURE = REPOSITORY / "docs" / "pictures" / "foot-in-boot.svg"


def main() -> int:
    """Draw the sawyer of the demo bench in the best boot; return the command's exit code."""
    PICTURE.parent.mkdir(exist_ok=True)
    words = [
        "choose",
        str(REPOSITORY / "demo" / "wearers" / "sawyer.toml"),
        "--lasts",
        str(REPOSITORY / "demo" / "lasts"),
        "--svg",
        str(PICTURE),
    ]
    # The note itself is not wanted here.
    with TemporaryFile("w", encoding="utf-8") as note, redirect_stdout(note):
        return run(words)


if __name__ == "__main__":
    sys.exit(main())
