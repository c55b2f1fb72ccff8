"""The boot that came: what it says of its last, and of what was ordered from it."""

from __future__ import annotations

from datetime import date as Date
from fractions import Fraction

import pytest

from heelball.foot.prior import offset_prior
from heelball.foot.reading import Reading
from heelball.last.description import describe
from heelball.last.values import Label, MeasuredPair
from heelball.work.arrival import compare, differences
from tests.fittings import alike, chosen, last, wearer

TODAY = Date(2026, 3, 20)
TEN_D = Label(Fraction(10), "D")
LAST = last(order=-0.5)
WEARER = wearer(*alike("10", "10 1/2", "D", line="10 1/2"))


def boot(**lengths):
    return MeasuredPair(TEN_D.size, TEN_D.width, **lengths)


def built():
    labels = describe(LAST, "men", offset_prior()).labels
    return next(one for one in labels if one.label == TEN_D).built_for


def test_what_is_expected_is_what_the_last_page_says():
    came = boot(flex_line=205.0, inside_length=290.0, ball_girth=254.0)
    length, line, girth = differences(came, LAST, "men")
    assert (length.kind, line.kind, girth.kind) == ("inside_length", "flex_line", "ball_girth")
    assert line.expected == pytest.approx(built()["ball"].mean)
    assert line.by == pytest.approx(205.0 - built()["ball"].mean)
    # Measuring a flex line adds its own 2 mm (MODEL 3).
    assert line.sd == pytest.approx((built()["ball"].sd ** 2 + 2.0**2) ** 0.5)
    # Inside length is the foot and 16.9 mm ahead of it (MODEL 3).
    assert length.expected - built()["length"].mean == pytest.approx(16.9)
    assert girth.expected == pytest.approx(built()["girth"].mean)


def test_a_flex_line_as_measured_before_is_no_surprise_any_more():
    came = boot(flex_line=213.0)
    known = last(order=-0.5, measured=(came,))
    before, after = (differences(came, one, "men")[0] for one in (LAST, known))
    assert before.by > 2 * before.sd
    assert abs(after.by) < after.sd


def test_a_boot_that_bends_far_back_asks_for_a_longer_label():
    assert chosen(WEARER, LAST).order == TEN_D
    found = compare(boot(inside_length=280.0, flex_line=190.0), LAST, WEARER, TEN_D, TODAY)
    assert found.now is not None
    assert found.now.size > 10
    assert "would now be ordered from N7, not 10 D" in found.said[-1]
    assert found.said[1].startswith("Flex line 13.7 mm further back than expected")


def test_a_boot_as_expected_leaves_the_order_as_it_was():
    plain = last(order=-0.5, widths="D")
    assert chosen(WEARER, plain).order == TEN_D
    found = compare(boot(flex_line=built()["ball"].mean), plain, WEARER, TEN_D, TODAY)
    assert found.now == TEN_D
    assert found.said[0].startswith("Flex line as expected (±")
    assert "10 D is still what to order from N7" in found.said[-1]


def test_nothing_is_chosen_for_a_child():
    child = wearer(Reading("left", "length", "gauge-child", "2Y"), population="unstated")
    found = compare(boot(flex_line=205.0), LAST, child, TEN_D, TODAY)
    assert len(found.said) == 1
    assert found.now is None
