"""Timing: medians of several runs, and the line that reports them."""

from __future__ import annotations

import json
import os
import statistics
import time
from collections.abc import Callable
from typing import Any


def median_seconds(work: Callable[[], object], runs: int, *, warm: bool = True) -> float:
    """Return the median wall time of `runs` runs [s]; `warm` runs it once before the first."""
    if warm:
        work()
    seconds = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - start)
    return statistics.median(seconds)


def alternating_seconds(
    work: Callable[[], object], reference: Callable[[], object], runs: int
) -> tuple[float, float]:
    """Return the median wall times of two works run in turns [s]: what disturbs one disturbs both."""
    seconds: tuple[list[float], list[float]] = ([], [])
    for one in (work, reference):
        one()
    for _ in range(runs):
        for one, taken in zip((work, reference), seconds, strict=True):
            taken.append(median_seconds(one, 1, warm=False))
    return statistics.median(seconds[0]), statistics.median(seconds[1])


def milliseconds(seconds: float) -> float:
    """Return seconds as milliseconds to a tenth, for printing."""
    return round(seconds * 1000, 1)


def report(benchmark: str, measured: str, **figures: Any) -> None:
    """Print one JSON line: what was measured, on how many cores, and the figures."""
    print(json.dumps({"benchmark": benchmark, "measured": measured, "cores": os.cpu_count(), **figures}))
