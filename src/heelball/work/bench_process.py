"""A process beside the bench that works answers out, so that pages go on being served meanwhile.

It opens the records for itself, reads and never writes, and is started again where it dies.
"""

from __future__ import annotations

import os
import signal
from collections import deque
from collections.abc import Callable
from concurrent.futures import Future
from contextlib import suppress
from datetime import datetime
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from threading import Lock, Thread
from typing import Any, Final

from attrs import define, field, frozen

from heelball.errors import HeelballError, InputError, InternalFault, RecordsError
from heelball.records.refused import NotFound
from heelball.records.store import Records, open_records

#: How long an answer may take before the process is held to be stuck [s].
_PATIENCE: Final = 30.0
#: How long an ended process may take to be gone [s].
_GRACE: Final = 5.0

#: Makes, out of the records, what answers each question.
Begin = Callable[[Records], Callable[[Any], Any]]


class ProcessStopped(HeelballError):
    """The process that works answers out is gone, and another one could not do it either."""

    exit_code = 70

    def __init__(self, what: str) -> None:
        super().__init__(
            f"{what} could not be worked out just now.",
            "Try again in a moment; if it stays so, start the bench anew.",
        )


@frozen
class _Refused:
    """An error met there: errors do not travel between processes, what they are made of does."""

    kind: type[HeelballError]
    made_of: tuple[Any, ...]

    @classmethod
    def of(cls, error: HeelballError) -> _Refused:
        if isinstance(error, InputError):
            return cls(InputError, (error.problems,))
        if isinstance(error, NotFound):
            return cls(NotFound, (error.what,))
        kind = RecordsError if isinstance(error, RecordsError) else HeelballError
        return cls(kind, (error.message, error.remedy))


@define(eq=False)
class _Life:
    """A process from its start to its end, with those who wait for its answers."""

    process: BaseProcess
    pipe: Connection
    waiting: deque[Future[Any]] = field(factory=deque)
    over: bool = False

    def end(self) -> None:
        """End the process: it only reads, so it may be ended in the middle of anything."""
        self.process.terminate()
        self.process.join(_GRACE)
        if self.process.is_alive():
            self.process.kill()
            self.process.join(_GRACE)


class BenchProcess:
    """One process that answers questions in turn, started again where it dies.

    Parameters
    ----------
    records
        The records that it opens for itself.
    clock
        Tells the time, where a process is started.
    begin
        Makes in the process what answers the questions; a function of a module.
    answers
        What it works out, as the beginning of a sentence.
    nice
        How far it stands back where others want the processor too.
    """

    def __init__(
        self, records: Records, clock: Callable[[], datetime], begin: Begin, *, answers: str, nice: int = 0
    ) -> None:
        self._where = records.address
        self._clock = clock
        self._begin = begin
        self._answers = answers
        self._nice = nice
        self._lock = Lock()
        self._stopped = False
        self._life: _Life | None = None

    @property
    def pid(self) -> int | None:
        """The process's number; None where none is running."""
        life = self._life
        return life.process.pid if life is not None and life.process.is_alive() else None

    def start(self) -> None:
        """Start the process, unless it runs; it makes ready while nobody waits."""
        with self._lock:
            self._living()

    def stop(self) -> None:
        """End the process for good; whoever waits for an answer is told."""
        with self._lock:
            self._stopped = True
            if self._life is not None:
                self._life.end()

    def ask(self, question: Any) -> Any:
        """Return the answer to a question.

        Questions wait in the process, not here: it has its next one as soon as it has answered.

        Raises
        ------
        ProcessStopped
            Where neither this process nor a fresh one answers.
        InputError, NotFound
            As the question is answered there.
        """
        for _ in range(2):
            try:
                answer = self._put(question)
            except (EOFError, OSError):
                # It died, or is stuck and was ended: a fresh one is asked.
                continue
            if isinstance(answer, _Refused):
                raise answer.kind(*answer.made_of)
            return answer
        raise ProcessStopped(self._answers)

    def _put(self, question: Any) -> Any:
        waiting: Future[Any] = Future()
        with self._lock:
            life = self._living()
            life.waiting.append(waiting)
            try:
                life.pipe.send(question)
            except BaseException:
                # Answers are told apart by their turn, and this one has none.
                life.end()
                raise
        try:
            return waiting.result(_PATIENCE)
        except TimeoutError:
            life.end()
            raise

    def _living(self) -> _Life:
        """Return the process that runs, a fresh one where none does; called behind the lock."""
        if self._stopped:
            raise ProcessStopped(self._answers)
        if self._life is not None:
            if not self._life.over and self._life.process.is_alive():
                return self._life
            self._life.end()
        # Started afresh, not forked: this process holds threads and open records.
        context = get_context("spawn")
        ours, theirs = context.Pipe()
        process = context.Process(
            target=_work,
            args=(theirs, self._where, self._clock(), self._begin, self._nice),
            name="heelball bench",
            daemon=True,
        )
        process.start()
        # Held open here, its end would never be heard.
        theirs.close()
        self._life = _Life(process, ours)
        Thread(target=self._listen, args=(self._life,), daemon=True).start()
        return self._life

    def _listen(self, life: _Life) -> None:
        """Hand each answer to whoever waits for it, in the order they asked, until the process ends."""
        try:
            while True:
                answer = life.pipe.recv()
                life.waiting.popleft().set_result(answer)
        except (EOFError, OSError):
            pass
        with self._lock:
            life.over = True
            life.pipe.close()
            for one in life.waiting:
                one.set_exception(EOFError())


def _work(pipe: Connection, where: str, now: datetime, begin: Begin, nice: int) -> None:
    """Answer until the bench is gone."""
    # Ctrl-C goes to all processes of a terminal: the bench ends this one when it has ended its pages.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if nice and hasattr(os, "nice"):
        os.nice(nice)
    # The bench went away while it was asked or answered: there is nobody to tell.
    with suppress(EOFError, OSError):
        records = open_records(where, create=False, now=now)
        answer = begin(records)
        while True:
            pipe.send(_answered(answer, pipe.recv()))


def _answered(answer: Callable[[Any], Any], question: Any) -> Any:
    try:
        return answer(question)
    except HeelballError as refused:
        return _Refused.of(refused)
    except Exception as fault:  # whatever it is: the bench tells its person, and this process lives on
        return _Refused(InternalFault, (f"{type(fault).__name__} while an answer was worked out.",))
