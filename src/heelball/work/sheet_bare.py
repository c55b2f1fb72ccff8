"""A bare foot's reading as ``heelball/sheet-reading/1``: nothing was drawn, and the ball may be missing."""

from __future__ import annotations

from typing import Any

from heelball.sheet.bare import BareReading
from heelball.sheet.values import FOOT
from heelball.work.figures_json import mm
from heelball.work.sheet_json import SCHEMA, scale_record, tape_record


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
