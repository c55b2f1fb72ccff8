"""The sheet in numbers: where every mark stands, for whoever wants to check a print or a reading."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from heelball.foot.vector import Foot
from heelball.sheet.layout import SIZES, Page, pages_of
from heelball.sheet.marking import Paper
from heelball.sheet.proof import proof
from heelball.sheet.values import Array

SCHEMA: Final = "heelball/sheet/1"


def describe(paper: Paper, feet: Sequence[Foot], *, two: bool = False) -> dict[str, Any]:
    """Return every page in the order of the PDF: mm, origin at its top left, y down; axis heel to toe.

    Parameters
    ----------
    paper, feet, two
        As for `heelball.sheet.printing.sheet_pdf`.
    """
    pages = [_foot_page(page) for foot in feet for page in pages_of(paper, foot, two=two)]
    return {
        "schema": SCHEMA,
        "paper": paper,
        "layout": "two-pages" if two else "one-page",
        "pages": [*pages, _proof_page(paper), _plain_page(paper, "how")],
    }


def _foot_page(page: Page) -> dict[str, Any]:
    return {
        "foot": page.foot,
        "part": page.part,
        "size": list(page.size),
        "offset": _points(page.offset),
        "markers": [{"id": one.id, "corners": _points(one.corners)} for one in page.markers],
        "heel_edge": None if page.heel_edge is None else _points(page.heel_edge),
        "axis": _points(page.axis),
        "bars": [],
        "card": [],
    }


def _proof_page(paper: Paper) -> dict[str, Any]:
    marks = proof()
    return _plain_page(paper, "proof") | {
        "bars": [
            {"way": "along", "ends": _points(marks.along)},
            {"way": "across", "ends": _points(marks.across)},
        ],
        "card": [{"percent": one.percent, "ends": _points(one.ends)} for one in marks.ladder],
        "card_corner": _points(marks.corner),
        "tape": [{"first": one.first, "last": one.last, "from": [one.left, one.top]} for one in marks.tape],
    }


def _plain_page(paper: Paper, part: str) -> dict[str, Any]:
    return {
        "foot": None,
        "part": part,
        "size": list(SIZES[paper]),
        "markers": [],
        "heel_edge": None,
        "axis": None,
        "bars": [],
        "card": [],
    }


def _points(points: Array) -> Any:
    return points.round(4).tolist()
