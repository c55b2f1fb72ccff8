"""Work done in processes of its own, where a crash, a hang, and what it used can be seen."""

from __future__ import annotations

import multiprocessing
import os
import resource
import tempfile
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Final

from attrs import frozen

from heelball.errors import InputError
from heelball.sheet.picture import open_picture
from heelball.sheet.values import Refused
from tests.sheet.files import sound
from tests.sheet.spoiling import spoiled

#: A batch of this many takes seconds; one that takes minutes has a file in it that hangs.
BATCH: Final = 50


@frozen
class Outcome:
    """What became of one spoiled file.

    Parameters
    ----------
    result
        ``opened``, the refusal's reason, or the name of an error that nobody should meet.
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


def open_spoiled(numbers: Sequence[int]) -> Batch:
    """Open the files that these numbers give, in a folder where anything left behind is found."""
    outcomes = []
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        os.environ["TMPDIR"] = folder
        tempfile.tempdir = folder
        try:
            for number in numbers:
                name, way, content = spoiled(sound(), number)
                began = time.perf_counter()
                result = _result(content)
                outcomes.append(Outcome(number, name, way, result, time.perf_counter() - began))
            left = tuple(path.name for path in Path(folder).iterdir())
        finally:
            tempfile.tempdir = None
            os.chdir("/")
    return Batch(
        tuple(outcomes),
        resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
        resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024,
        left,
    )


def _result(content: bytes) -> str:
    try:
        grey = open_picture(content).grey
    except Refused as refusal:
        return refusal.reason if refusal.message and refusal.remedy else "no remedy"
    except InputError:
        return "input"
    except BaseException as error:
        return repr(error)
    return "opened" if 1_000_000 <= grey.size <= 60_000_000 else f"opened {grey.shape}"


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
