"""Photographs of sheets that a fitter is looking at: in memory alone, few of them, not for long."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from datetime import datetime, timedelta
from threading import Lock
from typing import Final

from attrs import evolve, frozen

from heelball.work.sheet_apart import AskedSheet, SeenSheet, read_apart

#: How many photographs may wait at once, and how long each.
MOST_WAITING: Final = 6
WAITS: Final = timedelta(minutes=30)


@frozen
class WaitingSheet:
    """One photograph that was read and neither kept nor dropped yet."""

    id: str
    wearer_id: str
    asked: AskedSheet
    seen: SeenSheet
    at: datetime


class SheetsWaiting:
    """The photographs that wait for a fitter's word.

    Parameters
    ----------
    clock
        Tells the time.
    read
        Reads one photograph.
    """

    def __init__(
        self, clock: Callable[[], datetime], read: Callable[[AskedSheet], SeenSheet] = read_apart
    ) -> None:
        self._clock = clock
        self._read = read
        self._lock = Lock()
        # One at a time: a photograph of many megapixels takes some hundred megabytes while it is read.
        self._reading = Lock()
        self._waiting: dict[str, WaitingSheet] = {}

    def put(self, wearer_id: str, asked: AskedSheet) -> WaitingSheet:
        """Read a photograph and let it wait; the one that waited longest makes room.

        Raises
        ------
        Refused, MissingExtra, PhotographError
            As `read_apart`.
        """
        with self._reading:
            seen = self._read(asked)
        return self._keep(WaitingSheet(secrets.token_hex(8), wearer_id, asked, seen, self._clock()))

    def with_ticks(self, one: WaitingSheet, ticks: tuple[float, float]) -> WaitingSheet:
        """Read the same photograph again with its ticks moved."""
        asked = evolve(one.asked, ticks=ticks)
        with self._reading:
            seen = self._read(asked)
        return self._keep(evolve(one, asked=asked, seen=seen, at=self._clock()))

    def find(self, wearer_id: str, id: str) -> WaitingSheet | None:
        """Return a photograph that waits; None where it is kept, dropped or forgotten."""
        with self._lock:
            self._forget_old()
            one = self._waiting.get(id)
        return one if one is not None and one.wearer_id == wearer_id else None

    def drop(self, id: str) -> None:
        """Forget a photograph."""
        with self._lock:
            self._waiting.pop(id, None)

    def _keep(self, one: WaitingSheet) -> WaitingSheet:
        with self._lock:
            self._forget_old()
            self._waiting.pop(one.id, None)
            while len(self._waiting) >= MOST_WAITING:
                self._waiting.pop(next(iter(self._waiting)))
            self._waiting[one.id] = one
        return one

    def _forget_old(self) -> None:
        until = self._clock() - WAITS
        for id in [id for id, one in self._waiting.items() if one.at < until]:
            del self._waiting[id]
