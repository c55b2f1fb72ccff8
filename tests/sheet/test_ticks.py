"""The two ticks: where they meet the line, and what is not one of them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
from attrs import evolve

from heelball.sheet.drawing import measure
from heelball.sheet.line import find_line
from heelball.sheet.ticks import find_ticks
from heelball.sheet.values import Array, Refused, Ticks
from tests.sheet.drawn_plans import HOLDS, DrawnPlan, drawing, drawn_plan, plan_of, side_point, writing
from tests.sheet.photographs.hand import Drawn, Stroke

#: How far from the line a tick may begin, and the shortest that is one [mm].
FARTHEST_START, SHORTEST = 4.0, 3.5
PLAIN: dict[str, Any] = {"tool": "pen", "on_wall": True, "gaps": 0, "doubled": 0.0, "faint": False}


def ticks_of(plan: DrawnPlan) -> Ticks:
    """Return the ticks as they are found on the line as it is found."""
    return find_ticks(plan.ink, find_line(plan.ink, HOLDS))


def of(drawn: Drawn, seed: int, extra: Sequence[Stroke] = ()) -> DrawnPlan:
    """Return a drawing on its paper, other strokes beside it."""
    return DrawnPlan(plan_of((*drawn.strokes, *extra), seed), drawn)


def refusal_of(plan: DrawnPlan) -> Refused:
    """Return why a plan's ticks are refused."""
    with pytest.raises(Refused) as refused:
        ticks_of(plan)
    return refused.value


def tick(drawn: Drawn, at: Array, start: float, long: float, *, slant_deg: float = 0.0) -> Stroke:
    """Return a tick straight out to its side, begun some way off the line [mm]."""
    out = np.array([np.tan(np.radians(slant_deg)), np.sign(at[1])])
    points = at + np.linspace(start, start + long, 20)[:, None] * out
    return evolve(drawn.strokes[-1], points=points)


def with_inner(seed: int, start: float, long: float, *, slant_deg: float = 0.0) -> tuple[DrawnPlan, Array]:
    """Return a drawing whose inner tick is another, and the point of the line it leads to."""
    drawn = drawing(seed, **PLAIN)
    at = side_point(drawn, 0.74 * float(drawn.line[:, 0].max()), inner=True)
    stroke = tick(drawn, at, start, long, slant_deg=slant_deg)
    return of(evolve(drawn, strokes=(*drawn.strokes[:-2], stroke, drawn.strokes[-1])), seed), at


def test_ticks_are_met_where_they_lead() -> None:
    """Pencil, pen and felt pen, begun on the line or a little off it, slanting as hands do."""
    off = []
    for seed in range(16):
        plan = drawn_plan(seed)
        found = ticks_of(plan)
        off += [found.inner - plan.drawn.inner, found.outer - plan.drawn.outer]
    assert np.percentile(np.hypot(*np.array(off).T), 95) < 1.0


@pytest.mark.parametrize("slant_deg", [-25.0, 25.0])
def test_a_slanting_tick_is_prolonged_to_the_line(slant_deg: float) -> None:
    """Begun 3.5 mm off the line it would be met 1.6 mm aside if it were dropped square onto it."""
    for seed in range(3):
        plan, at = with_inner(seed, 3.5, 10.0, slant_deg=slant_deg)
        assert np.hypot(*(ticks_of(plan).inner - at)) < 1.1


@pytest.mark.parametrize("seed", [0, 1, 2])
@pytest.mark.parametrize("missing", ["inner", "outer"])
def test_one_tick_missing_is_told_with_its_side(seed: int, missing: str) -> None:
    """The other tick stands in for neither."""
    drawn = drawing(seed, **PLAIN)
    kept = drawn.strokes[-1:] if missing == "inner" else drawn.strokes[-2:-1]
    refused = refusal_of(of(evolve(drawn, strokes=(*drawn.strokes[:-2], *kept)), seed))
    assert refused.reason == "ticks"
    assert missing in str(refused)


def test_no_ticks_at_all() -> None:
    """A line alone, on a picture with hardly any grain too."""
    for seed in range(6):
        assert refusal_of(drawn_plan(seed, ticks=())).reason == "ticks"


def test_what_begins_too_far_from_the_line_or_is_too_short_is_no_tick() -> None:
    """Just within both limits it is one."""
    for start, long, is_tick in (
        (FARTHEST_START - 1.5, 8.0, True),
        (FARTHEST_START + 2.0, 8.0, False),
        (1.5, SHORTEST + 2.0, True),
        (1.0, SHORTEST - 2.0, False),
    ):
        plan, at = with_inner(1, start, long)
        if is_tick:
            assert np.hypot(*(ticks_of(plan).inner - at)) < 0.9
        else:
            assert refusal_of(plan).reason == "ticks"


def test_two_ticks_on_a_side_leave_it_open_which_is_meant() -> None:
    """As likely as each other, to either side of where the joint lies."""
    drawn = drawing(0, **PLAIN)
    length = float(drawn.line[:, 0].max())
    both = [tick(drawn, side_point(drawn, share * length, inner=True), 0.0, 9.0) for share in (0.71, 0.77)]
    plan = of(evolve(drawn, strokes=(*drawn.strokes[:-2], drawn.strokes[-1])), 0, both)
    refused = refusal_of(plan)
    assert refused.reason == "ticks"
    assert "more than one" in str(refused)


def test_a_stroke_much_fainter_than_the_line_is_no_tick() -> None:
    """A fold of the paper, or the noise of a packed picture."""
    drawn = drawing(2, **PLAIN)
    faint = evolve(drawn.strokes[-2], dark=0.04)
    plan = of(evolve(drawn, strokes=(*drawn.strokes[:-2], faint, drawn.strokes[-1])), 2)
    assert refusal_of(plan).reason == "ticks"


def test_writing_beside_the_line_is_no_tick() -> None:
    """Off the joints by a tenth of the length or more, or farther out than a tick begins."""
    for seed in range(4):
        drawn = drawing(seed, **PLAIN)
        chance = np.random.default_rng(seed)
        length = float(drawn.line[:, 0].max())
        near = side_point(drawn, 0.45 * length, inner=True) + np.array([0.0, 4.0])
        places = [near, np.array([0.7 * length, 72.0])]
        words = [writing(at, chance, long=9.0) for at in places]
        bare, full = ticks_of(of(drawn, seed)), ticks_of(of(drawn, seed, words))
        assert np.hypot(*(full.inner - bare.inner)) < 0.6


def test_ticks_at_each_others_joints_are_the_other_foots() -> None:
    """Whether found about each side's own joint or about the other's."""
    for seed in range(6):
        plan = drawn_plan(seed, **PLAIN, swapped_ticks=True)
        with pytest.raises(Refused) as refused:
            measure(find_line(plan.ink, HOLDS), ticks_of(plan))
        assert refused.value.reason == "wrong_foot"
