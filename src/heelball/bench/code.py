"""The bench's address as a square code for a camera; it holds the address only, no secret."""

from __future__ import annotations

import io
from typing import Final

import segno

#: Quiet ground around the code that cameras need [modules].
_BORDER: Final = 4
#: Two modules, one above the other, in one sign.
_HALVES: Final = {(0, 0): " ", (1, 0): "▀", (0, 1): "▄", (1, 1): "█"}


def code_svg(address: str) -> str:
    """Return the code as an SVG drawing: ink on white, also at night, as cameras want it."""
    out = io.BytesIO()
    segno.make(address, micro=False, error="m").save(
        out, kind="svg", border=_BORDER, dark="#000", light="#fff", xmldecl=False, omitsize=True
    )
    return out.getvalue().decode()


def code_text(address: str) -> str:
    """Return the code in half blocks for a terminal: black on white whatever the terminal's own ground."""
    rows = [bytes(row) for row in segno.make(address, micro=False, error="m").matrix_iter(border=_BORDER)]
    if len(rows) % 2:
        rows.append(bytes(len(rows[0])))
    return "\n".join(
        f"\x1b[30;107m{''.join(_HALVES[pair] for pair in zip(upper, lower, strict=True))}\x1b[0m"
        for upper, lower in zip(rows[::2], rows[1::2], strict=True)
    )
