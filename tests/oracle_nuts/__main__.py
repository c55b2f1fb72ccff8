"""Sample the scenarios, keep the figures, and time learning: ``python -m tests.oracle_nuts [NAME...]``.

One JSON line a scenario: seconds of NUTS and of `learn` in this run, their ratio, and how far apart
the two posteriors are. Ends with 1 where chains did not mix, the two are further apart than was asked,
or learning is not a hundred times faster; figures of chains that did not mix are not kept.
"""

from __future__ import annotations

import json
import sys
import time
from pathlib import Path
from statistics import median
from typing import Any, Final

from attrs import asdict

from heelball.learn.learning import learn
from tests.oracle_nuts.apart import FASTER, apart, unmixed
from tests.oracle_nuts.sampling import sampled
from tests.oracle_nuts.scenarios import DRAWS, SCENARIOS, held_habits, scenario

#: A few hundredths of a second are timed more than once: the median counts.
_TIMES: Final = 5

GOLDEN: Final = Path(__file__).parents[1] / "learn" / "golden"


def beside(name: str, nuts: dict[str, Any]) -> tuple[dict[str, Any], list[str]]:
    """Return what learning gives of the same problem and how long it took, and what it misses."""
    seen, habits = scenario(name), held_habits()
    # What is imported once is not timed.
    runs = learn(seen.lasts, seen.wearers, seen.try_ons, habits=habits)
    times = []
    for _ in range(_TIMES):
        began = time.perf_counter()
        learn(seen.lasts, seen.wearers, seen.try_ons, habits=habits)
        times.append(time.perf_counter() - began)
    seconds = median(times)
    ratio = nuts["seconds"] / seconds
    found = apart(runs, nuts)
    figures = {
        "benchmark": "learn beside NUTS",
        "scenario": name,
        "nuts_seconds": nuts["seconds"],
        "learn_seconds": round(seconds, 3),
        "ratio": round(ratio, 1),
        "r_hat": nuts["r_hat"],
        "effective": nuts["effective"],
        **{measure: round(value, 3) for measure, value in asdict(found).items()},
    }
    slow = [] if ratio >= FASTER else [f"{ratio:.0f} times faster, wanted {FASTER}"]
    return figures, [*found.misses(), *slow]


def main() -> int:
    """Sample, keep and tell; return 1 where anything was missed."""
    missed: list[str] = []
    for name in sys.argv[1:] or list(SCENARIOS):
        warmup, draws = DRAWS[name]
        nuts = sampled(name, draws=draws, warmup=warmup)
        mixed_badly = unmixed(nuts)
        if not mixed_badly:
            (GOLDEN / f"nuts-{name}.json").write_text(json.dumps(nuts, indent=1) + "\n")
        figures, misses = beside(name, nuts)
        sys.stdout.write(json.dumps(figures) + "\n")
        sys.stdout.flush()
        missed += [f"{name}: {miss}" for miss in (*mixed_badly, *misses)]
    for miss in missed:
        sys.stderr.write(f"{miss}\n")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
