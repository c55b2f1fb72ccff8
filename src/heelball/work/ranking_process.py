"""All lasts ranked for one wearer in a process of its own, so that pages go on being served meanwhile.

The process opens the records itself and keeps the lasts on their shelves; it is asked with a wearer
and answers with the names of the lasts that stand first. It keeps nothing about any wearer.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable
from contextlib import suppress
from datetime import date as Date
from datetime import datetime
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from threading import Lock
from typing import Final

from attrs import frozen

from heelball.errors import HeelballError
from heelball.fit.choice import answer
from heelball.fit.wearer import Wearer
from heelball.records.store import Records, open_records
from heelball.work.lasts_on_hand import LastsOnHand, lasts_on_hand

#: How long an answer may take before the process is held to be stuck [s].
_PATIENCE: Final = 30.0
#: How long an ended process may take to be gone [s].
_GRACE: Final = 5.0
#: Pages before rankings, where both want a processor.
_NICE: Final = 5

_POPULATIONS: Final = ("unstated", "men", "women")


class RankingStopped(HeelballError):
    """The process that ranks is gone, and another one could not do the work either."""

    exit_code = 70

    def __init__(self, why: str = "") -> None:
        super().__init__(
            f"The lasts could not be ranked{f': {why}' if why else ''}.",
            "Try again in a moment; if it stays so, start the bench anew.",
        )


@frozen
class Ranked:
    """The lasts that stand first for one wearer.

    Parameters
    ----------
    last_ids
        The rows' names, best first.
    lasts
        How many lasts were ranked.
    left_out
        Sentences: which lasts could not be ranked, and why.
    """

    last_ids: tuple[str, ...]
    lasts: int
    left_out: tuple[str, ...] = ()


@frozen
class _Asked:
    wearer: Wearer
    count: int
    today: Date


@frozen
class _Failed:
    """What went wrong there, as a sentence: errors themselves do not travel between processes."""

    why: str


class RankingProcess:
    """One process that ranks, started again where it dies.

    Parameters
    ----------
    records
        The records that it opens for itself.
    clock
        Tells the time, where a process is started.
    """

    def __init__(self, records: Records, clock: Callable[[], datetime]) -> None:
        self._where = (
            str(records.path)
            if records.path is not None
            else records.engine.url.render_as_string(hide_password=False)
        )
        self._clock = clock
        self._lock = Lock()
        self._stopped = False
        self._process: BaseProcess | None = None
        self._pipe: Connection | None = None

    @property
    def pid(self) -> int | None:
        """The process's number; None where none is running."""
        return self._process.pid if self._process is not None and self._process.is_alive() else None

    def start(self) -> None:
        """Start the process, unless it runs; it gets the lasts ready while nobody waits."""
        with self._lock:
            self._stopped = False
            self._running()

    def stop(self) -> None:
        """End the process; a ranking that waits for it is told so."""
        self._stopped = True
        # Not behind the lock: whoever waits for a ranking holds it.
        if (process := self._process) is not None:
            process.terminate()
        with self._lock:
            self._discard()

    def rank(self, wearer: Wearer, count: int, *, today: Date) -> Ranked:
        """Return the lasts that stand first for a wearer, through the wearer's day.

        Parameters
        ----------
        wearer
            Readings, day and signs.
        count
            How many lasts are wanted at most.
        today
            For the age of readings.

        Raises
        ------
        RankingStopped
            Where neither this process nor a fresh one answers.
        """
        asked = _Asked(wearer, count, today)
        with self._lock:
            found = self._ask(asked) or self._ask(asked)
        if found is None:
            raise RankingStopped
        if isinstance(found, _Failed):
            raise RankingStopped(found.why)
        return found

    def _ask(self, asked: _Asked) -> Ranked | _Failed | None:
        """Return what the process answers; None where it died or is stuck, and is gone now."""
        try:
            pipe = self._running()
            pipe.send(asked)
            if pipe.poll(_PATIENCE):
                found: Ranked | _Failed = pipe.recv()
                return found
        except (EOFError, OSError):
            pass
        self._discard()
        return None

    def _running(self) -> Connection:
        """Return the pipe to a process that runs."""
        if self._stopped:
            raise RankingStopped("the bench is stopping")
        if self._pipe is not None and self._process is not None and self._process.is_alive():
            return self._pipe
        self._discard()
        # Started afresh, not forked: this process holds threads and open records.
        context = get_context("spawn")
        ours, theirs = context.Pipe()
        process = context.Process(
            target=_work, args=(theirs, self._where, self._clock()), name="heelball ranking", daemon=True
        )
        process.start()
        # Held open here, its end would never be heard.
        theirs.close()
        self._process, self._pipe = process, ours
        return ours

    def _discard(self) -> None:
        if self._process is not None:
            _end(self._process)
        if self._pipe is not None:
            self._pipe.close()
        self._process = self._pipe = None


def _end(process: BaseProcess) -> None:
    # It only reads, so it may be ended in the middle of anything.
    process.terminate()
    process.join(_GRACE)
    if process.is_alive():
        process.kill()
        process.join(_GRACE)


def _work(pipe: Connection, where: str, now: datetime) -> None:
    """Rank for whoever asks, until the bench is gone."""
    # Ctrl-C goes to all processes of a terminal: the bench ends this one when it has ended its pages.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "nice"):
        os.nice(_NICE)
    # The bench went away while it was asked or answered: there is nobody to tell.
    with suppress(EOFError, OSError):
        records: Records | None = None
        kept: LastsOnHand | None = None
        try:
            records = open_records(where, create=False, now=now)
            kept = _made_ready(records)
        except HeelballError:
            # Told to the first who asks, who may meet better luck.
            kept = None
        while True:
            asked = pipe.recv()
            try:
                records = records or open_records(where, create=False, now=now)
                kept = lasts_on_hand(records, kept)
                found: Ranked | _Failed = _ranked(kept, asked)
            except HeelballError as refused:
                found = _Failed(refused.message.removesuffix("."))
            pipe.send(found)


def _made_ready(records: Records) -> LastsOnHand:
    """Return the lasts, already shelved for every population: the first to ask waits no longer for it."""
    kept = lasts_on_hand(records)
    for population in _POPULATIONS:
        for _ in kept.shelves.chunks(population):
            pass
    return kept


def _ranked(kept: LastsOnHand, asked: _Asked) -> Ranked:
    found = answer(asked.wearer, kept.shelves, today=asked.today, detailed=0, listed=asked.count)
    codes = [choice.last.code for choice in found.choices[: asked.count]]
    return Ranked(tuple(kept.ids[code] for code in codes), len(kept.shelves), kept.left_out)
