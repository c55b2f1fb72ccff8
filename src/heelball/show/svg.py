"""SVG written by hand: escaped text, numbers in mm to 0.01, one element a line."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from typing import Final

from heelball.errors import InternalFault

#: A place on the page [mm], x to the right and y down.
Spot = tuple[float, float]

_ENTITIES: Final = {"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;"}
# XML has no way to write these, not even as entities.
_UNWRITABLE: Final = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def escape(text: str) -> str:
    """Return `text` for use between tags or within quotation marks.

    Characters that XML cannot hold become the replacement character.

    Examples
    --------
    >>> escape("<N7 & 'co'>")
    '&lt;N7 &amp; &#39;co&#39;&gt;'
    """
    return "".join(_ENTITIES.get(sign, sign) for sign in _UNWRITABLE.sub("\N{REPLACEMENT CHARACTER}", text))


def number(value: float) -> str:
    """Write a coordinate to 0.01, as short as it goes.

    Raises
    ------
    InternalFault
        Where the value is not finite: such a mark has no place on paper.

    Examples
    --------
    >>> number(12.0), number(-0.001), number(3.456)
    ('12', '0', '3.46')
    """
    if not math.isfinite(value):
        raise InternalFault(f"A drawing was asked for a mark at {value}.")
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def line(kind: str, start: Spot, end: Spot) -> str:
    """Return a straight line; `kind` is its class."""
    (x1, y1), (x2, y2) = start, end
    return f'<line class="{kind}" x1="{number(x1)}" y1="{number(y1)}" x2="{number(x2)}" y2="{number(y2)}"/>'


def path(kind: str, commands: Iterable[tuple[str, tuple[Spot, ...]]]) -> str:
    """Return a path of absolute commands, each a letter and its places."""
    written = " ".join(
        letter + " ".join(f"{number(x)},{number(y)}" for x, y in spots) for letter, spots in commands
    )
    return f'<path class="{kind}" d="{written}"/>'


def text(kind: str, spot: Spot, words: str, *, turned_deg: float = 0.0) -> str:
    """Return one line of text on its baseline at `spot`, turned clockwise about it."""
    x, y = (number(value) for value in spot)
    turn = f' transform="rotate({number(turned_deg)} {x} {y})"' if turned_deg else ""
    return f'<text class="{kind}" x="{x}" y="{y}"{turn}>{escape(words)}</text>'


def rectangle(kind: str, corner: Spot, width: float, height: float) -> str:
    """Return a rectangle from its upper left corner."""
    x, y = (number(value) for value in corner)
    return f'<rect class="{kind}" x="{x}" y="{y}" width="{number(width)}" height="{number(height)}"/>'
