"""Work done in processes of its own, where a crash, a hang, and what it used can be seen."""

from __future__ import annotations

import multiprocessing
import os
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager, suppress
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
from attrs import frozen

from heelball.errors import InputError
from heelball.sheet.reading import read_photograph
from heelball.sheet.values import Array, Circumstances, Refused
from tests.sheet.files import sheets
from tests.sheet.spoiling import spoiled

#: A batch of this many takes seconds; one that takes minutes has a file in it that hangs.
BATCH: Final = 50
#: Half of a stated 90 % interval, in standard deviations: as far as a reading may be from the sound file's.
STATED: Final = 1.645


@frozen
class Outcome:
    """What became of one spoiled file.

    Parameters
    ----------
    result
        ``read``, the refusal's reason, or what nobody should meet: an error, or a reading that the
        sound file's does not bear out.
    """

    number: int
    name: str
    way: str
    result: str
    seconds: float


@frozen
class Batch:
    """What became of some spoiled files, and the most memory [MB] the process and any child of it held."""

    outcomes: tuple[Outcome, ...]
    own_mb: float
    child_mb: float
    left_behind: tuple[str, ...]


def read_spoiled(numbers: Sequence[int]) -> Batch:
    """Read the photographs that these numbers give, in a folder where anything left behind is found."""
    outcomes = []
    with tempfile.TemporaryDirectory() as folder, _watched_children() as children:
        os.chdir(folder)
        os.environ["TMPDIR"] = folder
        tempfile.tempdir = folder
        try:
            for number in numbers:
                name, way, content = spoiled(sheets(), number)
                began = time.perf_counter()
                result = _result(name, content)
                outcomes.append(Outcome(number, name, way, result, time.perf_counter() - began))
            left = tuple(path.name for path in Path(folder).iterdir())
        finally:
            tempfile.tempdir = None
            os.chdir("/")
    return Batch(
        tuple(outcomes),
        _own_mb(),
        max(children, default=0.0),
        left,
    )


def _own_mb() -> float:
    """Return the most memory this process held [MB].

    What `getrusage` says of a process begins with what its parent held when it started it.
    """
    return _most_mb("self")


def _begun(child: str) -> bool:
    """Tell whether a child runs a program of its own yet: until then it shows its parent's memory."""
    return Path("/proc", child, "cmdline").read_bytes() != Path("/proc/self/cmdline").read_bytes()


def _most_mb(process: str) -> float:
    status = Path("/proc", process, "status").read_text()
    return int(status.split("VmHWM:")[1].split()[0]) / 1024


@contextmanager
def _watched_children() -> Iterator[list[float]]:
    """Look every few milliseconds at the most memory each child holds, and note it [MB]."""
    seen: list[float] = []
    over = threading.Event()

    def watch() -> None:
        while not over.wait(0.005):
            for one in Path("/proc/self/task").glob("*/children"):
                # A child may end while it is looked at.
                with suppress(OSError, IndexError):
                    seen.extend(_most_mb(child) for child in one.read_text().split() if _begun(child))

    watcher = threading.Thread(target=watch)
    watcher.start()
    try:
        yield seen
    finally:
        over.set()
        watcher.join()


def _result(name: str, content: bytes) -> str:
    try:
        reading = read_photograph(content, name, Circumstances()).drawn_round
    except Refused as refusal:
        return refusal.reason if refusal.message and refusal.remedy else "no remedy"
    except InputError:
        return "input"
    except BaseException as error:
        return repr(error)
    away = np.abs(reading.mean - _sound_reading(name)) / np.sqrt(np.diag(reading.cov))
    return "read" if np.all(away <= STATED) else f"read, and {away.max():.2f} sd away"


@cache
def _sound_reading(name: str) -> Array:
    return read_photograph(sheets()[name], name, Circumstances()).drawn_round.mean


def batches(work: Callable[[Sequence[int]], Batch], numbers: Sequence[int], seconds: float) -> list[Batch]:
    """Do the work in two processes, some numbers at a time.

    Raises
    ------
    BrokenProcessPool
        Where one of them crashed.
    TimeoutError
        Where all of it took longer than `seconds`.
    """
    parts = [numbers[at : at + BATCH] for at in range(0, len(numbers), BATCH)]
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        try:
            return list(pool.map(work, parts, timeout=seconds))
        except TimeoutError:
            for process in list(pool._processes.values()):
                process.kill()
            raise
