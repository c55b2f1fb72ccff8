"""Who is at the bench: a cookie's secret, and what is kept under its hash.

Kept sessions are held in memory beside the records, since a running bench is the only one that
writes them (several on one PostgreSQL look again once a minute).
"""

from __future__ import annotations

import hashlib
import secrets
from collections import OrderedDict
from datetime import UTC, datetime, timedelta
from threading import Lock
from typing import Any, Final

from attrs import define, field
from starlette.requests import Request

from heelball.bench.settings import Settings
from heelball.errors import InternalFault, RecordsError
from heelball.records.sessions import KeptSession
from heelball.records.store import Records
from heelball.records.values import Author
from heelball.work import bench_sessions

#: A session ends after so long without a page, and after so long altogether.
IDLE: Final = timedelta(hours=8)
LONGEST: Final = timedelta(days=7)
#: How often at most it is written down that a session was seen.
SEEN_EVERY: Final = timedelta(minutes=1)
#: Sessions held in memory at once.
_MOST_HELD: Final = 2000


@define
class Session:
    """One browser at the bench.

    Parameters
    ----------
    hash
        Of the cookie's secret; the secret itself is known to the browser alone.
    made_at, seen_at
        In UTC.
    data
        What it carries: csrf, units, fitter, login.
    inside
        Whether it may see pages: always on loopback, on a network after the log-in.
    kept
        Whether it stands in the records.
    """

    hash: str
    made_at: datetime
    seen_at: datetime
    data: dict[str, Any] = field(repr=False)
    inside: bool
    kept: bool

    @property
    def csrf(self) -> str:
        """The token that every form of this session carries."""
        return str(self.data["csrf"])

    @property
    def units(self) -> str:
        """Whether lengths are shown in ``mm`` or ``in``."""
        return str(self.data.get("units", "mm"))

    @property
    def fitter(self) -> str:
        """The fitter's initials; empty until told."""
        return str(self.data.get("fitter", ""))

    def over(self, now: datetime) -> bool:
        """Whether it has ended by lying idle or by its age."""
        return now - self.seen_at >= IDLE or now - self.made_at >= LONGEST


class Sessions:
    """All sessions of one bench."""

    def __init__(self, settings: Settings, records: Records, *, units: str = "mm") -> None:
        self.units = units
        self._settings = settings
        self._records = records
        self._held: OrderedDict[str, Session] = OrderedDict()
        self._lock = Lock()
        # A new passphrase ends every log-in made with the old one.
        self._login = _hash_of(settings.passphrase_hash or "")[:16]

    def held(self, secret: str) -> Session | None:
        """Return the session of a cookie if that needs no look into the records."""
        session = self._held.get(_hash_of(secret))
        now = self._now()
        if session is None or session.over(now) or now - session.seen_at >= SEEN_EVERY:
            return None
        return session

    def find(self, secret: str) -> Session | None:
        """Return the session of a cookie, and note that it was seen; None where it has ended."""
        hash_, now = _hash_of(secret), self._now()
        session = self._held.get(hash_) or self._read(hash_)
        if session is None:
            return None
        if session.over(now):
            self.end(session)
            return None
        if now - session.seen_at >= SEEN_EVERY:
            session.seen_at = now
            if not self._touch(session):
                self._drop(session)
                return None
        self._hold(session)
        return session

    def begin(self, *, logged_in: bool = False, **data: Any) -> tuple[str, Session]:
        """Begin a session; return the secret for its cookie, which is kept nowhere, and the session."""
        secret, now = secrets.token_urlsafe(32), self._now()
        data = {"csrf": secrets.token_urlsafe(32), "units": self.units} | data
        if logged_in:
            data["login"] = self._login
        session = Session(_hash_of(secret), now, now, data, self._inside(data), kept=False)
        if session.inside:
            # One that waits before the log-in is held in memory only: a stranger writes nothing.
            self._keep(session)
            self._expire(now)
        self._hold(session)
        return secret, session

    def change(self, session: Session, **data: Any) -> None:
        """Set what a session carries."""
        session.data = session.data | data
        if session.kept:
            bench_sessions.change(self._records, session.hash, session.data)

    def end(self, session: Session) -> None:
        """End a session: its cookie opens nothing any more."""
        self._drop(session)
        if session.kept:
            bench_sessions.end(self._records, session.hash)

    def _read(self, hash_: str) -> Session | None:
        found = bench_sessions.find(self._records, hash_)
        if found is None:
            return None
        made, seen = datetime.fromisoformat(found.made_at), datetime.fromisoformat(found.seen_at)
        data = dict(found.data)
        return Session(found.hash, made, seen, data, self._inside(data), kept=True)

    def _inside(self, data: dict[str, Any]) -> bool:
        return not self._settings.on_network or data.get("login") == self._login

    def _touch(self, session: Session) -> bool:
        if not session.kept:
            return True
        try:
            return bench_sessions.touch(self._records, session.hash, session.seen_at.isoformat())
        except RecordsError:
            # A full disk stops no one from reading on.
            return True

    def _keep(self, session: Session) -> None:
        kept = KeptSession(
            session.hash, session.made_at.isoformat(), session.seen_at.isoformat(), session.data
        )
        try:
            bench_sessions.begin(self._records, kept)
        except RecordsError:
            # Nor from beginning to: the session then lasts as long as the bench runs.
            return
        session.kept = True

    def _expire(self, now: datetime) -> None:
        try:
            bench_sessions.expire(self._records, now, idle=IDLE, longest=LONGEST)
        except RecordsError:
            # Ended sessions are let in by nobody; they only stay longer in the file.
            return

    def _hold(self, session: Session) -> None:
        with self._lock:
            self._held[session.hash] = session
            self._held.move_to_end(session.hash)
            while len(self._held) > _MOST_HELD:
                self._held.popitem(last=False)

    def _drop(self, session: Session) -> None:
        with self._lock:
            self._held.pop(session.hash, None)

    def _now(self) -> datetime:
        return self._settings.clock().astimezone(UTC)


def session_of(request: Request) -> Session:
    """Return the session a request belongs to."""
    session = request.scope["state"].get("session")
    if not isinstance(session, Session):
        raise InternalFault("A page was asked for outside a session.")
    return session


def author(request: Request) -> Author:
    """Return who writes, by initials, and when."""
    return Author(session_of(request).fitter, request.app.state.settings.clock())


def _hash_of(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
