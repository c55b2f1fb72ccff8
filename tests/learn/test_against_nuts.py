"""Expectation propagation against NUTS (NumPyro), whose figures are kept: `make nuts` makes them anew."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from heelball.learn.learning import learn
from tests.oracle_nuts.apart import apart, unmixed
from tests.oracle_nuts.scenarios import SCENARIOS, held_habits, scenario

GOLDEN = Path(__file__).parent / "golden"


@pytest.mark.parametrize("name", SCENARIOS)
def test_runs_are_those_of_nuts(name: str, record_property: Callable[[str, object], None]) -> None:
    nuts = json.loads((GOLDEN / f"nuts-{name}.json").read_text())
    assert unmixed(nuts) == []
    seen = scenario(name)
    runs = learn(seen.lasts, seen.wearers, seen.try_ons, habits=held_habits())
    assert runs.settled
    found = apart(runs, nuts)
    # As text: what is recorded travels between processes, and arrays' numbers do not.
    record_property("means, rms and worst", f"{found.means_rms:.3f}, {found.means_worst:.3f} sd")
    record_property("sds, 95th percentile and worst", f"{found.sds_95th:.1%}, {found.sds_worst:.1%}")
    assert found.misses() == []
