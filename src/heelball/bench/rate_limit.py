"""How often a wrong passphrase may be tried: counted in a window of time, by caller and in all."""

from __future__ import annotations

from collections import OrderedDict, deque
from datetime import datetime, timedelta
from threading import Lock
from typing import Final

#: Tries in one window from one address, and from all together.
TRIES: Final = 5
TRIES_IN_ALL: Final = 60
WINDOW: Final = timedelta(minutes=5)
#: Addresses remembered at once.
_MOST_CALLERS: Final = 1000


class RateLimit:
    """Count tries; a try is counted before it is judged, so that many at once gain nothing."""

    def __init__(self) -> None:
        self._by_caller: OrderedDict[str, deque[datetime]] = OrderedDict()
        self._all: deque[datetime] = deque()
        self._lock = Lock()

    def take(self, caller: str, now: datetime) -> datetime | None:
        """Count a try, or return when the next one may be made.

        Parameters
        ----------
        caller
            The address it comes from.
        now
            The time, with its zone.
        """
        with self._lock:
            mine = self._by_caller.setdefault(caller, deque())
            self._by_caller.move_to_end(caller)
            while len(self._by_caller) > _MOST_CALLERS:
                self._by_caller.popitem(last=False)
            for tries in (mine, self._all):
                while tries and now - tries[0] >= WINDOW:
                    tries.popleft()
            if len(mine) >= TRIES:
                return mine[0] + WINDOW
            if len(self._all) >= TRIES_IN_ALL:
                return self._all[0] + WINDOW
            mine.append(now)
            self._all.append(now)
            return None

    def forgive(self, caller: str) -> None:
        """Forget the tries of a caller who then knew the passphrase."""
        with self._lock:
            self._by_caller.pop(caller, None)
