"""How a last runs given advice and measured pairs (MODEL 3)."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from attrs import evolve

from heelball.foot.prior import offset_prior
from heelball.last.built_for import basis_of
from heelball.last.description import describe
from heelball.last.run import run_evidence, run_posterior
from heelball.last.values import Advice, Label, MeasuredPair
from tests.fittings import alike, chosen, last, offer, wearer

SIZES_SD, ADVICE_SD = 0.6, 0.15
PAIR = MeasuredPair(Fraction(10), "D", inside_length=287.8333, flex_line=200.7616, ball_girth=None)


def facts(what, label=Label(Fraction(10), "D"), population="men"):  # noqa: B008
    said = describe(what, population, offset_prior())
    return next(one for one in said.labels if one.label == label).built_for


def state(what, population="men"):
    return run_posterior(run_evidence(what, basis_of(what.label_scale, population)), offset_prior())


def test_knowing_nothing_the_labels_stand_and_the_sd_is_the_priors():
    # s g and q: ball 0.6 x 6.27 and 2.5; length 0.6 x 8.467 and 2.5; and so on.
    found = facts(last())
    for measure, mean, g, q in (
        ("ball", 200.7616, 6.27, 2.5),
        ("length", 270.9333, 8.467, 2.5),
        ("breadth", 101.6, 3.175, 2.5),
        ("girth", 251.9691, 6.35, 5.0),
        ("heel", 72.4710, 1.59, 2.5),
    ):
        assert found[measure].mean == pytest.approx(mean, abs=1e-3), measure
        assert found[measure].sd == pytest.approx(((0.6 * g) ** 2 + q**2) ** 0.5, abs=1e-6), measure


@pytest.mark.parametrize(("basis", "sd"), [("ball", 0.15), ("length", 0.25)])
def test_half_down_says_half_a_size_bigger(basis, sd):
    run, _ = state(last(order=-0.5, basis=basis))
    share = 0.36 / (0.36 + sd**2)
    assert run.mean[3] == pytest.approx(0.5 * share)
    assert run.cov[3, 3] == pytest.approx(0.36 * sd**2 / (0.36 + sd**2))
    assert run.mean[4:9] == pytest.approx(np.zeros(5), abs=1e-12)


def test_with_gauge_advice_the_built_for_foot_is_the_gauges():
    # In mm it carries the gauge's offset: ball 3, length 1, breadth 1; girth and heel do not.
    left = 0.36 * ADVICE_SD**2 / (0.36 + ADVICE_SD**2)
    found = facts(last(order=0))
    for measure, g, q, c in (
        ("ball", 6.27, 2.5, 3.0),
        ("length", 8.467, 2.5, 1.0),
        ("breadth", 3.175, 2.5, 1.0),
        ("girth", 6.35, 5.0, 0.0),
        ("heel", 1.59, 2.5, 0.0),
    ):
        assert found[measure].sd == pytest.approx((left * g**2 + q**2 + c**2) ** 0.5, abs=1e-6), measure


def test_a_table_is_one_observation_of_its_mean_offset():
    table = (
        (Fraction(9), Fraction(9)),
        (Fraction(10), Fraction(19, 2)),
        (Fraction(11), Fraction(10)),
    )  # 0, half down, one down
    one, _ = state(last(advice=(Advice("ball", table=table),)))
    same, _ = state(last(order=-0.5))
    assert one.mean[3] == pytest.approx(same.mean[3])
    assert one.cov[3, 3] == pytest.approx(same.cov[3, 3])
    # About its mean label, 9 1/2: there the grade error is nil, two sizes off it is 2 x 0.3 in the ball.
    what = last(advice=(Advice("ball", table=table),))
    here, far = (
        facts(what, Label(Fraction(19, 2), "D"))["ball"].sd,
        facts(what, Label(Fraction(23, 2), "D"))["ball"].sd,
    )
    assert far**2 - here**2 == pytest.approx((2 * 0.3) ** 2)


def test_without_a_named_label_there_is_no_grade_error():
    for what in (last(), last(order=-0.5)):
        for measure in ("ball", "length", "breadth", "girth", "heel"):
            sds = [
                facts(what, Label(Fraction(size), letter))[measure].sd
                for size, letter in ((7, "B"), (10, "D"), (13, "EE"))
            ]
            assert sds == pytest.approx([sds[0]] * 3)


def test_with_one_the_letters_far_from_the_average_are_less_sure():
    what = last(measured=(PAIR,))
    near, far = facts(what, Label(Fraction(10), "D")), facts(what, Label(Fraction(10), "EEE"))
    assert far["breadth"].sd ** 2 - near["breadth"].sd ** 2 == pytest.approx((3 * 0.8) ** 2)
    assert far["girth"].sd ** 2 - near["girth"].sd ** 2 == pytest.approx((3 * 1.5) ** 2)
    assert far["ball"].sd == pytest.approx(near["ball"].sd)


def test_advice_in_labels_of_another_scale():
    # "Order your women's number less one" on a men's last: the label numbered l is for the women's
    # l + 1 foot, which is the men's l. No offset, and no gauge in it.
    told = last(advice=(Advice("label", Fraction(-1), scale="us-women"),))
    run, _ = state(told)
    assert run.mean[3] == pytest.approx(0.0, abs=1e-9)
    assert run.cov[3, 3] == pytest.approx(0.36 * ADVICE_SD**2 / (0.36 + ADVICE_SD**2))
    evidence = run_evidence(told, basis_of("us-men", "men"))
    assert not evidence.in_gauge_frame
    # Half down in its own numbers: half a size bigger.
    run, _ = state(last(advice=(Advice("label", Fraction(-1, 2), scale="us-men"),)))
    assert run.mean[3] == pytest.approx(0.5 * 0.36 / (0.36 + ADVICE_SD**2))


def test_advice_in_eu_numbers_is_read_at_the_mean_foot():
    # The last's own label l for the US men's foot numbered l - order = l + ... at the mean men's foot.
    eu = last(
        scale="eu", labels=offer(range(38, 48), None), advice=(Advice("label", Fraction(33), scale="us-men"),)
    )
    run, _ = state(eu)
    label = (270.87261146496814 + 40 / 3) * 3 / 20
    foot = (22 + label - 33) * 25.4 / 3
    assert run.mean[3] == pytest.approx(
        (foot - 270.87261) / (25.4 / 3) * 0.36 / (0.36 + ADVICE_SD**2), abs=1e-5
    )


def test_beside_gauge_advice_both_are_weighed_and_the_frame_stays_the_gauges():
    both = last(advice=(Advice("ball", Fraction(-1, 2)), Advice("label", Fraction(0), scale="us-men")))
    evidence = run_evidence(both, basis_of("us-men", "men"))
    assert evidence.in_gauge_frame
    run, _ = state(both)
    precision = 1 / 0.36 + 2 / ADVICE_SD**2
    assert run.mean[3] == pytest.approx(0.5 / ADVICE_SD**2 / precision)
    assert run.cov[3, 3] == pytest.approx(1 / precision)


def test_a_measured_flex_line_moves_the_ball_by_the_textbook():
    # Without advice: 6 mm long in the ball, prior variance (0.6 x 6.27)^2 + 2.5^2, noise 2.
    what = last(measured=(MeasuredPair(Fraction(10), "D", flex_line=200.7616 + 6),))
    prior = (0.6 * 6.27) ** 2 + 2.5**2
    found = facts(what)["ball"]
    assert found.mean == pytest.approx(200.7616 + 6 * prior / (prior + 4), abs=1e-3)
    assert found.sd == pytest.approx((prior * 4 / (prior + 4)) ** 0.5, abs=1e-6)


@pytest.mark.parametrize(
    ("kind", "measure", "sd"),
    [("flex_line", "ball", 2.0), ("inside_length", "length", 1.5), ("ball_girth", "girth", 2.5)],
)
def test_each_measure_of_a_pair_reads_its_own_place(kind, measure, sd):
    nominal = {"flex_line": 200.7616, "inside_length": 287.8333, "ball_girth": 251.9691}[kind]
    plain = facts(last())[measure]
    for stated, noise in ((None, sd), (0.5, 0.5)):
        pair = evolve(MeasuredPair(Fraction(10), "D", sd_mm=stated), **{kind: nominal + 2})  # type: ignore[arg-type]
        what = last(measured=(pair,))
        found, prior = facts(what)[measure], plain.sd**2
        assert found.mean - plain.mean == pytest.approx(2 * prior / (prior + noise**2), abs=1e-3)


def test_toe_shape_does_not_change_what_a_stick_measures():
    for toe in ("round", "almond", "pointed", "hard-cap"):
        run, _ = state(last(measured=(PAIR,), toe=toe))
        assert run.mean[3] == pytest.approx(0, abs=1e-4)


def test_a_measured_pair_in_the_gauges_frame_also_tells_of_the_offset():
    # The pair's true flex line 6 mm long against advice 0: the run is not it, so c may be -.
    what = last(order=0, measured=(MeasuredPair(Fraction(10), "D", flex_line=200.7616 + 6),))
    run, _ = state(what)
    left = 0.36 * ADVICE_SD**2 / (0.36 + ADVICE_SD**2)
    total = left * 6.27**2 + 2.5**2 + 9 + 4
    assert run.mean[0] == pytest.approx(-6 * 9 / total, abs=1e-3)
    # Without advice the pair says nothing of the gauge.
    run, _ = state(last(measured=(MeasuredPair(Fraction(10), "D", flex_line=206.0),)))
    assert run.mean[0] == pytest.approx(0, abs=1e-12)


def test_contradictory_evidence_is_reported_with_what_was_expected():
    # Advice 0 leaves s at sd 0.146; the inside length is then known to (8.467 x 0.146)^2 + 2.5^2 + 1 + 1.5^2.
    sd = ((0.36 * 0.0225 / 0.3825) * 8.467**2 + 2.5**2 + 1.0 + 1.5**2) ** 0.5
    for off, reported in ((2.9, False), (3.1, True), (-3.1, True)):
        what = last(order=0, measured=(MeasuredPair(Fraction(10), "D", inside_length=287.8333 + off * sd),))
        _, found = state(what)
        assert bool(found) is reported, off
        if reported:
            assert (found[0].kind, found[0].label) == ("inside_length", Label(Fraction(10), "D"))
            assert found[0].sd == pytest.approx(sd, abs=1e-3)
            assert found[0].found - found[0].expected == pytest.approx(off * sd, abs=1e-3)


def test_two_advices_that_disagree_are_reported():
    _, found = state(last(advice=(Advice("ball", Fraction(-1, 2)), Advice("ball", Fraction(1)))))
    assert [one.kind for one in found] == ["advice"]
    _, found = state(last(advice=(Advice("ball", Fraction(-1, 2)), Advice("ball", Fraction(0)))))
    assert found == ()


def test_contradictions_are_told_beside_the_order():
    what = last(order=0, measured=(MeasuredPair(Fraction(10), "D", inside_length=310.0),))
    assert "contradiction" in [one.kind for one in chosen(wearer(*alike("10", "10", "D")), what).cautions]


def test_the_sources_of_each_figure_are_named():
    sources = describe(last(order=0, measured=(PAIR,)), "men", offset_prior()).labels[0].sources
    assert sources == ("size scale", "advice", "flex_line", "inside_length")
    assert describe(last(), "men", offset_prior()).labels[0].sources == ("size scale",)
