"""The choice: verdicts, chance, loss, ranking, what would tip it, two sizes, a made pair (MODEL 5 and 6)."""

from __future__ import annotations

from datetime import date as Date
from fractions import Fraction

import numpy as np
import pytest
from attrs import evolve

from heelball.errors import InputError
from heelball.fit.answers import Choice, StateVerdict
from heelball.fit.choice import answer
from heelball.fit.losses import Judging, judged_margins
from heelball.fit.ranking import rank, serves, tied_order
from heelball.fit.verdict import chances, default_costs, thresholds
from heelball.fit.wearer import PLACES, DayState, Place
from heelball.foot.evidence import state_index
from heelball.foot.vector import FEET, Foot, Measure
from heelball.gaussian.normal import Gaussian
from heelball.last.values import Label, MeasuredPair, Terms
from tests.fit.judging import Judged, judged
from tests.fittings import alike, chosen, gauge, last, mm, offer, random_wearers, verdict, wearer

TEN = wearer(*alike("10", "10", "D"))
DAY = (DayState("cool", 0.5, 2.0, "rest", 0.0), DayState("warm", 0.5, 3.0, "hot", 0.0))


COSTS: dict[Place, tuple[float, float]] = {
    "ball": (1, 0.7), "toe": (1, 0.3), "breadth": (0.5, 0.3), "girth": (0.4, 0.3), "heel": (0.2, 0.3)
}  # fmt: skip


def foot_loss(said: Choice | StateVerdict, foot: Foot, places: tuple[Place, ...] = PLACES[:4]) -> float:
    """Return one foot's loss from the chances told (MODEL 6)."""
    told = [(COSTS[place], verdict(said, foot, place)) for place in places]
    return sum(little * found.too_little + much * found.too_much for (little, much), found in told)


def kinds(reasons) -> list[str]:
    return [reason.kind for reason in reasons]


# Verdicts.


@pytest.mark.parametrize(
    ("stiffness", "ball"), [("stiff", (-8, 7)), ("medium", (-12, 10.5)), ("soft", (-20, 17.5))]
)
def test_only_the_balls_thresholds_widen_in_a_softer_boot(stiffness, ball):
    lo, hi = thresholds(stiffness)
    assert (lo[0], hi[0]) == pytest.approx(ball)
    assert list(lo[1:]) == [8, -5, -18, -14]
    assert list(hi[1:]) == [23, 7, 18, 14]


def test_a_softer_boot_is_likelier_right_in_the_ball_alone():
    one = last(labels=offer([11], "D"), order=0)
    said = [chosen(TEN, evolve(one, stiffness=stiffness)) for stiffness in ("stiff", "medium", "soft")]
    balls = [verdict(choice, "left", "ball").right for choice in said]
    assert balls == sorted(balls)
    assert balls[2] > balls[0] + 0.2
    toes = [verdict(choice, "left", "toe").right for choice in said]
    assert toes == pytest.approx([toes[0]] * 3)


def test_place_chances_are_monotone_in_the_margin():
    margin = np.linspace(-40, 60, 400)
    little, much = chances(margin, np.full(400, 3.0), np.full(400, 8.0), np.full(400, 23.0))
    assert (np.diff(little) <= 0).all()
    assert (np.diff(much) >= 0).all()
    assert little[0] == pytest.approx(1)
    assert much[-1] == pytest.approx(1)
    right = 1 - little - much
    assert right.argmax() == pytest.approx(np.abs(margin - 15.5).argmin(), abs=1)


def test_longer_labels_have_more_room_everywhere():
    found = judged(TEN, last(labels=offer(range(6, 14), "D"), order=0)).ranking.mixed
    little, much = found.little[0, 0, :, 0], found.much[0, 0, :, 0]
    assert (np.diff(little, axis=0) <= 1e-12).all()
    assert (np.diff(much, axis=0) >= -1e-12).all()


def test_verdicts_of_a_place_sum_to_one():
    said = chosen(TEN, last(order=0))
    for foot in FEET:
        for place in PLACES[:4]:
            found = verdict(said, foot, place)
            assert found.too_little + found.right + found.too_much == pytest.approx(1)


def test_a_heel_that_was_not_read_is_not_judged():
    said = chosen(TEN, last(order=0))
    assert said.by_place["left"]["heel"] is None
    assert said.by_place["right"]["heel"] is None
    read = chosen(wearer(*TEN.readings, mm("left", "heel", 72, "caliper")), last(order=0))
    assert read.by_place["left"]["heel"] is not None
    assert read.by_place["right"]["heel"] is not None
    told = answer(TEN, [last(order=0)])
    assert told.feet["left"]["heel"].mean is not None


# Loss and chance.


def test_loss_is_additive_over_states_feet_and_places():
    said = chosen(wearer(*TEN.readings, mm("left", "heel", 72, "caliper"), day=DAY), last(order=0))
    total = sum(state.share * foot_loss(state, foot, PLACES) for state in said.by_state for foot in FEET)
    assert said.loss == pytest.approx(total, abs=1e-9)
    assert said.loss == pytest.approx(min(ranked.loss for ranked in said.labels))


def test_the_chance_is_of_all_places_and_both_feet_together():
    said = chosen(wearer(*TEN.readings, day=DAY), last(order=0))
    for state in said.by_state:
        rights = [verdict(state, foot, place).right for foot in FEET for place in PLACES[:4]]
        assert max(0.0, 1 - sum(1 - right for right in rights)) - 0.01 <= state.chance <= min(rights) + 0.01
        # One boot and one taste: feet and places hang together, so more than the product.
        assert state.chance > np.prod(rights)


def test_the_deciding_place_has_the_largest_share_of_the_loss():
    who = wearer(*alike("10", "12", "D", line="12"))
    said = chosen(who, last(labels=offer([10], "E"), order=0))
    assert said.deciding_place == "ball"
    narrow = chosen(wearer(*alike("10", "10", "EEE")), last(labels=offer([10], "C"), order=0))
    assert narrow.deciding_place == "breadth"
    rows = (*alike("10", "10", "D")[:3], *alike("11", "12", "D")[3:])
    assert chosen(wearer(*rows), last(labels=offer([10], "D"), order=0)).deciding_foot == "right"


def test_a_made_up_tie_goes_to_the_likelier_then_the_smaller_then_the_narrower():
    two = last(labels=offer([10, 11], "D E"), order=0)
    seen = judged(TEN, two)
    seen.ranking.mixed.by_place[0, :4] = seen.ranking.mixed.by_place[0, 0]
    order = tied_order(seen.ranking.mixed, seen.shelf, seen.judging, 0)
    shown = [two.labels[j] for j in order]
    chance = [chosen(TEN, last(labels=(label,), order=0)).chance for label in shown]
    assert chance == sorted(chance, reverse=True)


# Serves.


@pytest.mark.parametrize(
    ("chance", "right", "good"),
    [(0.10, [0.25], True), (0.0999, [0.9], False), (0.5, [0.9, 0.2499], False), (0.11, [0.3, 0.26], True)],
)
def test_what_serves(chance, right, good):
    assert bool(serves(chance, np.array(right))) is good


def test_none_serves_names_the_least_wrong_and_what_a_made_pair_would_need():
    far = last(labels=offer([6, 7], "D"), order=0)
    told = answer(TEN, [far])
    (said,) = told.choices
    assert said.order is None
    assert said.least_wrong == Label(Fraction(7), "D")
    assert "none-serves" in kinds(said.why)
    assert said.chance < 0.10
    assert not told.serves
    assert told.made_pair is not None
    assert told.made_pair["left"]["ball"].mean == pytest.approx(told.feet["left"]["ball"].mean)
    both = answer(TEN, [far, last(order=0, code="B")])
    assert both.made_pair is None
    assert [one.order is None for one in both.choices] == [False, True]


def test_where_a_likelier_label_was_not_taken_the_reasons_say_so():
    said = [
        one
        for who in (wearer(*alike("10", "10 1/2", "C 3/4", line="10 1/2")), TEN)
        for one in [chosen(who, last(order=-0.5)), chosen(who, last())]
    ]
    spoken = [one for one in said if "likelier-label" in kinds(one.why)]
    assert spoken
    for one in spoken:
        reason = next(reason for reason in one.why if reason.kind == "likelier-label")
        assert reason.facts["other_chance"] > one.chance
        assert next(r.loss for r in one.labels if r.label == reason.facts["other"]) >= one.loss


def test_both_answers_stand_side_by_side_with_the_rules_loss():
    said = chosen(wearer(*alike("10", "11", "C", line="10")), last(order=0))
    reason = next(reason for reason in said.why if reason.kind.startswith("trade-"))
    assert reason.facts["label"] == said.order
    assert reason.facts["trade"] == said.trade_rule.order
    if said.trade_rule.order != said.order:
        assert reason.facts["trade_loss"] >= said.loss


# What would tip it.


def moved(seen: Judged, foot: Foot, what: Measure, by: float) -> list[tuple[float, Gaussian]]:
    states = []
    for weight, state in seen.states:
        mean = state.mean.copy()
        mean[state_index(foot, what)] += by
        states.append((weight, Gaussian(mean, state.cov)))
    return states


@pytest.mark.parametrize("who", random_wearers(np.random.default_rng(7), 6), ids=lambda who: who.code)
def test_past_the_tip_the_order_turns_to_the_runner_up(who):
    # Two labels, so that no third can come between.
    full = chosen(who, last(order=0))
    assert full.runner_up is not None
    two = last(labels=(full.label, full.runner_up.label), order=0)
    said, seen = chosen(who, two), judged(who, two)
    assert said.runner_up is not None
    assert said.runner_up.tips_by is not None
    foot, what, by = said.runner_up.tips_foot, said.runner_up.tips_what, said.runner_up.tips_by
    assert foot is not None
    assert what is not None
    for share, winner in ((0.9, said.label), (1.1, said.runner_up.label)):
        ranking = rank(seen.shelf, moved(seen, foot, what, share * by), seen.judging)
        assert two.labels[int(ranking.best[0])] == winner


def test_the_runner_up_is_next_by_loss():
    said = chosen(TEN, last(order=0))
    assert said.runner_up is not None
    losses = sorted(ranked.loss for ranked in said.labels)
    assert said.runner_up.loss == pytest.approx(losses[1])
    assert chosen(TEN, last(labels=offer([10], "D"), order=0)).runner_up is None


# Two sizes.


def test_two_sizes_are_considered_when_the_feet_need_a_whole_size_apart():
    def pair(left: str, right: str):
        sizes = {"left": left, "right": right}
        return wearer(
            *(row for foot in FEET for row in alike(sizes[foot], sizes[foot], "D") if row.foot == foot)
        )

    apart = chosen(pair("9", "11"), last(order=0))
    two = apart.two_sizes
    assert two is not None
    assert two.right.size - two.left.size >= 1
    assert two.loss < apart.loss
    own = [
        foot_loss(chosen(pair("9", "11"), last(labels=(label,), order=0)), foot)
        for foot, label in zip(FEET, (two.left, two.right), strict=True)
    ]
    assert two.loss == pytest.approx(sum(own))
    assert chosen(pair("9 1/2", "10"), last(order=0)).two_sizes is None


# Order of things, cautions, limits.


def test_the_order_of_lasts_and_readings_changes_nothing():
    lasts = [
        last(order=0, code="A"),
        last(code="B"),
        last(order=-0.5, code="C", measured=(MeasuredPair(Fraction(10), "D", flex_line=203.0),)),
        last(labels=offer([6], "D"), code="D"),
        last(scale="eu", labels=offer(range(38, 48), None), code="E"),
    ]
    who = wearer(*alike("10", "10 1/2", "C 3/4", line="10"), mm("left", "girth", 250, "tape"), day=DAY)
    one = answer(who, lasts)
    other = answer(evolve(who, readings=who.readings[::-1]), lasts[::-1])
    assert [c.last.code for c in one.choices] == [c.last.code for c in other.choices]
    for a, b in zip(one.choices, other.choices, strict=True):
        assert (a.order, a.least_wrong, a.trade_rule.order) == (b.order, b.least_wrong, b.trade_rule.order)
        assert (a.loss, a.chance) == pytest.approx((b.loss, b.chance), abs=1e-9)
        # And no last teaches another.
        alone = chosen(who, a.last)
        assert (a.loss, a.chance) == pytest.approx((alone.loss, alone.chance), abs=1e-9)


def test_lasts_stand_by_loss_those_without_an_order_at_the_end():
    lasts = [
        last(order=0, code="A"),
        last(code="B"),
        *(last(labels=offer([s], "D"), code=f"Z{s}") for s in (6, 14, 7)),
    ]
    said = answer(TEN, lasts).choices
    assert [one.order is None for one in said] == [False, False, True, True, True]
    for part in (said[:2], said[2:]):
        losses = [one.loss for one in part]
        assert losses == sorted(losses)


def test_many_lasts_are_answered_the_same_the_first_in_detail():
    lasts = [
        last(order=(i % 5 - 2) / 2, code=f"L{i:03}", labels=offer([9, 10, 11], "C D E")) for i in range(30)
    ]
    few = answer(TEN, lasts, detailed=100)
    many = answer(TEN, lasts, detailed=3)
    assert [one.last.code for one in many.choices] == [one.last.code for one in few.choices]
    assert [one.detailed for one in many.choices] == [True] * 3 + [False] * 27
    for a, b in zip(few.choices, many.choices, strict=True):
        assert a.label == b.label
        assert (a.loss, a.chance) == pytest.approx((b.loss, b.chance))


def test_cautions_about_maker_boot_and_readings():
    what = last(terms=Terms(False, 0), toe="hard-cap", closing="pull-on", heel_height=45.0)
    said = kinds(chosen(TEN, what).cautions)
    assert {"no-advice", "no-exchanges", "hard-cap", "pull-on", "high-heel"} <= set(said)
    quiet = kinds(chosen(TEN, last(order=0, terms=Terms(True, 30), heel_height=40.0)).cautions)
    assert not {"no-advice", "no-exchanges", "hard-cap", "pull-on", "high-heel"} & set(quiet)


@pytest.mark.parametrize(("on", "old"), [(Date(2024, 3, 1), False), (Date(2024, 2, 1), True)])
def test_readings_over_twenty_four_months_are_old(on, old):
    rows = tuple(evolve(row, date=on) for row in TEN.readings)
    said = answer(wearer(*rows), [], today=Date(2026, 3, 15))
    assert ("old-readings" in kinds(said.remarks)) is old
    assert "old-readings" not in kinds(answer(wearer(*rows), []).remarks)


def test_a_last_on_a_childs_scale_is_refused():
    with pytest.raises(InputError, match="child"):
        answer(TEN, [last(scale="us-child", labels=offer([8], None))])


def test_an_unstated_wearer_is_chosen_for_under_both_populations():
    rows = alike("9 1/2", "9 1/2", "B")
    said = {who: chosen(wearer(*rows, population=who), last(order=0)) for who in ("men", "women", "unstated")}
    label = said["unstated"].label
    ends = [next(r.loss for r in said[who].labels if r.label == label) for who in ("men", "women")]
    assert min(ends) - 1e-9 <= said["unstated"].loss <= max(ends) + 1e-9


def test_a_lighter_day_needs_no_second_look_at_the_heel():
    judging = Judging(DAY, judged_margins(False), default_costs())
    assert judging.judged.sum() == 8
    assert judged_margins(True).sum() == 10


def test_next_reading_is_named_only_when_it_saves_enough():
    vague = chosen(wearer(gauge("left", "length", "10")), last(order=0))
    assert vague.next_reading is not None
    assert vague.next_reading.gain >= 0.02
    measures = (("length", 271), ("ball", 201), ("breadth", 101.6), ("girth", 252))
    sure = [mm(foot, what, value, "scan", sd_mm=0.1) for foot in FEET for what, value in measures]
    assert chosen(wearer(*sure * 3), last(order=0, labels=offer([10], "D"))).next_reading is None
