"""A line that no foot has is refused; the odd foot is not."""

from __future__ import annotations

import numpy as np
import pytest

from evaluation.survey import surveyed_feet
from heelball.foot.prior import Sex
from heelball.sheet.shape import check_shape
from heelball.sheet.values import Drawing, Refused
from tests.requirements import shared

_AXIS = np.zeros(2)


def drawing(length: float, breadth: float) -> Drawing:
    values = np.array([length, 0.73 * length, 0.65 * length, breadth, breadth + 4.0])
    return Drawing(values, 0.0, _AXIS, np.array([length, 0.0]))


@pytest.mark.parametrize(("length", "breadth"), [(233.5, 125.0), (280.0, 75.0)])
def test_no_foot_is_so_broad_or_so_narrow(length: float, breadth: float) -> None:
    """As a picture damaged on one side, or a line that begins at another stroke, gave."""
    with pytest.raises(Refused) as refused:
        check_shape(drawing(length, breadth))
    assert refused.value.reason == "two_outlines"


@pytest.mark.parametrize("sex", ["men", "women"])
@pytest.mark.parametrize("body", [7.0, 10.0])
def test_every_surveyed_foot_may_be_drawn(sex: Sex, body: float) -> None:
    """ANSUR II: lengths and breadths as surveyed, drawn round with a pencil or a felt pen."""
    for foot in surveyed_feet(shared("data", "ansur2_feet_build.csv"), sex):
        check_shape(drawing(foot[0] + body / 2, foot[2] + body))
