"""Expectation propagation against NUTS (NumPyro), whose figures are kept: `make nuts` makes them anew."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from heelball.learn.learning import learn
from tests.oracle_nuts.scenarios import SCENARIOS, held_habits, scenario

GOLDEN = Path(__file__).parent / "golden"


@pytest.mark.parametrize("name", SCENARIOS)
def test_runs_are_those_of_nuts(name: str, record_property: Callable[[str, object], None]) -> None:
    nuts = json.loads((GOLDEN / f"nuts-{name}.json").read_text())
    assert nuts["r_hat"] < 1.01
    assert nuts["effective"] > 2000
    seen = scenario(name)
    runs = learn(seen.lasts, seen.wearers, seen.try_ons, habits=held_habits())
    assert runs.settled
    mean = np.array([one.run.mean for one in runs.lasts])
    sd = np.sqrt([np.diagonal(one.run.cov) for one in runs.lasts])
    off = (mean - np.array(nuts["mean"])) / np.array(nuts["sd"])
    wide = np.abs(sd / np.array(nuts["sd"]) - 1)
    # As text: what is recorded travels between processes, and arrays' numbers do not.
    record_property("means, rms and worst", f"{np.sqrt((off**2).mean()):.3f}, {np.abs(off).max():.3f} sd")
    record_property("sds, 95th percentile and worst", f"{np.quantile(wide, 0.95):.1%}, {wide.max():.1%}")
    assert np.sqrt((off**2).mean()) <= 0.10
    assert np.abs(off).max() <= 0.30
    assert np.quantile(wide, 0.95) <= 0.10
    assert wide.max() <= 0.20
