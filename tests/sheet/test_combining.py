"""Several photographs of one drawing: the hand and the print are shared, only reading is averaged."""

from __future__ import annotations

import numpy as np
import pytest

from heelball.sheet.combining import combined
from heelball.sheet.hand import FootDrawn

MEAN = np.array([265.0, 196.0, 168.0, 101.0])
SHARED = np.array([[1.0, 0.3, 0.3, 0.8], [0.3, 4.0, 0.2, 0.0], [0.3, 0.2, 4.0, 0.0], [0.8, 0.0, 0.0, 2.0]])
OWN = np.diag([0.09, 0.25, 0.25, 0.18])


def photographed(off=(0.0, 0.0, 0.0, 0.0), own=OWN, factor=1.0) -> FootDrawn:
    return FootDrawn((MEAN + off) * factor, SHARED + own, own, np.full(4, factor))


def test_one_photograph_stays_as_it_is():
    one = photographed()
    both = combined([one])
    assert both.agree
    assert both.foot is one


def test_what_the_hand_did_is_not_averaged_away():
    both = combined([photographed() for _ in range(9)])
    assert both.foot is not None
    np.testing.assert_allclose(both.foot.own_cov, OWN / 9)
    np.testing.assert_allclose(both.foot.cov, SHARED + OWN / 9)


def test_the_surer_reading_counts_for_more():
    both = combined([photographed(), photographed((0, 1.0, 0, 0), own=np.diag([0.09, 0.75, 0.25, 0.18]))])
    assert both.foot is not None
    assert both.foot.mean[1] == pytest.approx(MEAN[1] + 0.25)
    assert both.foot.own_cov[1, 1] == pytest.approx(1 / (1 / 0.25 + 1 / 0.75))


def test_photographs_of_two_sheets_are_not_combined():
    # 3 sd of the reading, not of the hand: that is the same in both.
    both = combined([photographed(), photographed(), photographed((1.4, 0, 0, 0))])
    assert not both.agree
    assert both.foot is None
    (remark,) = both.remarks
    assert remark == "The photographs do not agree: length is 265.0 mm in one and 266.4 mm in another."


def test_readings_within_what_reading_adds_agree():
    assert combined([photographed(), photographed((1.2, 2.0, -2.0, 1.7))]).agree


def test_the_print_has_one_scale_whatever_each_photograph_saw_of_the_papers_edges():
    both = combined([photographed(factor=1.004), photographed(factor=0.996)])
    assert both.foot is not None
    np.testing.assert_allclose(both.foot.mean, MEAN)


def test_three_photographs_are_as_sure_as_they_say():
    chance = np.random.default_rng(11)
    answers = []
    for _ in range(3000):
        hand = chance.multivariate_normal(np.zeros(4), SHARED)
        answers.append(
            combined([photographed(hand + chance.multivariate_normal(np.zeros(4), OWN)) for _ in "abc"])
        )
    feet = [one.foot for one in answers if one.foot is not None]
    # Nearly all agree: 12 comparisons of 3 sd in each answer, not independent.
    assert len(feet) > 0.95 * len(answers)
    np.testing.assert_allclose(np.cov(np.array([one.mean for one in feet]).T), feet[0].cov, atol=0.3)
