"""A foot set down askew: undone by the definition, or refused."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from heelball.sheet.drawing import AXIS_TURN_DEG, measure
from heelball.sheet.values import Array, Drawing, DrawnLine, Refused, Ticks
from tests.sheet.drawn_plans import drawn_plan
from tests.sheet.photographs.outlines import mesh_foot

PLAIN: dict[str, Any] = {"tool": "pen", "on_wall": False, "gaps": 0, "doubled": 0.0, "faint": False}


def turned(angle_deg: float) -> Drawing:
    """Return what is measured on the shared mesh's outline, turned by so much toward its inner side."""
    foot = mesh_foot()
    points = np.roll(foot.outline, -int(foot.outline[:, 0].argmin()), axis=0)
    points = points if points[len(points) // 4, 1] > 0 else points[::-1]
    cos, sin = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
    turn = np.array([[cos, sin], [-sin, cos]])

    def moved(of: Array) -> Array:
        return np.asarray(of @ turn)

    line = DrawnLine(moved(points), np.ones(len(points), bool), True, 0.0)
    return measure(line, Ticks(moved(foot.inner), moved(foot.outer), 0.0, 0.0))


@pytest.mark.parametrize("angle_deg", [-5.0, 5.0])
def test_five_degrees_are_undone_where_the_page_would_cost_five_millimetres(angle_deg: float) -> None:
    """The definition turns with the foot."""
    straight, askew = turned(0.0), turned(angle_deg)
    assert askew.values == pytest.approx(straight.values, abs=0.05)
    assert askew.axis_turn_deg - straight.axis_turn_deg == pytest.approx(angle_deg, abs=0.02)
    foot = mesh_foot()
    along_page = foot.inner @ [np.cos(np.radians(angle_deg)), -np.sin(np.radians(angle_deg))]
    assert abs(along_page - foot.inner[0]) > 3.0


def test_more_than_eight_degrees_are_refused() -> None:
    """By how far the foot's own axis stands from the printed one, either way."""
    own = turned(0.0).axis_turn_deg
    for most in (-8.0, 8.0):
        turned(most * 0.98 - own)
        with pytest.raises(Refused) as refused:
            turned(most * 1.02 - own)
        assert refused.value.reason == "turned"
        assert "8 degrees" in str(refused.value)


def test_a_drawing_askew_is_read_like_the_same_one_straight() -> None:
    """The same foot and the same hand, the sheet turned under them; 10 degrees are refused."""
    for seed in range(3):
        straight, askew = (drawn_plan(seed, **PLAIN, turn_deg=turn).read() for turn in (0.0, 5.0))
        assert askew.values[:4] == pytest.approx(straight.values[:4], abs=1.2)
        assert askew.axis_turn_deg - straight.axis_turn_deg == pytest.approx(5.0, abs=0.5)
        with pytest.raises(Refused) as refused:
            drawn_plan(seed, **PLAIN, turn_deg=10.5, length=225.0).read()
        assert refused.value.reason == "turned"


def test_the_axis_leads_to_the_second_toe_on_the_inner_side() -> None:
    """From the ball's middle the stated constant turns it inward, away from the little toe."""
    assert AXIS_TURN_DEG > 0
    drawing = turned(0.0)
    way = drawing.axis_to - drawing.axis_from
    middle = (mesh_foot().inner + mesh_foot().outer) / 2 - drawing.axis_from
    inward = way[0] * middle[1] - way[1] * middle[0]
    assert inward < 0
