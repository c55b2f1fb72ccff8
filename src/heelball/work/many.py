"""Many wearers one after another: past a few dozen, on every processor, in the order given."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from multiprocessing import get_context
from typing import Any, Final, TypeVar

In = TypeVar("In")
Out = TypeVar("Out")

#: From so many on, starting other processes costs less than it saves.
WORTH_IT: Final = 64

#: Given to a process at a time, and how many such batches wait for each: results stay few.
BATCH: Final = 8
AHEAD: Final = 4


class _Worker:
    """What a process of the pool was started to do."""

    work: Callable[[Any], Any]


def in_order(work: Callable[[In], Out], given: Sequence[In]) -> Iterator[Out]:
    """Yield ``work(one)`` for each of `given`, in order, as soon as it is known.

    Parameters
    ----------
    work
        A pure function that can be sent to another process.
    given
        What it is called with.
    """
    processes = os.cpu_count() or 1
    if len(given) < WORTH_IT or processes == 1:
        yield from map(work, given)
        return
    # Started afresh, not forked: NumPy may hold threads that would not survive a fork.
    with ProcessPoolExecutor(processes, get_context("spawn"), _start, (work,)) as pool:
        waiting: deque[Future[list[Out]]] = deque()
        try:
            for start in range(0, len(given), BATCH):
                waiting.append(pool.submit(_run, given[start : start + BATCH]))
                if len(waiting) > AHEAD * processes:
                    yield from waiting.popleft().result()
            while waiting:
                yield from waiting.popleft().result()
        finally:
            pool.shutdown(wait=False, cancel_futures=True)


def _start(work: Callable[[Any], Any]) -> None:
    _Worker.work = work


def _run(batch: Sequence[Any]) -> list[Any]:
    return [_Worker.work(one) for one in batch]
