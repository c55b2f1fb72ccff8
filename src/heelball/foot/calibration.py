"""A ruler laid on the fitter's own gauge: what is then known of the gauge's offsets (MODEL 2)."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from heelball.foot.marks import ball_ratio, letter_mark, size_mark
from heelball.foot.prior import FEET_SIZE, OFFSETS
from heelball.foot.reading import GaugeMark
from heelball.gaussian.normal import Array, Gaussian
from heelball.package_data import defaults
from heelball.scales import gauge_breadth
from heelball.scales.catalogue import size_scale


def calibrated(prior: Gaussian, marks: Sequence[GaugeMark]) -> Gaussian:
    """Return the prior of feet and offsets given what a ruler said of the gauge's marks."""
    if not marks:
        return prior
    observed = [_observed(mark, len(prior.mean)) for mark in marks]
    noise = np.full(len(marks), float(defaults()["gauge"]["calibration_sd"]) ** 2)
    design = np.array([row for row, _ in observed])
    return prior.condition(design, np.array([value for _, value in observed]), noise)


def _observed(mark: GaugeMark, size: int) -> tuple[Array, float]:
    """Return the row and value of a ruler on the gauge: what our formula says, less the truth."""
    if mark.what == "breadth":
        letters, _ = letter_mark(mark.scale, mark.mark)
        line, _ = size_mark(mark.scale, mark.line or "")
        ours = float(gauge_breadth.breadth(line, letters))
    else:
        length, _ = size_mark(mark.scale, mark.mark)
        ours = float(
            length if mark.what == "length" else ball_ratio(size_scale(mark.scale), "unstated") * length
        )
    row = np.zeros(size)
    row[FEET_SIZE + OFFSETS.index(mark.what)] = 1.0
    return row, ours - mark.measured_mm
