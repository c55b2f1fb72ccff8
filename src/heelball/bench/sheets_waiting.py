"""Sheets that a fitter is looking at: in memory alone, few of them, and not for long."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from datetime import datetime, timedelta
from threading import Lock, Timer
from typing import Final

from attrs import evolve, frozen

from heelball.errors import PhotographError
from heelball.work.sheet_apart import AskedSheet, SeenSheet, read_apart

#: How many sheets may wait at once, how long each, and of how many photographs.
MOST_WAITING: Final = 6
WAITS: Final = timedelta(minutes=30)
MOST_PHOTOGRAPHS: Final = 4
#: How much all that wait may take together [bytes].
MOST_BYTES: Final = 160 * 1024 * 1024


@frozen
class WaitingSheet:
    """One sheet that was read and neither kept nor dropped yet.

    Parameters
    ----------
    id
        What its page is called by.
    wearer_id, session
        Whose foot it is, and in whose session it came: nobody else finds it.
    asked, seen
        What was sent, and what was seen on it.
    at
        When it was last worked on.
    """

    id: str
    wearer_id: str
    session: str
    asked: AskedSheet
    seen: SeenSheet
    at: datetime

    @property
    def size(self) -> int:
        """How much of the memory it takes [bytes]."""
        return sum(map(len, self.asked.photographs)) + len(self.seen.plan.png) + len(self.seen.photograph)


class SheetsWaiting:
    """The sheets that wait for a fitter's word.

    Parameters
    ----------
    clock
        Tells the time.
    read
        Reads one sheet.
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
        self._timer: Timer | None = None

    def __len__(self) -> int:
        """Return how many wait."""
        with self._lock:
            self._forget_old()
            return len(self._waiting)

    def put(self, wearer_id: str, session: str, asked: AskedSheet) -> WaitingSheet:
        """Read a sheet and let it wait; the one that waited longest makes room.

        Raises
        ------
        PhotographError, MissingExtra
            As `read_apart`.
        """
        seen = self._seen(asked)
        one = WaitingSheet(secrets.token_hex(16), wearer_id, session, asked, seen, self._clock())
        self.put_back(one)
        return one

    def with_photograph(self, one: WaitingSheet, content: bytes) -> WaitingSheet:
        """Read a sheet again together with a further photograph of it.

        Raises
        ------
        PhotographError, MissingExtra
            As `read_apart`, and where there are enough.
        """
        if len(one.asked.photographs) >= MOST_PHOTOGRAPHS:
            raise PhotographError(
                f"{MOST_PHOTOGRAPHS} photographs of this sheet are read already.", "Keep what they say."
            )
        return self._again(one, evolve(one.asked, photographs=(*one.asked.photographs, content)))

    def with_ticks(self, one: WaitingSheet, ticks: tuple[float, float]) -> WaitingSheet:
        """Read a sheet again with its ticks where the fitter puts them.

        Raises
        ------
        PhotographError, MissingExtra
            As `read_apart`.
        """
        return self._again(one, evolve(one.asked, ticks=ticks))

    def find(self, wearer_id: str, session: str, id: str) -> WaitingSheet | None:
        """Return a sheet that waits; None where it is kept, dropped, forgotten, or somebody else's."""
        with self._lock:
            self._forget_old()
            one = self._waiting.get(id)
        return one if one is not None and (one.wearer_id, one.session) == (wearer_id, session) else None

    def take(self, one: WaitingSheet) -> bool:
        """Let a sheet go, to be kept or forgotten; return whether it still waited."""
        with self._lock:
            return self._waiting.pop(one.id, None) is not None

    def put_back(self, one: WaitingSheet) -> None:
        """Let a sheet wait; those that waited longest make room."""
        with self._lock:
            self._hold(one)

    def drop_all_of(self, *, wearer_id: str = "", session: str = "") -> None:
        """Forget every sheet of a wearer who is erased, or of a session that has ended."""
        with self._lock:
            for one in list(self._waiting.values()):
                if one.wearer_id == wearer_id or one.session == session:
                    del self._waiting[one.id]

    def _seen(self, asked: AskedSheet) -> SeenSheet:
        with self._reading:
            return self._read(asked)

    def _again(self, one: WaitingSheet, asked: AskedSheet) -> WaitingSheet:
        anew = evolve(one, asked=asked, seen=self._seen(asked), at=self._clock())
        with self._lock:
            # What was kept or dropped meanwhile does not come back.
            if one.id in self._waiting:
                self._hold(anew)
        return anew

    def _hold(self, one: WaitingSheet) -> None:
        self._forget_old()
        self._waiting.pop(one.id, None)
        while self._waiting and not self._has_room_for(one):
            del self._waiting[next(iter(self._waiting))]
        self._waiting[one.id] = one
        self._look_again()

    def _has_room_for(self, one: WaitingSheet) -> bool:
        taken = sum(each.size for each in self._waiting.values())
        return len(self._waiting) < MOST_WAITING and taken + one.size <= MOST_BYTES

    def _look_again(self) -> None:
        """See to it that what waits is forgotten even where nobody asks for a page any more."""
        if self._timer is not None:
            self._timer.cancel()
        self._timer = Timer(WAITS.total_seconds() + 1, self.__len__)
        self._timer.daemon = True
        self._timer.start()

    def _forget_old(self) -> None:
        until = self._clock() - WAITS
        for id in [id for id, one in self._waiting.items() if one.at <= until]:
            del self._waiting[id]
