"""Time learning from 100,000 try-ons, and one more, beside a plain regression of the same words.

    python -m benchmarks.bench_learn [--try-ons N] [--lasts N] [--wearers N]

The plain reference takes words for numbers (-1, 0, 1) and fits, place by place, a ridge regression on
who and which last with the label's own figure beside them, by conjugate gradients: what a
spreadsheet's solver would do. It gives no ± and no chance.
"""

from __future__ import annotations

import argparse
import resource
import time

import numpy as np
from scipy.sparse import coo_array, eye_array, hstack
from scipy.sparse.linalg import cg

from benchmarks.told_words import told_problem
from heelball.fit.wearer import Wearer
from heelball.learn.habits import Habits
from heelball.learn.learning import learn
from heelball.learn.one_more import belief_of, fit_of, one_more
from heelball.learn.problem import Verdicts
from heelball.learn.try_on import TryOn

#: How many single try-ons are timed.
_SINGLE = 20


def plain(verdicts: Verdicts, lasts: int, wearers: int) -> float:
    """Return the seconds of a ridge regression of words as numbers, place by place."""
    began = time.perf_counter()
    for place in range(5):
        rows = np.flatnonzero(verdicts.slot % 5 == place)
        count = len(rows)
        one = np.ones(count)
        at = np.arange(count)
        of_last = coo_array((one, (at, verdicts.last[rows])), shape=(count, lasts))
        of_wearer = coo_array((-one, (at, verdicts.wearer[rows])), shape=(count, wearers))
        size = (verdicts.boot[rows] - verdicts.boot[rows].mean())[:, None]
        design = hstack([of_last, of_wearer, coo_array(size)]).tocsr()
        normal = design.T @ design + eye_array(design.shape[1])
        cg(normal, design.T @ (verdicts.word[rows] - 1.0), rtol=1e-6)
    return time.perf_counter() - began


def main() -> None:
    """Time and print."""
    words = argparse.ArgumentParser(prog="python -m benchmarks.bench_learn")
    words.add_argument("--try-ons", type=int, default=100_000)
    words.add_argument("--lasts", type=int, default=1_000)
    words.add_argument("--wearers", type=int, default=20_000)
    asked = words.parse_args()
    told = told_problem(
        np.random.default_rng(1), lasts=asked.lasts, wearers=asked.wearers, try_ons=asked.try_ons
    )
    words_told = told.problem.verdicts
    reference = plain(words_told, asked.lasts, asked.wearers)
    wearers, try_ons = told.values()
    began = time.perf_counter()
    learned = learn(told.lasts, wearers, try_ons)
    seconds = time.perf_counter() - began
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    print(
        f"{asked.try_ons:,} try-ons ({len(words_told):,} words), {asked.lasts:,} lasts,"
        f" {asked.wearers:,} wearers: {seconds:.1f} s, {peak:.2f} GiB at most"
    )
    print(
        f"    a ridge regression of words as numbers: {reference:.1f} s;"
        f" {seconds / reference:.1f} times as long"
    )
    print(f"    at rest: {learned.settled}; runs held block by block: {learned.own_blocks}")
    last = told.lasts[0]
    label = last.labels[len(last.labels) // 2]
    habits = Habits.default()
    belief, fit = belief_of(last), fit_of(Wearer("W", "men"), habits)
    everywhere = {
        (foot, place): "right"
        for foot in ("left", "right")
        for place in ("ball", "toe", "breadth", "girth", "heel")
    }
    report = TryOn("W", last.code, label, everywhere, 2.0)  # type: ignore[arg-type]
    times = []
    for _ in range(_SINGLE):
        began = time.perf_counter()
        one_more(belief, last, fit, report, habits)
        times.append(time.perf_counter() - began)
    print(f"one more try-on of ten words: {1000 * np.median(times):.1f} ms")


if __name__ == "__main__":
    main()
