"""10,000 last files through the command: its time, and its memory beside 1,000's."""

from __future__ import annotations

import tempfile
import time
import tomllib
from pathlib import Path

import numpy as np

from benchmarks.command import Ran, heelball, largest_child_mb, run
from benchmarks.invented import day, lasts, wearer, write_lasts, write_wearer
from benchmarks.stopwatch import report

_FEW, _MANY = 1000, 10_000


def parsed(folder: Path) -> float:
    """Time a plain loop that only parses every file [s]."""
    start = time.perf_counter()
    for file in folder.iterdir():
        tomllib.loads(file.read_text(encoding="utf-8"))
    return time.perf_counter() - start


def chosen(folder: Path, count: int) -> Ran:
    """Run the command for one wearer against `count` lasts."""
    generator = np.random.default_rng(6)
    write_wearer(wearer("W1", generator, day()), folder / f"W{count}.toml")
    write_lasts(lasts(count, generator), folder / f"lasts-{count}")
    return run(
        [
            heelball(),
            "choose",
            str(folder / f"W{count}.toml"),
            "--lasts",
            str(folder / f"lasts-{count}"),
            "--json",
        ]
    )


def main() -> None:
    """Time both folders, the smaller first so that each has its own largest size, and print the line."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        few = chosen(folder, _FEW)
        few_mb = largest_child_mb()
        many = chosen(folder, _MANY)
        many_mb = largest_child_mb()
        plain = parsed(folder / f"lasts-{_MANY}")
    report(
        "many files",
        f"heelball choose --json, one wearer of three states x {_MANY} last files x 60 labels, process "
        "from start to end, and the largest resident size of the process",
        seconds=round(many.seconds, 2),
        largest_mb=many_mb,
        seconds_for_1000=round(few.seconds, 2),
        largest_mb_for_1000=few_mb,
        kb_for_each_further_last=round((many_mb - few_mb) * 1024 / (_MANY - _FEW), 1),
        reference=f"a loop that only parses the {_MANY} files with tomllib",
        reference_s=round(plain, 2),
        ratio=round(many.seconds / plain, 2),
    )


if __name__ == "__main__":
    main()
