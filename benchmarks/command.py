"""The `heelball` command as a person runs it: a process of its own, timed and measured from outside."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from attrs import frozen

#: Answers that are no mistake: done, and done with somebody to be looked at first.
_ANSWERS = (0, 1)


@frozen
class Ran:
    """What one run of a process took: wall time [s], and the lines it printed."""

    seconds: float
    lines: int


def heelball() -> str:
    """Return the command that stands beside this interpreter."""
    return str(Path(sys.executable).with_name("heelball"))


def run(words: Sequence[str]) -> Ran:
    """Run a command to its end, with bytecode written and kept.

    Raises
    ------
    SystemExit
        Where it failed; its own words are printed.
    """
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    start = time.perf_counter()
    done = subprocess.run(words, capture_output=True, text=True, env=env, check=False)
    seconds = time.perf_counter() - start
    if done.returncode not in _ANSWERS:
        raise SystemExit(f"{' '.join(words)}\n{done.stderr}")
    return Ran(seconds, done.stdout.count("\n"))


def largest_child_mb() -> float:
    """Return the largest resident size any ended child of this process had [MB]."""
    kilobytes = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    return round(kilobytes / 1024, 1)


def peak_mb(words: Sequence[str]) -> float:
    """Return the largest resident size of one run of a command [MB].

    Linux counts the size of the process that starts it too, so the caller must be small itself.

    Raises
    ------
    SystemExit
        Where it failed.
    """
    process = subprocess.Popen(words, stdout=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in _ANSWERS:
        raise SystemExit(f"{' '.join(words)}\nended with {process.returncode}")
    return round(used.ru_maxrss / 1024, 1)
