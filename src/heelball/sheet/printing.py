"""The sheet as PDF, set by typst from what the layout says; the same sheet gives the same bytes."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from heelball.errors import InternalFault, MissingExtra
from heelball.foot.vector import Foot
from heelball.sheet.cells import CELLS, dark_cells
from heelball.sheet.layout import HOLDS, MARKER, SIZES, TWO_PAGES_HOLD, Page, pages_of
from heelball.sheet.legend import legend_of
from heelball.sheet.marking import Paper
from heelball.sheet.proof import GLUED, STRIP_WIDTH, proof

if TYPE_CHECKING:
    from types import ModuleType

#: What the sheet is set from, with `sheet_told` as its input ``told``.
TEMPLATE: Final = Path(__file__).parent / "sheet.typ"
# An archival file that can be listened to.
_STANDARDS: Final = ["a-2a", "ua-1"]


def sheet_pdf(paper: Paper, feet: Sequence[Foot], *, two: bool = False, code: str = "") -> bytes:
    """Return the sheet: a page or two for each foot, the proof of scale with the tape, and what to do.

    Fonts are those within typst, embedded; nothing of the system or the network is used.

    Parameters
    ----------
    paper
        What it is printed on.
    feet
        Which feet, in the order of their pages.
    two
        Whether a foot stands on two pages side by side.
    code
        The wearer's code, never the name; where it is empty, or too long for its frame, the wearer writes it.

    Raises
    ------
    MissingExtra
        Where typst is not installed.
    InternalFault
        Where a page cannot be set.
    """
    typst = _typst()
    told = sheet_told(paper, feet, two=two, code=code)
    try:
        pdf: bytes = typst.compile(
            TEMPLATE,
            root=TEMPLATE.parent,
            ignore_system_fonts=True,
            sys_inputs={"told": json.dumps(told)},
            pdf_standards=_STANDARDS,
            timestamp=0,
        )
    except typst.TypstError as error:
        raise InternalFault(f"The sheet cannot be set: {error}") from None
    return pdf


def sheet_told(paper: Paper, feet: Sequence[Foot], *, two: bool = False, code: str = "") -> dict[str, Any]:
    """Return what the template is told: every mark's place, and the words.

    Parameters
    ----------
    paper, feet, two, code
        As for `sheet_pdf`.
    """
    return {
        "title": "A sheet to measure feet by",
        "howto": _howto(paper, two=two),
        "proof": _proof(paper, feet, code, two=two),
        "feet": [_foot_page(page, code) for foot in feet for page in pages_of(paper, foot, two=two)],
    }


def _typst() -> ModuleType:
    try:
        import typst
    except ImportError:
        raise MissingExtra("typst", "sheet") from None
    return typst


def _howto(paper: Paper, *, two: bool) -> dict[str, Any]:
    holds = TWO_PAGES_HOLD if two else HOLDS[paper]
    return {"size": SIZES[paper], "holds": f"{holds:g}", "two": two}


def _proof(paper: Paper, feet: Sequence[Foot], code: str, *, two: bool) -> dict[str, Any]:
    marks = proof()
    return {
        "size": SIZES[paper],
        "feet": list(feet),
        "code": code,
        # The cut edges of two pages side by side are not read.
        "two": two,
        "along": marks.along.tolist(),
        "across": marks.across.tolist(),
        "corner": marks.corner.tolist(),
        "ladder": [{"percent": one.percent, "ends": one.ends.tolist()} for one in marks.ladder],
        "tape": [
            {
                "first": one.first,
                "last": one.last,
                "left": one.left,
                "top": one.top,
                "width": STRIP_WIDTH,
                "glued": GLUED,
            }
            for one in marks.tape
        ],
    }


def _foot_page(page: Page, code: str) -> dict[str, Any]:
    legend = legend_of(page)
    return {
        "size": page.size,
        "words": [
            {
                "text": words.text,
                "size_pt": words.size_pt,
                "box": words.box,
                "align": words.align,
                "turn_deg": words.turn_deg,
            }
            for words in legend.words
        ],
        "code-frame": legend.code,
        "code": code,
        "arrow": None if legend.arrow is None else legend.arrow.tolist(),
        "strokes": [stroke.tolist() for stroke in legend.strokes],
        "markers": [
            {
                "left": float(marker.corners[0, 0]),
                "top": float(marker.corners[0, 1]),
                "cell": MARKER / CELLS,
                "cells": dark_cells(marker.id),
            }
            for marker in page.markers
        ],
        "axis": page.axis.tolist(),
        "heel_edge": None if page.heel_edge is None else page.heel_edge.tolist(),
    }
