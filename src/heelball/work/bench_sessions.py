"""Sessions of the bench, each step a transaction of its own."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from heelball.records import sessions
from heelball.records.sessions import KeptSession
from heelball.records.store import Records


def find(records: Records, hash_: str) -> KeptSession | None:
    """Return the kept session with this hash, or None."""
    with records.reading() as conn:
        return sessions.find_session(conn, hash_)


def begin(records: Records, session: KeptSession) -> None:
    """Keep a new session."""
    with records.writing() as conn:
        sessions.add_session(conn, session)


def touch(records: Records, hash_: str, seen_at: str) -> bool:
    """Note that a session was seen; False where it has been ended elsewhere."""
    with records.writing() as conn:
        return sessions.touch_session(conn, hash_, seen_at)


def change(records: Records, hash_: str, data: Mapping[str, Any]) -> bool:
    """Replace what a session carries; False where it has been ended elsewhere."""
    with records.writing() as conn:
        return sessions.change_session(conn, hash_, data)


def end(records: Records, hash_: str) -> None:
    """End a session."""
    with records.writing() as conn:
        sessions.remove_session(conn, hash_)


def expire(records: Records, now: datetime, *, idle: timedelta, longest: timedelta) -> None:
    """End the sessions that are `idle` or have lasted `longest`; `now` is in UTC."""
    with records.writing() as conn:
        sessions.remove_stale_sessions(
            conn, seen_before=(now - idle).isoformat(), made_before=(now - longest).isoformat()
        )
