"""1,000 wearers x 20 lasts, from CSV to JSON Lines, by the command itself."""

from __future__ import annotations

import tempfile
import time
from pathlib import Path
from statistics import median

import numpy as np

from benchmarks.command import heelball, run
from benchmarks.invented import lasts, wearer, write_crew, write_lasts
from benchmarks.stopwatch import report
from heelball.fit.choice import answer
from heelball.fit.wearer import Wearer
from heelball.last.values import Last

_WEARERS, _LASTS = 1000, 20
_SAMPLE = 20
_RUNS = 3
_TARGET_S = 20


def one_by_one(crew: tuple[Wearer, ...], offered: tuple[Last, ...]) -> float:
    """Time a plain loop: each wearer against each last by itself, nothing kept between them [s a wearer]."""
    answer(crew[0], offered[:1])
    start = time.perf_counter()
    for one in crew[:_SAMPLE]:
        for last in offered:
            answer(one, [last])
    return (time.perf_counter() - start) / _SAMPLE


def main() -> None:
    """Time the command and the plain loop, and print the line."""
    generator = np.random.default_rng(2)
    crew = tuple(wearer(f"W{i:04d}", generator) for i in range(_WEARERS))
    offered = lasts(_LASTS, generator)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_crew(crew, folder / "crew.csv")
        write_lasts(offered, folder / "lasts")
        words = [heelball(), "choose", str(folder / "crew.csv"), "--lasts", str(folder / "lasts"), "--json"]
        ran = [run(words) for _ in range(_RUNS)]
    if {one.lines for one in ran} != {_WEARERS}:
        raise SystemExit(f"not one line for each of {_WEARERS} wearers")
    seconds = median(one.seconds for one in ran)
    plain = one_by_one(crew, offered) * _WEARERS
    report(
        "many wearers",
        f"heelball choose, {_WEARERS} wearers of one CSV x {_LASTS} lasts x 60 labels to JSON Lines, the "
        "process from start to end, everything told of every last",
        median_s=round(seconds, 2),
        target_s=_TARGET_S,
        runs=_RUNS,
        reference=f"a loop in one process that answers each wearer and each last by itself; timed on "
        f"{_SAMPLE} wearers, scaled to {_WEARERS}; reads and writes nothing",
        reference_s=round(plain, 1),
        ratio=round(plain / seconds, 1),
    )


if __name__ == "__main__":
    main()
