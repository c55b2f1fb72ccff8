"""A million rows of try-ons read, beside the csv module's own reader of rows by column."""

from __future__ import annotations

import csv
import sys
import tempfile
from datetime import date
from pathlib import Path

import numpy as np

from benchmarks.command import peak_mb
from benchmarks.invented import lasts
from benchmarks.stopwatch import median_seconds, report
from heelball.last.values import Last
from heelball.show.labels import size_text
from heelball.work.try_ons_csv import read_try_ons

_TRY_ONS, _LASTS, _WEARERS = 500_000, 1_000, 20_000
_SEED = 6
_RUNS = 3
_TODAY = date(2026, 6, 1)
_WORDS = ("little", "right", "right", "right", "much", "")
_HEADER = "date,wearer,last,size,width,foot,ball,toe,breadth,girth,heel,sock,swelling,hours"


def write(path: Path, offered: tuple[Last, ...], generator: np.random.Generator) -> None:
    """Write both feet of `_TRY_ONS` reports, with every kind of cell blank now and then."""
    labels = [
        f"{last.code},{size_text(label.size, last.label_scale)},{label.width}"
        for last in offered
        for label in last.labels
    ]
    days = [f"2026-0{month}-{day:02d}" for month in range(1, 6) for day in range(1, 29)]
    states = [f"{sock},{swelling}," for sock in ("", "thin", "thick") for swelling in ("", "rest", "hot")]
    drawn = (
        generator.integers(top, size=_TRY_ONS) for top in (_WEARERS, len(labels), len(days), len(states))
    )
    words = generator.integers(len(_WORDS), size=(_TRY_ONS, 2, 4))
    with path.open("w", encoding="utf-8") as file:
        print(_HEADER, file=file)
        for who, label, day, state, told in zip(*drawn, words, strict=True):
            for foot, places in zip(("left", "right"), told, strict=True):
                said = ",".join(_WORDS[word] for word in places)
                print(f"{days[day]},W{who},{labels[label]},{foot},{said},right,{states[state]}", file=file)


def by_column(path: Path) -> int:
    """Return how many rows the csv module's own reader finds, each a dictionary and none kept."""
    with path.open(encoding="utf-8", newline="") as file:
        return sum(1 for _row in csv.DictReader(file))


def main() -> None:
    """Time both readers and print the line; with a file, only read it."""
    generator = np.random.default_rng(_SEED)
    offered = lasts(_LASTS, generator)

    def ours(path: Path) -> int:
        return read_try_ons(path, path.name, offered, wearers=(), strict=False, today=_TODAY).rows

    if len(sys.argv) > 1:
        ours(Path(sys.argv[1]))
        return
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "tries.csv"
        write(path, offered, generator)
        size = path.stat().st_size
        # First: a process counts what the one that starts it has grown to.
        peak = peak_mb([sys.executable, "-m", "benchmarks.bench_try_ons", str(path)])
        if ours(path) != by_column(path):
            raise SystemExit("a row was lost")
        seconds = median_seconds(lambda: ours(path), _RUNS, warm=False)
        reference = median_seconds(lambda: by_column(path), _RUNS, warm=False)
    report(
        "try-ons",
        f"read_try_ons, {2 * _TRY_ONS} rows ({size / 1e6:.0f} MB) of {_WEARERS} wearers x {_LASTS} lasts "
        "joined into try-ons and checked",
        median_s=round(seconds, 2),
        peak_mb=peak,
        runs=_RUNS,
        reference="csv.DictReader over the same file, which checks, joins and keeps nothing",
        reference_s=round(reference, 2),
        ratio=round(seconds / reference, 1),
    )


if __name__ == "__main__":
    main()
