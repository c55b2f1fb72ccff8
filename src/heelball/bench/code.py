"""The bench's address as a square code for a camera; it holds the address only, no secret."""

from __future__ import annotations

import io
from typing import Final

import segno

#: Quiet ground around the code that cameras need [modules].
_BORDER: Final = 4


def code_svg(address: str) -> str:
    """Return the code as an SVG drawing: ink on white, also at night, as cameras want it."""
    out = io.BytesIO()
    segno.make(address, micro=False, error="m").save(
        out, kind="svg", border=_BORDER, dark="#000", light="#fff", xmldecl=False, omitsize=True
    )
    return out.getvalue().decode()


def code_text(address: str) -> str:
    """Return the code in half blocks for a terminal, dark ground taken for granted nowhere."""
    out = io.StringIO()
    segno.make(address, micro=False, error="m").terminal(out, border=2, compact=True)
    return out.getvalue()
