"""The trade's rule as MODEL 7 writes it down. Common practice, no source."""

from __future__ import annotations

from fractions import Fraction

import pytest

from heelball.fit.wearer import DayState
from heelball.foot.reading import Reading
from heelball.last.values import Advice, Label
from tests.fittings import alike, chosen, gauge, halves, last, mm, offer, ruled, wearer

pytestmark = pytest.mark.practice


def kinds(said) -> list[str]:
    return [step.kind for step in said.steps]


def facts(said, kind: str) -> dict:
    return dict(next(step for step in said.steps if step.kind == kind).facts)


def hot(share: float = 1.0, sock: float = 2.0) -> DayState:
    return DayState("hot", share, sock, "hot", 0.0)


# The worked cases.


def test_half_down_from_ten_and_a_half_is_ten_d_and_says_c_or_d():
    """Common practice, no source."""
    said = ruled(wearer(*alike("10", "10 1/2", "C 3/4", line="10 1/2")), last(order=-0.5))
    assert said.order == Label(Fraction(10), "D")
    letter = facts(said, "trade-letter")
    assert (letter["lower"], letter["upper"], letter["between"]) == ("C", "D", True)


def test_length_twelve_with_ball_fourteen_is_fourteen():
    """Common practice, no source."""
    who = wearer(*alike("12", "14", "D"))
    assert ruled(who, last(order=0)).order == Label(Fraction(14), "D")


def test_an_offer_that_ends_below_orders_nothing():
    """Common practice, no source."""
    said = ruled(wearer(*alike("12", "14", "D")), last(high=13, order=0))
    assert said.order is None
    assert "trade-offer-ends" in kinds(said)


def test_nine_nine_d_is_nine_d():
    """Common practice, no source."""
    assert ruled(wearer(*alike("9", "9", "D")), last(order=0)).order == Label(Fraction(9), "D")


@pytest.mark.parametrize(
    ("sock", "letter"),
    # n = -2/3, f = 1/3: a growth of 2 mm gives 1/3 + 2/4.7625 = 0.753; one of 1.95 mm 0.743.
    [(2.0, "C"), (3.95, "C"), (4.0, "D"), (5.0, "D")],
)
def test_eleven_over_ten_is_c_or_d_where_the_day_swells_two_mm(sock, letter):
    """Common practice, no source."""
    day = (DayState("thick", 1.0, sock, "ordinary", 0.0),)
    said = ruled(wearer(*alike("11", "10", "D", line="10"), day=day), last(order=0))
    assert said.order == Label(Fraction(11), letter)


# Step 0: which marks.


def test_standing_not_seated_decides():
    """Common practice, no source."""
    standing = alike("9", "9", "D")
    seated = tuple(
        gauge(foot, what, value, load="seated")
        for foot in ("left", "right")
        for what, value in (("length", "12"), ("ball", "12"))
    )
    alone = ruled(wearer(*standing), last(order=0))
    beside = ruled(wearer(*standing, *seated), last(order=0))
    assert beside.order == alone.order == Label(Fraction(9), "D")
    assert "trade-not-gauge" not in kinds(beside)


def test_seated_alone_is_corrected_and_cautioned():
    """Common practice, no source."""
    rows = tuple(
        gauge(foot, what, value, load="seated")
        for foot in ("left", "right")
        for what, value in (("length", "9"), ("ball", "9"))
    )
    said = ruled(wearer(*rows), last(order=0))
    # Size 9 is 31 barleycorns; x 1.015 is half a size more (31.465): the next offered, 9 1/2.
    assert said.order is not None
    assert said.order.size == Fraction(19, 2)
    assert kinds(said).count("trade-not-gauge") == 4


def test_repeats_are_averaged_and_not_rounded():
    """Common practice, no source."""
    rows = (gauge("left", "length", "10"), gauge("left", "length", "10 1/2"), gauge("left", "ball", "9"))
    said = ruled(wearer(*rows), last(order=0))
    # 10 1/4 is not within an eighth of 10: the next larger.
    assert said.order is not None
    assert said.order.size == Fraction(21, 2)


def test_neither_mark_nor_population_follows_both_gauges_the_larger_first():
    """Common practice, no source."""
    # 270 mm long, 200 mm to the ball: 200 / 0.741 = 269.9 and 200 / 0.739 = 270.6.
    rows = [
        mm(foot, what, value)
        for foot in ("left", "right")
        for what, value in (("length", 270), ("ball", 200))
    ]
    who = wearer(*rows, population="unstated")
    labels = offer([Fraction(s, 2) for s in range(70, 100)], None)
    said = ruled(who, last(scale="eu", labels=labels))
    assert said.steps[0].kind == "trade-both-gauges"
    assert said.order is not None
    assert all(other.size <= said.order.size for other in said.also)
    # With a length far ahead of the ball both gauges agree: nothing stands beside the order.
    rows = [
        mm(foot, what, value)
        for foot in ("left", "right")
        for what, value in (("length", 270), ("ball", 185))
    ]
    assert ruled(wearer(*rows, population="unstated"), last(scale="eu", labels=labels)).also == ()


def test_both_gauges_can_differ_and_then_the_other_stands_beside():
    """Common practice, no source."""
    found = []
    labels = offer([Fraction(s, 2) for s in range(70, 100)], None)
    for ball in (200.0 + i / 10 for i in range(60)):
        rows = [mm(foot, "ball", round(ball, 1)) for foot in ("left", "right")]
        said = ruled(wearer(*rows, population="unstated"), last(scale="eu", labels=labels))
        if said.also:
            found.append(said)
    assert found
    assert all(said.order is not None and said.order.size > said.also[0].size for said in found)


def test_marks_of_another_scale_count_as_mm():
    """Common practice, no source."""
    rows = [Reading(foot, "length", "us-men", "9", method="ruler") for foot in ("left", "right")]
    said = ruled(wearer(*rows), last(order=0))
    assert "trade-not-gauge" in kinds(said)
    assert said.order is not None
    assert said.order.size == 9


# Steps 1 to 3.


def test_the_larger_of_length_and_ball_and_of_the_feet():
    """Common practice, no source."""
    rows = (
        *(gauge("left", what, size) for what, size in (("length", "9"), ("ball", "9 1/2"))),
        *(gauge("right", what, size) for what, size in (("length", "10"), ("ball", "9"))),
    )
    said = ruled(wearer(*rows), last(order=0))
    assert said.order is not None
    assert said.order.size == 10
    assert facts(said, "trade-larger-foot")["foot"] == "right"


def test_feet_a_whole_size_apart_also_name_each_foots_own_order():
    """Common practice, no source."""
    rows = [
        r for foot, size in (("left", "9"), ("right", "10")) for r in alike(size, size, "D") if r.foot == foot
    ]
    said = ruled(wearer(*rows), last(order=0))
    assert said.order is not None
    assert said.order.size == 10
    assert Label(Fraction(9), "D") in said.also
    near = tuple(r for r in alike("9 1/2", "9 1/2", "D") if r.foot == "left") + tuple(
        r for r in alike("10", "10", "D") if r.foot == "right"
    )
    assert ruled(wearer(*near), last(order=0)).also == ()


def test_no_ball_takes_the_length_and_no_breadth_the_average_with_a_word():
    """Common practice, no source."""
    said = ruled(wearer(gauge("left", "length", "10")), last(order=0))
    assert said.order == Label(Fraction(10), "D")
    assert {"trade-no-ball", "trade-no-breadth"} <= set(kinds(said))


@pytest.mark.parametrize(
    ("letter", "day", "taken"),
    [
        ("C 3/4", (), "D"),  # f = 3/4, inclusive
        ("C 1/2", (), "C"),
        ("C 1/4", (), "C"),
        ("C 1/2", (hot(),), "D"),  # 0.5 + 1.2 / 4.7625 = 0.752
        ("C 1/4", (hot(),), "C"),  # 0.25 + 0.252 < 3/4
        ("C 1/4", (hot(sock=4.0),), "D"),  # growth 2 + 1.2: 0.25 + 0.672
        ("C", (hot(sock=6.0),), "C"),  # below a quarter nothing swells it up
        ("C 1/2", (hot(0.09), DayState("rest", 0.91, 2.0, "rest", 0.0)), "C"),
        ("C 1/2", (hot(0.1), DayState("rest", 0.9, 2.0, "rest", 0.0)), "D"),
    ],
)
def test_a_foot_can_swell_one_letter_on_a_hot_day(letter, day, taken):
    """Common practice, no source."""
    said = ruled(wearer(*alike("10", "10", letter), day=day), last(order=0))
    assert said.order == Label(Fraction(10), taken)


def test_three_quarters_is_up_by_itself_and_the_swelling_is_given_as_the_reason_elsewhere():
    """Common practice, no source."""
    said = ruled(wearer(*alike("10", "10", "C 3/4"), day=(hot(),)), last(order=0))
    assert facts(said, "trade-letter")["because"] == "position"
    said = ruled(wearer(*alike("10", "10", "C 1/2"), day=(hot(),)), last(order=0))
    assert facts(said, "trade-letter")["because"] == "swelling"


def test_the_computed_answer_also_goes_wider_on_a_hot_day_in_thick_socks():
    """Common practice, no source: about half a letter of breadth for two more mm of sock on a hot day."""
    letters = ["A", "B", "C", "D", "E", "EE", "EEE"]
    offered = last(labels=offer([10], " ".join(letters)), order=0)
    rows = alike("10", "10", "D 1/2")
    cool, warm = (
        letters.index(chosen(wearer(*rows, day=day), offered).label.width or "")
        for day in ((), (hot(sock=4.0),))
    )
    assert warm == cool + 1


# Steps 4 to 8.


def test_a_table_is_read_between_its_rows_and_is_constant_beyond_them():
    """Common practice, no source."""
    table = ((Fraction(9), Fraction(9)), (Fraction(11), Fraction(10)))  # 0 at nine, one down at eleven
    told = last(advice=(Advice("ball", table=table),))
    orders = {
        "7": Fraction(7),
        "9": Fraction(9),
        "10": Fraction(19, 2),
        "11": Fraction(10),
        "13": Fraction(12),
    }
    for read, size in orders.items():
        said = ruled(wearer(*alike(read, read, "D")), told)
        assert said.order is not None
        assert said.order.size == size, read


def test_advice_from_length_moves_the_length_size():
    """Common practice, no source."""
    who = wearer(*alike("10", "11", "D"))
    by_ball = ruled(who, last(order=-0.5))
    by_length = ruled(who, last(order=-0.5, basis="length"))
    assert by_ball.order is not None
    assert by_length.order is not None
    assert by_ball.order.size == Fraction(21, 2)
    assert by_length.order.size == Fraction(19, 2)


def test_advice_from_label_speaks_in_the_named_scales_numbers():
    """Common practice, no source."""
    # us-women is men + 1: who measures a men's 10 takes the women's label numbered 11 + order. The
    # women's gauge is men + 1 too.
    told = last(scale="us-men", advice=(Advice("label", Fraction(-1, 2), scale="us-men"),))
    said = ruled(wearer(*alike("10", "10", "D")), told)
    assert said.order is not None
    assert said.order.size == Fraction(19, 2)
    # EU labels: 10 is 270.9 mm of foot; the EU line from the foot is (270.9 + 13.33) / 6.667 = 42.6.
    eu = last(
        scale="eu",
        labels=offer(halves(36, 48), None),
        advice=(Advice("label", Fraction(33), scale="gauge-men"),),
    )
    said = ruled(wearer(*alike("10", "10", "D")), eu)
    assert said.order is not None
    assert said.order.size == 43


def test_eu_labels_go_by_foot_length():
    """Common practice, no source."""
    # Gauge 9, foot 262.5 mm: EU (262.47 + 13.33) / 6.667 = 41.37; next offered above is 41 1/2.
    eu = last(scale="eu", labels=offer(halves(36, 48), None), order=0)
    said = ruled(wearer(*alike("9", "9", "D")), eu)
    assert said.order == Label(Fraction(83, 2), None)
    whole = last(scale="eu", labels=offer(range(36, 49), None), order=0)
    assert ruled(wearer(*alike("9", "9", "D")), whole).order == Label(Fraction(42), None)


def test_the_gauge_is_that_of_the_labels_population():
    """Common practice, no source: a men's 8 foot on a women's last is a women's 9."""
    womens = last(scale="us-women", order=0, widths="AA A B C D E EE")
    said = ruled(wearer(*alike("8", "8", "D")), womens)
    assert said.order is not None
    # By foot length, the same breadth: the men's D is the women's B. The ball's 0.741 against 0.739 is
    # less than the eighth that an offered size may be off.
    assert said.order == Label(Fraction(9), "B")


def test_never_smaller_and_a_bigger_size_takes_a_narrower_letter():
    """Common practice, no source."""
    who = wearer(*alike("9", "9", "D"))
    gap = last(labels=offer([8, 10], "B C D E"), order=0)
    said = ruled(who, gap)
    # One size up is 3.175 / 4.7625 = 2/3 letter narrower: n = -2/3, f = 1/3: C.
    assert said.order == Label(Fraction(10), "C")
    assert "trade-moved-up" in kinds(said)
    for low in (9, 10, 11):
        order = ruled(who, last(low=low, order=0)).order
        assert order is not None
        assert order.size >= 9


def test_an_eighth_of_a_size_is_near_enough():
    """Common practice, no source."""
    # Mondopoint 260 is 260 mm; gauge 8 3/4 is 22 + 8.75 barleycorns: 260.35 mm, 0.04 size above it.
    mondo = last(scale="mondopoint", labels=offer(range(240, 300, 5), None), order=0)
    said = ruled(wearer(*alike("8 3/4", "8 3/4", "D")), mondo)
    assert said.order is not None
    assert said.order.size == 260
    # 9 is 262.47 mm, more than an eighth above 260: the next larger.
    said = ruled(wearer(*alike("9", "9", "D")), mondo)
    assert said.order is not None
    assert said.order.size == 265


def test_the_next_wider_letter_else_too_narrow():
    """Common practice, no source."""
    who = wearer(*alike("10", "10", "C"))
    assert ruled(who, last(widths="B D EE", order=0)).order == Label(Fraction(10), "D")
    said = ruled(who, last(widths="A B", order=0))
    assert said.order is None
    assert "trade-too-narrow" in kinds(said)


def test_a_last_without_letters_takes_its_one_width_with_a_word_when_off():
    """Common practice, no source."""
    one = last(widths=None, order=0)
    assert "trade-one-width" not in kinds(ruled(wearer(*alike("10", "10", "D")), one))
    said = ruled(wearer(*alike("10", "10", "EE")), one)
    assert said.order == Label(Fraction(10), None)
    assert facts(said, "trade-one-width")["off"] == pytest.approx(2)


def test_no_advice_is_no_offset_with_a_caution():
    """Common practice, no source."""
    said = ruled(wearer(*alike("10", "10", "D")), last())
    assert said.order == Label(Fraction(10), "D")
    assert "trade-no-advice" in kinds(said)


@pytest.mark.parametrize(("ball", "refers"), [("10", True), ("10 1/4", True), ("10 1/2", False)])
def test_length_far_over_ball_still_orders_the_larger_and_refers(ball, refers):
    """Common practice, no source."""
    said = ruled(wearer(*alike("12", ball, "D", line="12")), last(order=0))
    assert said.order is not None
    assert said.order.size == 12
    assert said.referral is refers
