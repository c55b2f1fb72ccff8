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

from benchmarks.stopwatch import report
from benchmarks.told_words import told_problem
from heelball.fit.wearer import Wearer
from heelball.learn.feet import feet_given
from heelball.learn.habits import Habits
from heelball.learn.learning import learn
from heelball.learn.one_more import belief_of, one_more
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
    report(
        "learn",
        "values to values: feet, runs, habits",
        try_ons=asked.try_ons,
        words=len(words_told),
        lasts=asked.lasts,
        wearers=asked.wearers,
        seconds=round(seconds, 1),
        gib=round(peak, 2),
        plain_seconds=round(reference, 2),
        ratio=round(seconds / reference, 1),
        settled=learned.settled,
        own_blocks=learned.own_blocks,
    )
    last = told.lasts[0]
    label = last.labels[len(last.labels) // 2]
    habits = Habits.default()
    belief, feet = belief_of(last), feet_given(Wearer("W", "men"))
    everywhere = {
        (foot, place): "right"
        for foot in ("left", "right")
        for place in ("ball", "toe", "breadth", "girth", "heel")
    }
    told_of_one = TryOn("W", last.code, label, everywhere, 2.0)  # type: ignore[arg-type]
    times = []
    for _ in range(_SINGLE):
        began = time.perf_counter()
        one_more(belief, last, feet, [told_of_one], habits)
        times.append(time.perf_counter() - began)
    report("learn", "one more try-on of ten words", milliseconds=round(1000 * float(np.median(times)), 1))


if __name__ == "__main__":
    main()
