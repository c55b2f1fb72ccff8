"""From the drawn line to the foot: what the tool adds is taken off, and the stated ± holds."""

from __future__ import annotations

import numpy as np
import pytest
from attrs import evolve

from heelball.sheet.calibration import Calibration, HandOf
from heelball.sheet.hand import foot_of, judged_sd
from heelball.sheet.layout import pages_of
from heelball.sheet.scale import scale_of, true_line, true_points, true_ticks
from heelball.sheet.values import Circumstances, Drawing, DrawnLine, Ticks
from tests.sheet.photographs.definitions import measured
from tests.sheet.photographs.hand import Manner, drawn_round, set_down
from tests.sheet.photographs.outlines import mesh_foot

A4 = pages_of("a4", "right")[0].frame
PROVEN = Circumstances(tool="pencil", bar=(150.0, 150.0))
VALUES = np.array([270.0, 198.0, 170.0, 105.0, 110.0])
TICKS = Ticks(np.array([198.0, 50.0]), np.array([170.0, -52.0]), 0.3, 0.3)


def drawing(values=VALUES) -> Drawing:
    return Drawing(values, 0.0, np.zeros(2), np.array([values[0], 0.0]))


def line(*, closed=False, spread=0.0) -> DrawnLine:
    """Half an ellipse on two straight sides: enough to have a tip and two sides."""
    turn = np.linspace(np.pi / 2, -np.pi / 2, 400)
    front = np.stack([200 + 70 * np.cos(turn), 52.5 * np.sin(turn)], axis=1)
    up = np.linspace(0.0, 199.75, 800)
    sides = [np.stack([along, np.full(800, side)], axis=1) for along, side in ((up, 52.5), (up[::-1], -52.5))]
    points = np.concatenate([sides[0], front, sides[1]])
    return DrawnLine(points, np.ones(len(points), dtype=bool), closed, spread)


def foot(told=PROVEN, *, of=None, ticks=TICKS, calibration=None):
    return foot_of(drawing(), of or line(), ticks, told, scale_of(told, A4), calibration)


def sd(read) -> np.ndarray:
    return np.sqrt(np.diag(read.cov))


@pytest.mark.parametrize(("tool", "body"), [("pencil", 7.0), ("pen", 9.0), ("felt-pen", 10.0), (None, 7.0)])
def test_the_tools_body_is_taken_off_as_it_was_drawn(tool, body):
    told = evolve(PROVEN, tool=tool)
    on_wall = foot(told)
    # The heel is taken to stand half a millimetre off the wall.
    np.testing.assert_allclose(on_wall.mean, VALUES[:4] - [body / 2 + 0.5, 0.5, 0.5, body])
    drawn_behind = foot(told, of=line(closed=True))
    np.testing.assert_allclose(drawn_behind.mean, VALUES[:4] - [body, body / 2, body / 2, body])


def test_a_tool_that_was_not_told_makes_length_and_breadth_less_sure_and_the_ball_hardly():
    told, untold = sd(foot()), sd(foot(evolve(PROVEN, tool=None)))
    assert untold[0] ** 2 - told[0] ** 2 == pytest.approx((1.5**2 - 0.5**2) / 4)
    assert untold[3] ** 2 - told[3] ** 2 == pytest.approx(1.5**2 - 0.5**2)
    assert untold[1] == pytest.approx(told[1])


def test_alone_every_sd_is_doubled():
    np.testing.assert_allclose(foot(evolve(PROVEN, alone=True)).cov, 4 * foot().cov)
    np.testing.assert_allclose(foot(evolve(PROVEN, alone=True)).own_cov, 4 * foot().own_cov)


def test_no_witness_of_the_scale_adds_one_per_cent_to_every_measure_at_once():
    proven, untold = foot(), foot(Circumstances(tool="pencil"))
    # The prior's two directions share all but a quarter of half a per cent.
    added = untold.cov - proven.cov
    assert np.sqrt(added[0, 0]) == pytest.approx(2.70, rel=0.05)
    assert np.sqrt(added[3, 3]) == pytest.approx(1.05, rel=0.05)
    assert added[0, 1] == pytest.approx(0.01**2 * 270 * 198, rel=0.1)


def test_a_gap_makes_less_sure_what_is_measured_there_and_nothing_else():
    whole = line()
    tip = np.abs(whole.points[:, 1]) < 5.0
    at_tip = evolve(whole, drawn=~(tip & (whole.points[:, 0] > 200)))
    more = sd(foot(of=at_tip)) - sd(foot())
    assert more[0] > 0.05
    np.testing.assert_allclose(more[1:], 0, atol=1e-12)
    side = (whole.points[:, 1] > 50) & (whole.points[:, 0] > 130)
    more = sd(foot(of=evolve(whole, drawn=~side))) - sd(foot())
    assert more[3] > 0.05
    np.testing.assert_allclose(more[:3], 0, atol=1e-12)


@pytest.mark.parametrize(("tool", "one"), [("pencil", 0.43), ("pen", 0.39), ("felt-pen", 0.65), (None, 0.43)])
def test_a_doubled_line_is_less_sure_by_half_its_distance_and_a_single_stroke_not_at_all(tool, one):
    told = evolve(PROVEN, tool=tool)
    plain = foot(told).cov
    np.testing.assert_allclose(foot(told, of=line(spread=one)).cov, plain)
    # Two strokes 1.6 mm apart: 0.8 to either side of their middle.
    doubled = foot(told, of=line(spread=float(np.hypot(one, 0.8)))).cov
    assert doubled[0, 0] - plain[0, 0] == pytest.approx(0.8**2)
    assert doubled[3, 3] - plain[3, 3] == pytest.approx(2 * 0.8**2)


def test_another_photograph_shares_all_but_what_reading_adds():
    read = foot(ticks=evolve(TICKS, inner_sd=1.5))
    assert np.linalg.eigvalsh(read.cov - read.own_cov).min() > 0
    assert read.own_cov[1, 1] == pytest.approx(1.5**2 + 0.3**2)
    assert read.own_cov[2, 2] == pytest.approx(0.3**2 + 0.3**2)
    assert np.sqrt(read.own_cov[0, 0]) < 0.5


def test_what_was_learnt_of_the_hand_replaces_what_was_judged():
    learnt = Calibration({"ball": HandOf(40, 1.2, 0.3, 1.0)})
    read, judged = foot(calibration=learnt), foot()
    np.testing.assert_allclose(judged.mean - read.mean, [0, 1.2, 0, 0])
    np.testing.assert_allclose(sd(read)[[0, 2, 3]], sd(judged)[[0, 2, 3]])
    # 1.0 of the hand, 0.3 of the offset, 0.42 of reading, and the bars' scale.
    assert sd(read)[1] == pytest.approx(np.sqrt(1.0 + 0.3**2 + 0.18 + 0.3**2), abs=0.08)


def test_the_judged_hand_is_that_of_a_plain_drawing():
    np.testing.assert_allclose(
        list(judged_sd().values()),
        [
            np.sqrt(0.25**2 + 0.6**2 + 1 / 12 + 0.5**2),
            np.sqrt(2.0**2 + 1 / 12),
            np.sqrt(2.0**2 + 1 / 12),
            np.sqrt(0.5**2 + 1.2**2 + 2 * 0.5**2),
        ],
    )


@pytest.mark.parametrize("on_wall", [True, False])
@pytest.mark.parametrize("tool", ["pencil", "felt-pen"])
def test_nine_in_ten_feet_lie_within_the_stated_nine_in_ten(on_wall, tool):
    """The foot is drawn round by the renderer's hand, which knows nothing of the loadings."""
    chance = np.random.default_rng(20)
    told = Circumstances(tool=tool, bar=(148.5, None))
    scale = scale_of(told, A4)
    loose = np.linalg.cholesky(scale.cov + 1e-15 * np.eye(3))
    within, apart, stated = [], [], []
    for _ in range(300):
        manner = Manner(tool=tool, on_wall=on_wall)
        stood = set_down(mesh_foot(), manner, chance)
        truth = measured(stood.outline, stood.inner, stood.outer, on_wall=False).values[:4]
        drawn = drawn_round(stood, manner, chance)
        printed = evolve(scale, factors=scale.factors + loose @ chance.standard_normal(3))
        seen = DrawnLine(
            in_the_prints_mm(drawn.line, printed), np.ones(len(drawn.line), dtype=bool), not on_wall, 0.0
        )
        at = [in_the_prints_mm(tick, printed) for tick in (drawn.inner, drawn.outer)]
        ticks = true_ticks(Ticks(at[0], at[1], 0.3, 0.3), scale)
        whole = true_line(seen, scale)
        on_line = measured(whole.points, ticks.inner, ticks.outer, on_wall=on_wall)
        noise = 0.3 * chance.standard_normal(5) * [1, 1.4, 1.4, 1.4, 0]
        axis = np.radians(on_line.turn_deg)
        way = on_line.length * np.array([np.cos(axis), np.sin(axis)])
        as_read = Drawing(on_line.values + noise, on_line.turn_deg, np.zeros(2), way)
        read = foot_of(as_read, whole, ticks, told, scale)
        apart.append(read.mean - truth)
        stated.append(read.cov)
        within.append(np.abs(apart[-1]) < 1.645 * sd(read))
    share = np.mean(within, axis=0)
    assert (share > 0.85).all(), share
    assert (share < 0.96).all(), share
    # What goes together is stated too.
    correlation = np.corrcoef(np.array(apart).T)
    cov = np.mean(stated, axis=0)
    sds = np.sqrt(np.diag(cov))
    np.testing.assert_allclose(correlation, cov / np.outer(sds, sds), atol=0.2)


def in_the_prints_mm(points, printed) -> np.ndarray:
    """Return where points that truly lie there were drawn, in the millimetres of a print so scaled."""
    onto = true_points(np.eye(2), printed)
    return np.asarray(points @ np.linalg.inv(onto))
