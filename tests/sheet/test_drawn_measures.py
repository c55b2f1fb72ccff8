"""What is measured on a drawn line, against the shared mesh and definitions written apart."""

from __future__ import annotations

import numpy as np
import pytest

from heelball.sheet.drawing import AXIS_TURN_DEG, measure
from heelball.sheet.values import DrawnLine, Refused, Ticks
from tests.sheet.photographs.definitions import measured, second_toe_turn_deg
from tests.sheet.photographs.outlines import mesh_foot, random_foot


def line_of(outline, *, closed=True):
    """Return an outline as the reader gives it: from the heel up the inner side, round the toes."""
    points = np.roll(outline, -int(outline[:, 0].argmin()), axis=0)
    if points[len(points) // 4, 1] < 0:
        points = points[::-1]
    return DrawnLine(points, np.ones(len(points), bool), closed, 0.0)


def test_the_axis_turns_to_the_second_toe_of_the_shared_mesh():
    assert pytest.approx(second_toe_turn_deg(), abs=0.1) == AXIS_TURN_DEG


def test_the_mesh_measures_what_is_known_of_it():
    foot = mesh_foot()
    values = measure(line_of(foot.outline), Ticks(foot.inner, foot.outer, 0.0, 0.0)).values
    # shared data/mesh/README.md: length, heel to MTP1, heel to MTP5, breadth, MTP1-MTP5 in plan; its
    # axis lies half a degree from ours, and the joints' places on the outline move by 1 to 3 mm.
    known = np.array([264.0, 194.3, 171.2, 101.6, 104.2])
    assert np.abs(values - known) == pytest.approx(np.zeros(5), abs=1.0)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("closed", [True, False])
def test_two_programs_measure_a_foot_alike(seed, closed):
    foot = random_foot(np.random.default_rng(seed))
    outline = foot.outline
    ours = measure(line_of(outline, closed=closed), Ticks(foot.inner, foot.outer, 0.0, 0.0)).values
    apart = measured(outline, foot.inner, foot.outer, on_wall=not closed).values
    assert ours == pytest.approx(apart, abs=0.15)


def test_a_foot_on_the_other_foots_sheet_and_a_turned_one_are_refused():
    foot = mesh_foot()
    with pytest.raises(Refused) as other:
        measure(line_of(foot.outline), Ticks(foot.inner - [35.0, 0.0], foot.outer, 0.0, 0.0))
    assert other.value.reason == "wrong_foot"
    angle = np.radians(10.0)
    turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    with pytest.raises(Refused) as turned:
        measure(line_of(foot.outline @ turn), Ticks(foot.inner @ turn, foot.outer @ turn, 0.0, 0.0))
    assert turned.value.reason == "turned"
