"""Sample the scenarios, keep the figures, and time learning: ``python -m tests.oracle_nuts [NAME...]``.

One JSON line a scenario: seconds of NUTS and of `learn` in this run, their ratio, and how far apart
the two posteriors are, in sds of NUTS's.
"""

from __future__ import annotations

import json
import sys
import time
from pathlib import Path
from typing import Any, Final

import numpy as np

from heelball.learn.learning import learn
from tests.oracle_nuts.sampling import sampled
from tests.oracle_nuts.scenarios import DRAWS, SCENARIOS, held_habits, scenario

GOLDEN: Final = Path(__file__).parents[1] / "learn" / "golden"


def beside(name: str, nuts: dict[str, Any]) -> dict[str, Any]:
    """Return what learning gives of the same problem, and how long it took."""
    seen, habits = scenario(name), held_habits()
    learn(seen.lasts, seen.wearers, seen.try_ons, habits=habits)  # What is imported once is not timed.
    began = time.perf_counter()
    runs = learn(seen.lasts, seen.wearers, seen.try_ons, habits=habits)
    seconds = time.perf_counter() - began
    sd = np.array(nuts["sd"])
    off = (np.array([one.run.mean for one in runs.lasts]) - np.array(nuts["mean"])) / sd
    wide = np.abs(np.sqrt([np.diagonal(one.run.cov) for one in runs.lasts]) / sd - 1)
    return {
        "benchmark": "learn beside NUTS",
        "scenario": name,
        "nuts_seconds": nuts["seconds"],
        "learn_seconds": round(seconds, 3),
        "ratio": round(nuts["seconds"] / seconds, 1),
        "r_hat": nuts["r_hat"],
        "effective": nuts["effective"],
        "means_rms_sd": round(float(np.sqrt((off**2).mean())), 3),
        "means_worst_sd": round(float(np.abs(off).max()), 3),
        "sds_95th": round(float(np.quantile(wide, 0.95)), 3),
        "sds_worst": round(float(wide.max()), 3),
    }


def main() -> None:
    """Sample, keep and tell."""
    for name in sys.argv[1:] or list(SCENARIOS):
        warmup, draws = DRAWS[name]
        found = sampled(name, draws=draws, warmup=warmup)
        (GOLDEN / f"nuts-{name}.json").write_text(json.dumps(found, indent=1) + "\n")
        sys.stdout.write(json.dumps(beside(name, found)) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
