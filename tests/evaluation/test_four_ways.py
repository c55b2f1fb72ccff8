"""Four ways of choosing in simulated shops: a seeded tenth, held to what learning is for."""

from __future__ import annotations

import numpy as np
import pytest

from evaluation.__main__ import shops_found
from evaluation.four_ways import CORE, LEARNED, LENGTH, ORACLE, RULE, FourWays
from evaluation.survey import surveyed_feet
from evaluation.try_ons import evenly_drawn, shop
from tests.requirements import shared


@pytest.fixture(scope="module")
def found() -> FourWays:
    shared("data", "ansur2_feet_build.csv")
    return shops_found(tenth=True)


def test_the_core_and_learned_runs_avoid_wrong_sizes(found: FourWays) -> None:
    # At most 0.75 and 0.45 of what choosing by length alone costs above the oracle.
    assert found.ways[CORE].ratio.mean <= 0.75
    assert found.ways[LEARNED].ratio.mean <= 0.45


def test_the_oracle_is_wrong_least_and_length_alone_most(found: FourWays) -> None:
    wrong = {name: way.wrong.mean for name, way in found.ways.items()}
    assert wrong[ORACLE] < wrong[LEARNED] < wrong[CORE] < min(wrong[RULE], wrong[LENGTH])
    assert found.ways[ORACLE].avoidable.mean == 0.0
    assert found.ways[LENGTH].ratio.mean == 1.0


@pytest.mark.parametrize("way", [CORE, LEARNED])
def test_stated_chances_come_true_with_and_without_learned_runs(found: FourWays, way: str) -> None:
    overall = found.stated[way][-1]
    assert overall.orders == found.orders
    assert abs(overall.gap.mean) < 0.06


def test_learning_foresees_words_better_than_ignoring_them_or_taking_them_as_numbers(found: FourWays) -> None:
    learned, ignoring, numbers = (one.mean for one in found.foreseen.values())
    assert learned > numbers + 0.01
    assert numbers > ignoring
    assert learned < 0


def test_a_shop_tries_every_last_equally_often_and_nobody_knows_the_run(
    generator: np.random.Generator,
) -> None:
    feet = surveyed_feet(shared("data", "ansur2_feet_build.csv"), "men")
    one = shop(feet, "men", generator, lasts=10, pairs_a_last=6, pairs_a_wearer=3)
    assert len(one.wearers) == len({told.wearer for told in one.try_ons}) == 20
    assert [sum(told.last == last.code for told in one.try_ons) for last in one.lasts] == [6] * 10
    framed = [bool(last.advice) for last in one.lasts]
    moved = one.true_runs() - np.array([run.everywhere for run in one.runs])
    assert moved[framed][:, :3] == pytest.approx(np.tile(-one.offsets, (sum(framed), 1)))
    assert (moved[np.logical_not(framed)] == 0).all()


def test_lasts_of_one_maker_run_alike_by_half(generator: np.random.Generator) -> None:
    feet = surveyed_feet(shared("data", "ansur2_feet_build.csv"), "men")
    shops = [shop(feet, "men", generator, lasts=10, pairs_a_last=1, pairs_a_wearer=5) for _ in range(120)]
    sizes = np.array([[run.sizes for run in one.runs] for one in shops])
    assert np.corrcoef(sizes[:, 0], sizes[:, 1])[0, 1] == pytest.approx(0.5, abs=0.2)
    assert np.corrcoef(sizes[:, 0], sizes[:, 9])[0, 1] == pytest.approx(0.0, abs=0.25)


def test_even_draws_are_normal_and_fill_every_share(generator: np.random.Generator) -> None:
    drawn = evenly_drawn(20, [3.0, 1.0], generator)
    assert (np.sort(drawn[:, 0])[:10] < 0).all()
    assert (np.sort(drawn[:, 0])[10:] > 0).all()
    assert drawn.std(axis=0) == pytest.approx([3.0, 1.0], rel=0.25)
