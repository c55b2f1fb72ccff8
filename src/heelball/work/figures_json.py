"""Numbers and labels as every record writes them: mm to 0.01, chances to 0.0001, never NaN."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from typing import Any

from heelball.fit.answers import FootFigure
from heelball.foot.reading import Reading
from heelball.foot.slips import Slip
from heelball.foot.vector import MEASURES, Measure
from heelball.last.values import Label, Last
from heelball.show.labels import size_text
from heelball.show.slip_words import slip_question


def mm(value: float | None) -> float | None:
    """Return a length to 0.01 mm; None where it is not known."""
    return _rounded(value, 2)


def chance(value: float | None) -> float | None:
    """Return a chance, a share or a loss to 0.0001; None where it is not known."""
    return _rounded(value, 4)


def _rounded(value: float | None, places: int) -> float | None:
    if value is None or not math.isfinite(value):
        return None
    return round(float(value), places) + 0.0  # no minus zero


def label_record(label: Label, last: Last) -> dict[str, str | None]:
    """Return a label as it is stamped: size and width, the width None where there is none."""
    return {"size": size_text(label.size, last.label_scale), "width": label.width}


def measures_record(figures: Mapping[Measure, FootFigure]) -> dict[str, dict[str, float | None]]:
    """Return mean and sd of each measure of one foot."""
    return {
        measure: {"mean_mm": mm(figures[measure].mean), "sd_mm": mm(figures[measure].sd)}
        for measure in MEASURES
    }


def slips_record(slips: Sequence[Slip], readings: Sequence[Reading]) -> list[dict[str, Any]]:
    """Return the likely slips; `reading` is the first of `readings`, counted from 0 in file order."""
    return [
        {
            "reading": slip.readings[0],
            "readings": list(slip.readings),
            "likely": slip.kind,
            "odds": chance(slip.odds),
            "text": slip_question(slip, readings),
        }
        for slip in slips
    ]


def json_line(record: Mapping[str, Any]) -> str:
    """Return a record as one line of JSON."""
    return json.dumps(record, ensure_ascii=False, allow_nan=False)
