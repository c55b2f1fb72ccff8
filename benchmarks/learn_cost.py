"""Draw what learning costs as try-ons grow, from a thousand to a million.

    python -m benchmarks.learn_cost FILE.svg [--most N]

There are five try-ons a wearer and a hundred a last, as in the large case. Each size runs in a process
of its own, so that its memory is its own. Beyond `MOST_DENSE` lasts the ± come from each last's own
block, and the point is drawn hollow.
"""

from __future__ import annotations

import argparse
import json
import math
import resource
import subprocess
import sys
import time
from pathlib import Path

import numpy as np

from benchmarks.told_words import told_problem
from heelball.learn.learning import settle
from heelball.learn.propagation import MOST_DENSE
from heelball.show.svg import line, number, text

SIZES = (1_000, 3_000, 10_000, 30_000, 100_000, 300_000, 1_000_000)
_WIDTH, _HEIGHT, _LEFT, _TOP = 150.0, 90.0, 26.0, 14.0
_MOST_SECONDS = 3.0


def one(size: int) -> dict[str, float]:
    """Learn from so many try-ons; return seconds and GiB."""
    lasts = max(10, size // 100)
    told = told_problem(np.random.default_rng(size), lasts=lasts, wearers=max(20, size // 5), try_ons=size)
    began = time.perf_counter()
    settle(told.problem)
    return {
        "try_ons": size,
        "lasts": lasts,
        "seconds": time.perf_counter() - began,
        "gib": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20,
    }


def drawn(points: list[dict[str, float]]) -> str:
    """Return the drawing: seconds by try-ons, both on logarithmic scales."""
    low, high = math.log10(SIZES[0]), math.log10(SIZES[-1])

    def spot(tried: float, seconds: float) -> tuple[float, float]:
        x = _LEFT + _WIDTH * (math.log10(tried) - low) / (high - low)
        y = _TOP + _HEIGHT * (1 - (math.log10(max(seconds, 0.1)) + 1) / (_MOST_SECONDS + 1))
        return x, y

    across, down = _LEFT + _WIDTH + 14, _TOP + _HEIGHT + 22
    parts = [
        (
            '<svg xmlns="http://www.w3.org/2000/svg" role="img"'
            f' viewBox="0 0 {number(across)} {number(down)}">'
            "<title>Seconds to learn, by try-ons</title>"
        ),
        (
            "<style>text{font:4.6px serif;fill:#24211c;"
            "paint-order:stroke;stroke:#fbf8f1;stroke-width:1.4}line{stroke:#756e61;stroke-width:.25}"
            ".mid{text-anchor:middle}.end{text-anchor:end}"
            "circle{stroke:#1f4f7d;stroke-width:.6;fill:#1f4f7d}circle.own{fill:#fbf8f1}rect{fill:#fbf8f1}"
            "@media screen and (prefers-color-scheme:dark){text{fill:#ece5d8;stroke:#1c1a17}"
            "rect,circle.own{fill:#1c1a17}"
            "circle{stroke:#8fbce6;fill:#8fbce6}}</style>"
        ),
        f'<rect width="{number(across)}" height="{number(down)}"/>',
        text("", (4, 8), "seconds, on two cores"),
        text("end", (across - 4, down - 4), "try-ons"),
    ]
    for power in range(-1, int(_MOST_SECONDS) + 1):
        at = spot(SIZES[0], 10.0**power)
        parts += [
            line("", at, (at[0] + _WIDTH, at[1])),
            text("end", (at[0] - 2, at[1] + 1.6), f"{10.0**power:g}"),
        ]
    for size in SIZES:
        x, _ = spot(size, 1)
        parts.append(text("mid", (x, _TOP + _HEIGHT + 8), f"{size:,}"))
    for point in points:
        x, y = spot(point["try_ons"], point["seconds"])
        kind = ' class="own"' if point["lasts"] > MOST_DENSE else ""
        parts.append(f'<circle{kind} cx="{number(x)}" cy="{number(y)}" r="1.6"/>')
        seconds = point["seconds"]
        said = f"{seconds:.{0 if seconds >= 10 else 1}f} s, {point['gib']:.2g} GiB"
        # Beside the rising points there is room below on the right, later above on the left.
        early = x < _LEFT + _WIDTH / 2
        parts.append(text("", (x + 2.6, y + 5), said) if early else text("end", (x - 2.6, y - 1.5), said))
    return "\n".join([*parts, "</svg>", ""])


def main() -> None:
    """Measure each size in a process of its own, print, and draw."""
    words = argparse.ArgumentParser(prog="python -m benchmarks.learn_cost")
    words.add_argument("file", type=Path)
    words.add_argument("--most", type=int, default=SIZES[-1])
    words.add_argument("--one", type=int)
    asked = words.parse_args()
    if asked.one:
        print(json.dumps(one(asked.one)))
        return
    points = []
    for size in (size for size in SIZES if size <= asked.most):
        again = [sys.executable, "-m", "benchmarks.learn_cost", "-", "--one", str(size)]
        ran = subprocess.run(again, capture_output=True, text=True, check=True)
        points.append(json.loads(ran.stdout))
        print(
            f"{size:>9,} try-ons, {points[-1]['lasts']:>6,.0f} lasts:"
            f" {points[-1]['seconds']:8.1f} s, {points[-1]['gib']:.2f} GiB",
            flush=True,
        )
    asked.file.write_text(drawn(points))


if __name__ == "__main__":
    main()
