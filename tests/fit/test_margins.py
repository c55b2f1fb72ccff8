"""Margins between boot and foot, and the gauge's offset in them (MODEL 3 and 4)."""

from __future__ import annotations

import copy
from fractions import Fraction

import numpy as np
import pytest

from heelball import package_data
from heelball.last.values import Advice, MeasuredPair
from tests.fit.judging import label_margins
from tests.fittings import alike, last, mm, offer, wearer

TEN = offer([10], "D")
BALL, TOE, BREADTH, GIRTH, HEEL = range(5)
READ = wearer(*alike("10", "10", "D", line="10"))
PAIR = MeasuredPair(Fraction(10), "D", flex_line=200.7616)


@pytest.fixture
def offset_sd(monkeypatch):
    """Return a function that sets the prior sd of the gauge's ball offset c [mm]."""
    real = package_data.defaults()

    def set_to(sd: float) -> None:
        changed = copy.deepcopy(real)
        changed["gauge"]["offset_sd"]["ball"] = sd
        forget()
        for module in modules():
            monkeypatch.setattr(module, "defaults", lambda: changed)

    def modules():
        import sys

        return [
            m
            for name, m in list(sys.modules.items())
            if name.startswith("heelball.") and hasattr(m, "defaults")
        ]

    def forget() -> None:
        from heelball.foot import prior

        for cached in vars(prior).values():
            if hasattr(cached, "cache_clear"):
                cached.cache_clear()

    yield set_to
    monkeypatch.undo()
    forget()


def ball_variances(what, sds, offset_sd, who=READ) -> list[float]:
    found = []
    for sd in sds:
        offset_sd(sd)
        found.append(float(label_margins(who, what)[1][BALL, BALL]))
    return found


SDS = (0.0, 1.0, 3.0, 10.0, 100.0, 1000.0)
#: Var(s g) given advice, q, technique, and noise with rounding of one ball mark (MODEL 2 and 3).
BOUND = (0.36 * 0.0225 / 0.3825) * 6.27**2 + 2.5**2 + 1.5**2 + 1.5**2 + (0.741 * 25.4 / 6) ** 2 / 12


def test_with_gauge_advice_the_gauges_offset_drops_out_of_the_ball_margin(offset_sd):
    found = ball_variances(last(labels=TEN, order=0), SDS, offset_sd)
    assert max(found) <= BOUND, found
    # However little the gauge is trusted: from sd 100 to 1000 nothing is left to add.
    assert found[-1] - found[-2] < 0.1, found


def test_technique_stays_in_the_margin(offset_sd):
    # One mark of one foot, the gauge not trusted at all: all of the bound is used but for what
    # the other measures and the prior tell.
    found = ball_variances(last(labels=TEN, order=0), [100.0], offset_sd)[0]
    assert found > (0.36 * 0.0225 / 0.3825) * 6.27**2 + 2.5**2 + 0.5 * 1.5**2


@pytest.mark.parametrize("pair", [PAIR, MeasuredPair(Fraction(10), "D", flex_line=200.7616, sd_mm=0.1)])
def test_with_a_measured_flex_line_alone_it_grows_with_the_offsets_prior(pair, offset_sd):
    found = ball_variances(last(labels=TEN, measured=(pair,)), SDS, offset_sd)
    assert found == sorted(found), found
    assert found[2] > found[0] + 2, found


def test_with_no_evidence_it_grows_too(offset_sd):
    found = ball_variances(last(labels=TEN), SDS, offset_sd)
    assert found[2] > found[0] + 2, found


def test_advice_in_labels_carries_no_offset_away(offset_sd):
    told = last(labels=TEN, advice=(Advice("label", Fraction(0), scale="us-men"),))
    found = ball_variances(told, SDS, offset_sd)
    assert found[2] > found[0] + 2, found


def test_feet_read_in_mm_meet_gauge_advice_with_the_offset_in_it(offset_sd):
    who = wearer(*(mm(foot, "ball", 200.8) for foot in ("left", "right")))
    found = ball_variances(last(labels=TEN, order=0), SDS, offset_sd, who)
    assert found[2] - found[0] == pytest.approx(9, abs=0.1), found


def test_advice_and_pair_together_learn_the_offset():
    # In the gauge's frame the pair tells of run - c; the margin on gauge readings must not get worse.
    advice = label_margins(READ, last(labels=TEN, order=0))[1][BALL, BALL]
    both = label_margins(READ, last(labels=TEN, order=0, measured=(PAIR,)))[1][BALL, BALL]
    assert both < advice


def test_means_are_label_plus_run_less_foot():
    # Gauge 10 D read on both feet, advice 0 on the same scale: every margin but the toe's is near nil.
    mean, _ = label_margins(READ, last(labels=TEN, order=0))
    for foot in range(2):
        assert mean[5 * foot + BALL] == pytest.approx(0, abs=0.6)
        assert mean[5 * foot + TOE] == pytest.approx(16.9, abs=0.6)
        assert mean[5 * foot + BREADTH] == pytest.approx(0, abs=0.6)
        assert abs(mean[5 * foot + GIRTH]) < 2


@pytest.mark.parametrize(("toe", "taken", "sd"), [("almond", 5, 3), ("pointed", 12, 3), ("hard-cap", 0, 0)])
def test_toe_shapes_take_room(toe, taken, sd):
    mean, cov = label_margins(READ, last(labels=TEN, order=0))
    other, other_cov = label_margins(READ, last(labels=TEN, order=0, toe=toe))
    wanted, wanted_cov = mean.copy(), cov.copy()
    for foot in range(2):
        wanted[5 * foot + TOE] -= taken
    # One boot shape, so one error for both feet.
    wanted_cov[np.ix_([TOE, 5 + TOE], [TOE, 5 + TOE])] += sd**2
    assert other == pytest.approx(wanted)
    assert other_cov == pytest.approx(wanted_cov)


def test_half_down_makes_every_label_half_a_size_bigger():
    share = 0.36 / 0.3825
    plain, _ = label_margins(READ, last(labels=TEN, order=0))
    half, _ = label_margins(READ, last(labels=TEN, order=-0.5))
    assert half[:5] - plain[:5] == pytest.approx(0.5 * share * np.array([6.27, 8.467, 3.175, 6.35, 1.59]))


def test_both_feet_share_the_boot():
    cov = label_margins(READ, last(labels=TEN))[1]
    # Run of the ball: variance (0.6 x 6.27)^2 + 2.5^2 is common to both feet.
    assert cov[BALL, 5 + BALL] > (0.6 * 6.27) ** 2 + 2.5**2


def test_one_label_on_its_own_shelf_or_among_others_is_the_same():
    alone = label_margins(READ, last(labels=TEN, order=0, measured=(PAIR,)))
    among = last(order=0, measured=(PAIR,))
    at = among.labels.index(TEN[0])
    for one, other in zip(alone, label_margins(READ, among, at), strict=True):
        assert one == pytest.approx(other)
