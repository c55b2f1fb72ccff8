"""A bare foot on a sheet: what is asked of it, and its reading as ``heelball/sheet-reading/1``.

Nothing was drawn, and the ball may be missing.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from heelball.errors import InputError, Problem, UsageError
from heelball.sheet.values import FOOT
from heelball.work.figures_json import mm
from heelball.work.sheet_json import SCHEMA, scale_record, tape_record

if TYPE_CHECKING:
    from heelball.sheet.bare import BareReading

Point = tuple[float, float]


def ball_points(
    inner: str | None, outer: str | None, *, bare: bool, photographs: int
) -> tuple[Point | None, Point | None]:
    """Return the two ball points as typed, or None twice.

    Parameters
    ----------
    inner, outer
        ``X,Y``: column and row in the photograph as it is shown upright [pixels].
    bare
        Whether a bare foot is to be read.
    photographs
        How many are read in this call.

    Raises
    ------
    UsageError
        Where they do not go with the other words of the command.
    InputError
        Where one is no point.
    """
    if inner is None and outer is None:
        return None, None
    if not bare:
        raise UsageError(
            "--inner and --outer point at the joints of a bare foot; on a drawn sheet the ticks say them.",
            "Leave them away, or add --bare.",
        )
    if inner is None or outer is None:
        missing = "--inner" if inner is None else "--outer"
        raise UsageError(f"Only one of the two ball points was given; {missing} is missing.", "Give both.")
    if photographs > 1:
        raise UsageError(
            f"--inner and --outer point into one photograph; here are {photographs}.", "Name one photograph."
        )
    problems: list[Problem] = []
    points = [_point(text, place, problems) for text, place in ((inner, "--inner"), (outer, "--outer"))]
    if problems:
        raise InputError(problems)
    return points[0], points[1]


def check_bare(*, tool: str | None, calibrated: bool) -> None:
    """Refuse what is told of a drawing where nothing was drawn.

    Raises
    ------
    UsageError
        Where a tool or a calibration is named.
    """
    for named, option in ((tool is not None, "--tool"), (calibrated, "--calibration")):
        if named:
            raise UsageError(
                f"{option} is of a drawn line; nothing is drawn round a bare foot.",
                f"Leave {option} away, or --bare.",
            )


def _point(text: str, place: str, problems: list[Problem]) -> Point | None:
    try:
        column, row = (float(part) for part in text.split(","))
    except ValueError:
        column = row = -1.0
    if not (0 <= column < math.inf and 0 <= row < math.inf):
        wanted = "X,Y: column and row in the upright photograph, such as 1810,1422"
        problems.append(Problem(place, text or "nothing", wanted))
        return None
    return column, row


def bare_line(
    reading: BareReading, *, girth: float | None = None, instep: float | None = None
) -> dict[str, Any]:
    """Return the line of one bare foot's reading.

    Parameters
    ----------
    reading
        Of one photograph.
    girth, instep
        As read from the printed tape [mm]; the print's scale is taken out of them.
    """
    of = [FOOT.index(name) for name in ("length", "ball", "breadth")]
    return {
        "schema": SCHEMA,
        "photo": reading.photo,
        "foot": reading.foot,
        "bare": True,
        "axis_turn_deg": round(reading.turn_deg, 2),
        "drawn": None,
        "foot_mm": {name: _figure(reading, k) for k, name in enumerate(FOOT)},
        "covariance": [[_number(reading.cov[i, j]) for j in of] for i in of],
        "scale": scale_record(reading.scale),
        "quality": {name: round(float(value), 3) for name, value in reading.quality.items()},
        "remarks": list(reading.remarks),
        "load": reading.load,
        "tool": None,
        "ticks_mm": None,
        "tape": tape_record(reading.scale, girth, instep),
    }


def _figure(reading: BareReading, k: int) -> dict[str, float | None] | None:
    """Return one measure; None where it was not read."""
    mean = mm(float(reading.mean[k]))
    return None if mean is None else {"mean_mm": mean, "sd_mm": mm(float(reading.cov[k, k]) ** 0.5)}


def _number(value: float) -> float | None:
    return round(float(value), 4) if value == value else None  # NaN: not read
