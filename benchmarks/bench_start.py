"""How long the command takes to start, with compiled bytecode: help, and one wearer's choice."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import numpy as np

from benchmarks.command import heelball, run
from benchmarks.invented import day, lasts, wearer, write_lasts, write_wearer
from benchmarks.stopwatch import median_seconds, milliseconds, report

_RUNS = 9
_LASTS = 8


def main() -> None:
    """Time both commands beside what Python and NumPy alone cost, and print the lines."""
    generator = np.random.default_rng(4)
    bare = median_seconds(lambda: run([sys.executable, "-c", "pass"]), _RUNS)
    numeric = median_seconds(lambda: run([sys.executable, "-c", "import numpy, scipy.special"]), _RUNS)
    helped = median_seconds(lambda: run([heelball(), "--help"]), _RUNS)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_lasts(lasts(_LASTS, generator), folder / "lasts")
        write_wearer(wearer("W1", generator, day()), folder / "W1.toml")
        words = [heelball(), "choose", str(folder / "W1.toml"), "--lasts", str(folder / "lasts")]
        chosen = median_seconds(lambda: run(words), _RUNS)
    report(
        "start: help",
        f"heelball --help, process start to end, bytecode compiled, median of {_RUNS}",
        median_ms=milliseconds(helped),
        target_ms=150,
        reference='python -c "pass"',
        reference_ms=milliseconds(bare),
        ratio=round(helped / bare, 2),
    )
    report(
        "start: choose",
        f"heelball choose, one wearer of three states x {_LASTS} lasts x 60 labels, process start to end, "
        f"bytecode compiled, median of {_RUNS}",
        median_ms=milliseconds(chosen),
        target_ms=1000,
        reference='python -c "import numpy, scipy.special"',
        reference_ms=milliseconds(numeric),
        ratio=round(chosen / numeric, 2),
    )


if __name__ == "__main__":
    main()
