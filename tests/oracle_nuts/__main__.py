"""Sample the scenarios and keep what comes out: ``python -m tests.oracle_nuts [NAME...] [--draws N]``."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Final

from tests.oracle_nuts.sampling import sampled
from tests.oracle_nuts.scenarios import SCENARIOS

GOLDEN: Final = Path(__file__).parents[1] / "learn" / "golden"


def main() -> None:
    """Sample and write one file a scenario."""
    words = argparse.ArgumentParser(prog="python -m tests.oracle_nuts")
    words.add_argument("names", nargs="*", default=list(SCENARIOS))
    words.add_argument("--draws", type=int, default=4000)
    words.add_argument("--warmup", type=int, default=1000)
    asked = words.parse_args()
    for name in asked.names:
        found = sampled(name, draws=asked.draws, warmup=asked.warmup)
        (GOLDEN / f"nuts-{name}.json").write_text(json.dumps(found, indent=1) + "\n")
        told = {key: value for key, value in found.items() if not isinstance(value, list)}
        print(name, json.dumps(told), flush=True)


if __name__ == "__main__":
    main()
