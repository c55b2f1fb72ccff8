"""The sheet for a wearer who is kept: chosen by the feet as they are known, to be printed and sent."""

from __future__ import annotations

from attrs import frozen

from heelball.errors import InputError
from heelball.foot.vector import FEET
from heelball.records.store import Records
from heelball.sheet.marking import PAPERS, Paper
from heelball.sheet.printing import sheet_pdf
from heelball.work.kept_core import wearer_as_kept
from heelball.work.sheet_form import SheetWanted
from heelball.work.sheet_print import longest_of, two_pages_for


@frozen
class SheetsKnown:
    """Which sheets a wearer's feet need.

    Parameters
    ----------
    longest
        A length [mm] that neither foot is likely to pass; None where nothing was read.
    two
        Whether a foot needs two pages, by paper; papers that do not hold it are left out.
    """

    longest: float | None
    two: dict[Paper, bool]


def sheets_for(records: Records, wearer_id: str) -> SheetsKnown:
    """Return which sheets a kept wearer's feet need.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    """
    longest = longest_of(wearer_as_kept(records, wearer_id), FEET)
    two: dict[Paper, bool] = {}
    for paper in PAPERS:
        try:
            two[paper] = two_pages_for(paper, longest, "foot_length")
        except InputError:
            continue
    return SheetsKnown(longest, two)


def sheet_to_send(records: Records, wearer_id: str, code: str, wanted: SheetWanted) -> bytes:
    """Return the sheet for a kept wearer as PDF, with the code on it and never the name.

    Parameters
    ----------
    records, wearer_id
        Whose sheet.
    code
        The wearer's code.
    wanted
        Which sheet; where no length is told, the feet as they are known choose.

    Raises
    ------
    InputError
        Where no sheet holds the foot.
    MissingExtra
        Where typst is not installed.
    """
    length = wanted.foot_length
    if length is None:
        length = longest_of(wearer_as_kept(records, wearer_id), wanted.feet)
    two = two_pages_for(wanted.paper, length, "foot_length")
    return sheet_pdf(wanted.paper, wanted.feet, two=two, code=code)
