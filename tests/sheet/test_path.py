"""Cheapest paths and rings, against every path there is."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from heelball.sheet.path import cheapest_path, cheapest_ring

COLUMNS, ROWS = 6, 4


def priced(cost, path, bend):
    """Return what a path costs, stated apart from how the cheapest is found."""
    return float(cost[np.arange(len(path)), path].sum() + bend * (np.diff(path) ** 2).sum())


def paths(widest_step, start=None, end=None):
    """Yield every path that may be gone."""
    for path in product(range(ROWS), repeat=COLUMNS):
        near = np.abs(np.diff(path)).max() <= widest_step
        if near and start in (None, path[0]) and end in (None, path[-1]):
            yield np.array(path)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("widest_step", [1, 2])
@pytest.mark.parametrize(("start", "end"), [(None, None), (2, None), (0, 1)])
def test_no_path_is_cheaper(seed, widest_step, start, end):
    cost = np.random.default_rng(seed).random((COLUMNS, ROWS)).astype(np.float32)
    found = cheapest_path(cost, bend=0.2, widest_step=widest_step, start=start, end=end)
    least = min(priced(cost, path, 0.2) for path in paths(widest_step, start, end))
    assert np.abs(np.diff(found)).max() <= widest_step
    assert start in (None, found[0])
    assert end in (None, found[-1])
    assert priced(cost, found, 0.2) == pytest.approx(least, abs=1e-5)


def test_a_bend_is_worth_its_price():
    """A cheap place one row aside is gone to where two bends cost less than it saves."""
    cost = np.ones((3, 3), np.float32)
    cost[1, 2] = 0.5
    cost[:, 1] -= 0.01
    assert cheapest_path(cost, bend=0.2, widest_step=2, start=1, end=1).tolist() == [1, 2, 1]
    assert cheapest_path(cost, bend=0.3, widest_step=2, start=1, end=1).tolist() == [1, 1, 1]


def test_a_ring_closes_where_a_path_would_end_elsewhere():
    """A valley round, and another beside its end: a path ends there, a ring comes back in time."""
    columns = 80
    angle = np.linspace(0, 2 * np.pi, columns, endpoint=False)
    valley = np.round(10 + 6 * np.sin(angle)).astype(int)
    cost = np.ones((columns, 30), np.float32)
    cost[np.arange(columns), valley] = 0.05
    cost[np.arange(columns)[-20:], valley[-20:]] = 0.35
    cost[-20:, 22] = 0.0
    assert cheapest_path(cost, bend=0.001, widest_step=3)[-1] == 22
    ring = cheapest_ring(cost, bend=0.001, widest_step=3)
    assert np.abs(np.diff(np.r_[ring, ring[0]])).max() <= 3
    # No dearer than the ring that stays in the valley.
    closed = np.concatenate([cost, cost[:1]])
    stays = priced(closed, np.r_[valley, valley[0]], 0.001)
    assert priced(closed, np.r_[ring, ring[0]], 0.001) <= stays
