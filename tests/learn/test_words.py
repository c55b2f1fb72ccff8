"""What a word says of a margin: chances that sum to one, and derivatives that are those of the chance."""

from __future__ import annotations

import numpy as np
import pytest

from heelball.learn.words import hear, limits

MEAN = np.linspace(-40, 40, 81)
LO, HI = np.full(81, -8.0), np.full(81, 7.0)
VARIANCE = np.full(81, 9.0)


def log_chance(word: int, mean: np.ndarray, *, out: float = 0.0) -> np.ndarray:
    lower, upper = limits(np.full(81, word), LO, HI)
    return hear(mean, VARIANCE, lower - out, upper + out, 0.02).log_chance


def test_the_three_words_share_one_certainty() -> None:
    assert sum(np.exp(log_chance(word, MEAN)) for word in range(3)) == pytest.approx(np.ones(81))


@pytest.mark.parametrize("word", [0, 1, 2])
def test_slope_bend_and_edge_are_derivatives(word: int) -> None:
    lower, upper = limits(np.full(81, word), LO, HI)
    said = hear(MEAN, VARIANCE, lower, upper, 0.02)
    step = 1e-4
    up, down = log_chance(word, MEAN + step), log_chance(word, MEAN - step)
    assert said.slope == pytest.approx((up - down) / (2 * step), abs=1e-6)
    assert said.bend == pytest.approx((up - 2 * said.log_chance + down) / step**2, abs=1e-5)
    wider, closer = log_chance(word, MEAN, out=step), log_chance(word, MEAN, out=-step)
    assert said.edge == pytest.approx((wider - closer) / (2 * step), abs=1e-6)


def test_far_out_only_the_lapse_speaks() -> None:
    lower, upper = limits(np.array([0]), np.array([-8.0]), np.array([7.0]))
    said = hear(np.array([500.0]), np.array([9.0]), lower, upper, 0.02)
    assert np.exp(said.log_chance) == pytest.approx(0.02 / 3)
    assert said.slope == pytest.approx(0.0, abs=1e-9)
