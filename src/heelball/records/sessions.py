"""Sessions of the bench: kept by the hash of their secret, so that reading them lets nobody in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from attrs import frozen
from sqlalchemy import Connection, delete, insert, select, update

from heelball.records.schema import sessions

#: Sessions kept at once; the longest unseen go first.
MOST: Final = 500


@frozen
class KeptSession:
    """A session as kept: when it was made and last seen (ISO 8601), and what it carries."""

    hash: str
    made_at: str
    seen_at: str
    data: Mapping[str, Any]


def find_session(conn: Connection, hash_: str) -> KeptSession | None:
    """Return the session with this hash, or None: an unknown cookie is no error."""
    row = conn.execute(select(sessions).where(sessions.c.hash == hash_)).mappings().one_or_none()
    return None if row is None else KeptSession(**row)


def add_session(conn: Connection, session: KeptSession) -> None:
    """Keep a new session, and drop the longest unseen where there are more than `MOST`."""
    surplus = select(sessions.c.hash).order_by(sessions.c.seen_at.desc()).offset(MOST - 1)
    stale = [row.hash for row in conn.execute(surplus)]
    if stale:
        conn.execute(delete(sessions).where(sessions.c.hash.in_(stale)))
    conn.execute(
        insert(sessions).values(
            hash=session.hash, made_at=session.made_at, seen_at=session.seen_at, data=dict(session.data)
        )
    )


def touch_session(conn: Connection, hash_: str, seen_at: str) -> bool:
    """Note that a session was seen; False where it is kept no longer."""
    return conn.execute(update(sessions).where(sessions.c.hash == hash_).values(seen_at=seen_at)).rowcount > 0


def change_session(conn: Connection, hash_: str, data: Mapping[str, Any]) -> bool:
    """Replace what a session carries; False where it is kept no longer."""
    return conn.execute(update(sessions).where(sessions.c.hash == hash_).values(data=dict(data))).rowcount > 0


def remove_session(conn: Connection, hash_: str) -> None:
    """End a session; nothing happens where it has ended already."""
    conn.execute(delete(sessions).where(sessions.c.hash == hash_))


def remove_stale_sessions(conn: Connection, *, seen_before: str, made_before: str) -> None:
    """End the sessions last seen, or made, before these times (ISO 8601, in UTC)."""
    conn.execute(
        delete(sessions).where((sessions.c.seen_at < seen_before) | (sessions.c.made_at < made_before))
    )
