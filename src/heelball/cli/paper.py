"""Where lines are printed: plain, or with bold headings on a terminal that can show them."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from io import TextIOWrapper
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from heelball.show.page import Line


class Paper:
    """Standard output; a heading is bold where it is a terminal and rich is installed.

    Parameters
    ----------
    as_json
        Whether what is printed is for a program: then it is UTF-8 wherever it goes; else a sign
        that the terminal lacks is printed as a question mark.
    """

    def __init__(self, as_json: bool) -> None:
        if isinstance(sys.stdout, TextIOWrapper):
            if as_json:
                sys.stdout.reconfigure(encoding="utf-8")
            else:
                sys.stdout.reconfigure(errors="replace")
        self._bold = _bold_writer() if sys.stdout.isatty() else None

    def put(self, lines: Iterable[Line]) -> None:
        """Print lines, and hand them on at once."""
        for line in lines:
            if line.heading and self._bold is not None:
                self._bold(line.text)
            else:
                sys.stdout.write(f"{line.text}\n")
        sys.stdout.flush()

    def blank(self) -> None:
        """Print an empty line."""
        sys.stdout.write("\n")


def _bold_writer() -> Callable[[str], None] | None:
    try:
        from rich.console import Console
        from rich.text import Text
    except ImportError:
        return None
    console = Console(soft_wrap=True, highlight=False)
    return lambda text: console.print(Text(text, style="bold"))
