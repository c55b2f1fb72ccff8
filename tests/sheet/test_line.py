"""The line round a foot: found where it was drawn, bridged, closed, or refused for a reason."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
from attrs import evolve
from scipy.spatial import cKDTree

from heelball.sheet.drawing import measure
from heelball.sheet.hand import foot_of
from heelball.sheet.layout import pages_of
from heelball.sheet.scale import scale_of
from heelball.sheet.values import Circumstances, Refused, Ticks
from heelball.sheet.whole import check_on_paper
from tests.sheet.drawn_plans import (
    DrawnPlan,
    again,
    drawing,
    drawn_plan,
    gapped,
    plan_of,
    side_point,
    sock,
    tape,
    writing,
)

#: The issue's limits on length, both ball lengths and breadth of the mean drawn line [mm].
LIMITS = np.array([1.2, 1.2, 1.2, 1.5])
#: The issue's: longest gap bridged, longest at the toe's tip, farthest end from the heel edge [mm].
LONGEST_GAP, LONGEST_GAP_AT_TIP, FARTHEST_END = 12.0, 6.0, 15.0
PLAIN: dict[str, Any] = {"tool": "pen", "on_wall": True, "gaps": 0, "doubled": 0.0, "faint": False}


def of(drawn, seed, *things, extra=(), **paper):
    """Return a changed drawing on its paper, other strokes beside it."""
    return DrawnPlan(plan_of((*drawn.strokes, *extra), seed, *things, **paper), drawn)


def refusal_of(plan):
    with pytest.raises(Refused) as refused:
        plan.line()
    return refused.value


@cache
def errors(count, **changes):
    """Return how far the measures of so many drawings are read from the mean drawn line's [mm]."""
    plans = (drawn_plan(seed, **changes) for seed in range(count))
    return np.array([plan.read().values - plan.on_line for plan in plans])


def test_sound_drawings_are_read_within_the_limits():
    """Pencil, pen and felt pen; on a wall and drawn round; broken, doubled, faint: none refused."""
    off = np.percentile(np.abs(errors(40)), 95, axis=0)
    assert (off[:4] <= LIMITS).all(), off


def test_a_line_is_followed_and_not_only_measured():
    for seed in range(6):
        plan = drawn_plan(seed, **PLAIN)
        away = np.asarray(cKDTree(plan.drawn.line).query(plan.line().points)[0])
        # A hand trembles by a third of a millimetre about its mean line.
        assert np.percentile(away, 95) < 0.8
        assert away.mean() < 0.3


def test_a_doubled_line_counts_as_its_middle_and_tells_how_far_apart_it_is():
    for seed in range(6):
        double = drawn_plan(seed, **PLAIN | {"doubled": 1.8}, doubled_all=True)
        single = drawn_plan(seed, **PLAIN)
        assert (np.abs(double.read().values - double.on_line)[:4] <= LIMITS).all()
        assert double.line().spread == pytest.approx(0.9, abs=0.3)
        assert single.line().spread < 0.5


def test_a_gap_is_bridged_to_its_limit_and_refused_beyond():
    for seed, inner in ((0, True), (1, False)):
        drawn = drawing(seed, **PLAIN)
        at = side_point(drawn, 0.45 * drawn.line[:, 0].max(), inner=inner)
        plan = of(gapped(drawn, at, LONGEST_GAP - 1.0), seed)
        assert (np.abs(plan.read().values - plan.on_line)[:4] <= LIMITS).all()
        assert undrawn(plan.line()) == pytest.approx(LONGEST_GAP - 1.0, abs=1.5)
        refused = refusal_of(of(gapped(drawn, at, LONGEST_GAP + 2.0), seed))
        assert refused.reason == "outline_open"
        assert "gap of" in str(refused)


def undrawn(line):
    """Return the longest piece of a line that nothing was drawn on [mm]."""
    steps = np.hypot(*np.diff(line.points, axis=0).T)
    pieces = np.split(steps * ~line.drawn[1:], np.flatnonzero(line.drawn[1:]))
    return max(piece.sum() for piece in pieces)


def test_a_gap_at_the_tip_is_bridged_to_half_of_that():
    for seed in (0, 1):
        drawn = drawing(seed, **PLAIN)
        # Beside the printed axis, which hides what is drawn on it.
        tip = drawn.line[drawn.line[:, 0].argmax()]
        of(gapped(drawn, tip, LONGEST_GAP_AT_TIP - 1.5), seed).line()
        refused = refusal_of(of(gapped(drawn, tip, LONGEST_GAP_AT_TIP + 2.5), seed))
        assert refused.reason == "outline_open"
        assert "toes' tip" in str(refused)


def test_the_length_is_less_sure_where_the_tip_was_bridged():
    drawn = drawing(3, **PLAIN)
    tip = drawn.line[drawn.line[:, 0].argmax()]
    told = Circumstances(tool="pen", bar=(150.0, 150.0))
    scale = scale_of(told, pages_of("a4", "right")[0].frame, None)
    ticks = Ticks(drawn.inner, drawn.outer, 0.3, 0.3)

    def sd(plan):
        line = plan.line()
        return foot_of(measure(line, ticks), line, ticks, told, scale, None).cov[0, 0] ** 0.5

    assert sd(of(gapped(drawn, tip, 5.0), 3)) > sd(of(drawn, 3)) + 0.01


def test_on_a_wall_the_heel_edge_closes_the_line():
    for seed in range(3):
        plan = drawn_plan(seed, **PLAIN)
        line = plan.line()
        assert not line.closed
        for end, drawn_end in ((line.points[0], plan.drawn.line[0]), (line.points[-1], plan.drawn.line[-1])):
            assert np.hypot(*(end - drawn_end)) < 2.0
        # From the heel edge, which is at 0, and not from where the pencil stopped.
        assert plan.read().values[0] == pytest.approx(line.points[:, 0].max(), abs=1.2)


def test_both_ends_are_near_the_heel_edge_or_the_line_is_open():
    for seed in (0, 1):
        drawn_plan(seed, **PLAIN, open_heel=FARTHEST_END - 2.0).line()
        refused = refusal_of(drawn_plan(seed, **PLAIN, open_heel=FARTHEST_END + 3.0))
        assert refused.reason == "outline_open"
        assert "from the heel edge" in str(refused)


def test_one_end_alone_too_far_from_the_heel_edge_is_enough():
    drawn = drawing(2, **PLAIN)
    cut = tuple(
        evolve(one, points=one.points[(one.points[:, 1] < 0) | (one.points[:, 0] > FARTHEST_END + 5.0)])
        for one in drawn.strokes[:-2]
    )
    refused = refusal_of(of(evolve(drawn, strokes=(*cut, *drawn.strokes[-2:])), 2))
    assert refused.reason == "outline_open"
    assert "inner side" in str(refused)


def test_a_line_drawn_round_the_heel_is_closed_by_itself():
    for seed in range(3):
        plan = drawn_plan(seed, **PLAIN | {"on_wall": False})
        line = plan.line()
        assert line.closed
        assert line.points[:, 0].min() == pytest.approx(plan.drawn.line[:, 0].min(), abs=0.8)
        assert (np.abs(plan.read().values - plan.on_line)[:4] <= LIMITS).all()


def test_a_heel_that_stood_off_the_wall_needs_a_line_round_it():
    for seed in range(3):
        drawn = drawing(seed, **PLAIN | {"on_wall": False})
        ahead = np.array([8.0 - drawn.line[:, 0].min(), 0.0])
        strokes = tuple(
            evolve(one, points=(one.points + ahead)[one.points[:, 0] + ahead[0] > FARTHEST_END - 1.0])
            for one in drawn.strokes
        )
        assert refusal_of(of(evolve(drawn, strokes=strokes), seed)).reason == "outline_open"


def test_what_the_printed_axis_hides_is_taken_from_either_side():
    for seed in range(3):
        plan = drawn_plan(seed, **PLAIN)
        ahead = plan.drawn.line[plan.drawn.line[:, 0] > 100.0]
        crossing = ahead[np.abs(ahead[:, 1]).argmin()]
        assert plan.ink.at(crossing[None])[0] > 10 * plan.ink.noise


def test_nothing_drawn_is_no_line():
    nothing = evolve(drawing(0), strokes=())
    assert refusal_of(of(nothing, 0)).reason == "outline_open"


def test_writing_tape_and_a_sock_beside_it_do_not_count():
    for seed in range(8):
        plain = drawn_plan(seed)
        chance = np.random.default_rng(seed)
        tip = plain.drawn.line[:, 0].max()
        words = [writing((along, across), chance) for along, across in ((0.5 * tip, 0.0), (40.0, 70.0))]
        # Across the line, inside and out, clear of where ticks stand.
        across_line = writing(side_point(plain.drawn, 0.3 * tip, inner=True), chance, long=12.0)
        things = (tape((0.35 * tip, -60.0), 30.0 * seed), sock((0.25 * tip, 82.0)))
        full = of(plain.drawn, seed, *things, extra=(*words, across_line))
        assert np.abs(full.read().values - plain.read().values)[:4] == pytest.approx(np.zeros(4), abs=0.6)


@pytest.mark.parametrize("toward_deg", range(0, 360, 30))
def test_a_foot_drawn_again_a_few_millimetres_off_is_two_outlines(toward_deg):
    """Whichever way it moved: along the foot the two part from each other at the toes only."""
    way = np.array([np.cos(np.radians(toward_deg)), np.sin(np.radians(toward_deg))])
    for seed, far in ((0, 5.0), (4, 6.5)):
        drawn = drawing(seed, **PLAIN)
        twice = of(drawn, seed, extra=again(drawn, far * way))
        assert refusal_of(twice).reason == "two_outlines"


def test_the_other_foot_drawn_over_it_is_two_outlines():
    for seed in range(3):
        drawn = drawing(seed, **PLAIN)
        assert refusal_of(of(drawn, seed, extra=again(drawn, (-4.0, 3.0), mirrored=True))).reason == (
            "two_outlines"
        )


def test_two_lines_apart_all_the_way_are_two_outlines_and_not_an_open_heel():
    for seed in range(4):
        twice = drawn_plan(seed, **PLAIN | {"doubled": 9.0}, doubled_all=True)
        assert refusal_of(twice).reason == "two_outlines"


def test_toes_over_the_papers_edge_are_off_the_sheet():
    for seed in (0, 1):
        drawn = drawing(seed, **PLAIN)
        over = of(drawn, seed, paper_to=float(drawn.line[:, 0].max()) - 12.0).line()
        with pytest.raises(Refused) as refused:
            check_on_paper(over)
        assert refused.value.reason == "off_sheet"
        check_on_paper(of(drawn, seed).line())
