"""The print's scale: undone from any one witness, doubted where two disagree, never claimed without one."""

from __future__ import annotations

import numpy as np
import pytest

from heelball.sheet.layout import FootFrame, pages_of
from heelball.sheet.scale import print_points, scale_of, true_line, true_points, true_tape, true_ticks
from heelball.sheet.values import Circumstances, DrawnLine, Refused, Ticks

A4 = pages_of("a4", "right")[0].frame


def told(bar=None, card=None) -> Circumstances:
    return Circumstances(bar=bar, card=card)


def test_without_a_witness_the_scale_is_one_give_or_take_one_per_cent_and_says_so():
    scale = scale_of(told(), A4)
    assert scale.mean == 1.0
    np.testing.assert_allclose(np.sqrt(np.diag(scale.page_cov)), 0.01)
    assert scale.sd == pytest.approx(0.01, rel=0.03)
    assert scale.witness == "none"
    assert "Nothing was measured" in scale.remarks[0]


@pytest.mark.parametrize("true", [0.90, 0.94, 1.0, 1.05])
@pytest.mark.parametrize("foot", ["left", "right"])
@pytest.mark.parametrize(
    ("witness", "say"),
    [
        ("bar", lambda s: (told(bar=(150 * s, None)), None)),
        ("bar", lambda s: (told(bar=(150 * s, 150 * s)), None)),
        ("card", lambda s: (told(card=100 * s), None)),
        ("edges", lambda s: (told(), (s, None))),
        ("edges", lambda s: (told(), (None, s))),
    ],
)
def test_any_one_witness_undoes_the_print(true, foot, witness, say):
    circumstances, edges = say(true)
    scale = scale_of(circumstances, pages_of("letter", foot)[0].frame, edges)
    assert scale.witness == witness
    assert scale.mean == pytest.approx(true, abs=2e-4)
    assert scale.sd < 0.0052
    assert scale.remarks == ()
    np.testing.assert_allclose(true_points(np.array([[200.0, 40.0]]) / true, scale), [[200, 40]], atol=0.05)


def test_one_bar_leaves_the_other_direction_half_a_per_cent():
    sd = np.sqrt(np.diag(scale_of(told(bar=(148.5, None)), A4).page_cov))
    assert sd[1] == pytest.approx(0.002, rel=0.01)
    assert sd[0] == pytest.approx(np.hypot(0.002, 0.005), rel=0.02)


def test_both_bars_undo_a_print_that_is_stretched_more_one_way():
    along, across = 0.99, 0.985
    scale = scale_of(told(bar=(150 * along, 150 * across)), A4)
    np.testing.assert_allclose(scale.page, [across, along], atol=1e-3)
    # A rectangle of 100 by 200 true mm on the paper, in the foot's frame of the print's millimetres.
    page = np.array([[20.0, 30.0], [120.0, 30.0], [120.0, 230.0], [20.0, 230.0]])
    true = true_points(A4.to_foot(page / scale.page), scale)
    sides = np.linalg.norm(np.roll(true, -1, axis=0) - true, axis=1)
    np.testing.assert_allclose(sides, [100, 200, 100, 200], rtol=1e-9)
    # The right angle between the sides is one again, and the heel edge stays where it was.
    assert (true[1] - true[0]) @ (true[3] - true[0]) == pytest.approx(0, abs=1e-6)
    np.testing.assert_allclose(true_points(np.array([[0.0, 33.0], [0.0, -33.0]]), scale)[:, 0], 0, atol=1e-12)


def test_true_points_are_found_again_on_the_print():
    scale = scale_of(told(bar=(148.5, 144.0)), A4)
    points = np.array([[0.0, 30.0], [265.0, -12.0], [190.0, 48.0]])
    assert abs(scale.factors[2]) > 0.005
    np.testing.assert_allclose(
        print_points(true_points(points, scale), scale), points, rtol=1e-12, atol=1e-12
    )


def test_the_sd_of_the_factors_is_that_of_the_witnesses():
    chance = np.random.default_rng(5)
    scale = scale_of(told(bar=(147.0, None)), A4)
    pages = scale.page + chance.standard_normal((20_000, 2)) @ np.linalg.cholesky(scale.page_cov).T
    directions = np.stack([A4.along, A4.inner])
    stretch = np.einsum("ip,np,jp->nij", directions, pages, directions)
    edge = np.linalg.norm(stretch[:, 1], axis=1)
    drawn = [np.linalg.det(stretch) / edge, edge, (stretch[:, 0] * stretch[:, 1]).sum(axis=1) / edge]
    np.testing.assert_allclose(np.cov(drawn), scale.cov, atol=4e-7)


def test_witnesses_that_agree_are_named_together_and_surer_than_either():
    scale = scale_of(told(bar=(148.5, 148.4), card=99.0), A4, (0.989, 0.99))
    assert scale.witness == "bar"
    assert scale.sd < scale_of(told(bar=(148.5, 148.4)), A4).sd
    (remark,) = scale.remarks
    assert remark.endswith("the bar across the page, the card, the paper's width and the paper's height.")


def test_witnesses_that_disagree_are_reported_and_trusted_less():
    agreed = scale_of(told(bar=(148.5, None), card=99.0), A4)
    torn = scale_of(told(bar=(148.5, None), card=96.5), A4)
    assert "The scale is in doubt: the bar along the page says 99.0 %, the card 96.5 %." in torn.remarks
    assert torn.sd > 3 * agreed.sd
    assert not any("doubt" in remark for remark in agreed.remarks)


@pytest.mark.parametrize(
    "circumstances",
    [told(bar=(130.0, None)), told(bar=(14.8, None)), told(bar=(150.0, 162.0)), told(card=120.0)],
)
def test_a_print_far_off_its_size_is_refused_with_a_remedy(circumstances):
    with pytest.raises(Refused, match=r"printed at .* 90 to 105 % can be read") as refused:
        scale_of(circumstances, A4)
    assert refused.value.reason == "print_scale"
    assert "100 %" in refused.value.remedy


def test_line_ticks_and_tape_are_scaled_alike():
    scale = scale_of(
        told(bar=(142.5, 142.5)), FootFrame(np.zeros(2), np.array([1.0, 0]), np.array([0, -1.0]))
    )
    line = DrawnLine(np.array([[100.0, 40.0], [200.0, -20.0]]), np.ones(2, dtype=bool), False, 1.0)
    np.testing.assert_allclose(true_line(line, scale).points, 0.95 * line.points, rtol=1e-4)
    assert true_line(line, scale).spread == pytest.approx(0.95, rel=1e-4)
    ticks = true_ticks(Ticks(np.array([180.0, 45.0]), np.array([160.0, -45.0]), 0.5, 0.7), scale)
    np.testing.assert_allclose(ticks.inner, [171, 42.75], rtol=1e-4)
    assert ticks.outer_sd == pytest.approx(0.665, rel=1e-4)
    assert true_tape(240.0, scale) == pytest.approx(228.0, rel=1e-4)
