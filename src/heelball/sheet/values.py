"""What the sheet's reading is made of, as values: pictures, lines, ticks, readings, refusals."""

from __future__ import annotations

from typing import Final, Literal

import numpy as np
import numpy.typing as npt
from attrs import frozen

from heelball.errors import PhotographError
from heelball.foot.reading import Load

Array = npt.NDArray[np.float64]
Grey = npt.NDArray[np.uint8]
Mask = npt.NDArray[np.bool_]

Tool = Literal["pencil", "pen", "felt-pen"]
Witness = Literal["bar", "card", "edges", "none"]
Reason = Literal[
    "not_a_picture",
    "truncated",
    "too_large",
    "too_small",
    "no_sheet",
    "other_version",
    "markers",
    "blurred",
    "dark",
    "glare",
    "oblique",
    "bent",
    "print_scale",
    "outline_open",
    "two_outlines",
    "ticks",
    "off_sheet",
    "wrong_foot",
    "turned",
]

#: What is measured on the drawn line, in the order of every vector and covariance of it.
DRAWN: Final = ("length", "ball", "outer_ball", "breadth", "ball_line")


class Refused(PhotographError):
    """A photograph that no reading is taken from: why, and what to do about it.

    Parameters
    ----------
    reason
        One word, the first that applies in the order of `Reason`.
    text, remedy
        A sentence each.
    """

    def __init__(self, reason: Reason, text: str, remedy: str) -> None:
        super().__init__(text, remedy)
        self.reason: Reason = reason


@frozen(eq=False)
class Picture:
    """A photograph, decoded.

    Parameters
    ----------
    grey
        Shape (rows, columns), upright as its orientation tag claims (the claim may be false).
    focal_px
        Focal length told by the file, in pixels of `grey`; None where it tells none.
    """

    grey: Grey
    focal_px: float | None


@frozen(eq=False)
class Plan:
    """The paper seen from straight above, in the print's own millimetres and the foot's frame.

    The pixel at (row, column) stands at ``along = along_from + column / px_per_mm`` (heel edge 0,
    toes positive) and ``across = across_from + row / px_per_mm`` (the printed axis 0, the foot's
    inner side positive), for either foot.

    Parameters
    ----------
    grey
        Shape (rows, columns).
    free
        Where the paper is bare, so that what is dark there was drawn: same shape, false on print,
        off the paper and outside the photograph.
    on_paper
        Where there is paper in the photograph, print or not: same shape.
    seen_px_per_mm
        Smallest number of the photograph's pixels to a millimetre on this part of the paper.
    """

    grey: Grey
    free: Mask
    on_paper: Mask
    px_per_mm: float
    along_from: float
    across_from: float
    seen_px_per_mm: float


@frozen(eq=False)
class DrawnLine:
    """The line round a foot, in the foot's frame.

    Parameters
    ----------
    points
        Shape (n, 2), (along, across) [mm] about every quarter millimetre, from the inner side of the
        heel round the toes to the outer side; closed by the heel edge, or by itself.
    drawn
        Shape (n,): whether something was drawn there; false on bridged gaps.
    closed
        Whether the line goes round behind the heel by itself (drawn away from a wall).
    spread
        Standard deviation [mm] of what is seen about the line: half the distance of a doubled one.
    on_paper
        Whether it stays on the paper; what ran off it was not seen.
    """

    points: Array
    drawn: Mask
    closed: bool
    spread: float
    on_paper: bool = True


@frozen(eq=False)
class Ticks:
    """Where the two ticks, prolonged, meet the line: (along, across) [mm], and how sure each is [mm]."""

    inner: Array
    outer: Array
    inner_sd: float
    outer_sd: float


@frozen(eq=False)
class Drawing:
    """What is measured on the drawn line, in the print's own millimetres.

    Parameters
    ----------
    values
        In the order of `DRAWN`.
    axis_turn_deg
        From the printed axis to the drawn foot's, positive toward the inner side.
    axis_from, axis_to
        Ends of the foot's axis, (along, across) [mm]: at the heel, and at the farthest point's height.
    """

    values: Array
    axis_turn_deg: float
    axis_from: Array
    axis_to: Array


@frozen
class Circumstances:
    """What the wearer told beside the sheet.

    Parameters
    ----------
    tool
        What was drawn with; None where it was not told.
    load
        How the foot was loaded.
    alone
        Nobody helped: every ± is doubled.
    bar
        Lengths [mm] that the wearer measured on the printed bars: along, and across where told.
    card
        The line of the ladder that the card's edge meets [%].
    """

    tool: Tool | None = None
    load: Load = "standing"
    alone: bool = False
    bar: tuple[float, float | None] | None = None
    card: float | None = None


@frozen(eq=False)
class Scale:
    """True millimetres to one of the print, and what says so.

    Parameters
    ----------
    mean, sd
        Along the foot.
    witness
        The surest of what says so.
    factors
        Shape (3,): of what lies along the foot, of what lies across it, and how much of the way
        along is added to the way across, for a print stretched more one way than the other.
    cov
        Covariance of `factors`, shape (3, 3).
    page
        Along the page's width and along its height, shape (2,).
    page_cov
        Covariance of `page`, shape (2, 2).
    """

    mean: float
    sd: float
    witness: Witness
    factors: Array
    cov: Array
    page: Array
    page_cov: Array
    remarks: tuple[str, ...] = ()


#: What is said of the foot, in the order of every mean and covariance of it.
FOOT: Final = ("length", "ball", "outer_ball", "breadth")


@frozen
class PlanPicture:
    """The paper from straight above, toes up, with what was found drawn on it (PNG).

    A pixel (x, y) stands at ``along = along_top - y * mm_per_px`` and ``across = across_left + x *
    across_per_px``, true mm in the foot's frame.
    """

    png: bytes
    width: int
    height: int
    along_top: float
    across_left: float
    mm_per_px: float
    across_per_px: float
