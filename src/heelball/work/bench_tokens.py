"""Bearer tokens for the JSON API on a network: made, listed, revoked and held against what was sent."""

from __future__ import annotations

import hashlib
import secrets
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from typing import Final

from heelball.errors import InputError, RecordsError
from heelball.records import tokens
from heelball.records.store import Records
from heelball.records.tokens import Token

#: How often at most the last use of a token is written down.
_NOTED_EVERY: Final = timedelta(minutes=1)
_LONGEST_NAME: Final = 80


def hash_of(secret: str) -> str:
    """Return what is kept of a secret: long and random, so that a plain hash is enough."""
    return hashlib.sha256(secret.encode()).hexdigest()


def add(records: Records, name: str, now: datetime) -> str:
    """Make a token and return its secret, which is kept nowhere.

    Raises
    ------
    InputError
        Where the name is empty, too long, unprintable or taken.
    """
    name = name.strip()
    if not name or len(name) > _LONGEST_NAME or not name.isprintable():
        raise InputError.at("name", repr(name[:100]), f"a name of 1 to {_LONGEST_NAME} printable characters")
    secret = secrets.token_urlsafe(32)
    with records.writing() as conn:
        tokens.add_token(conn, name, hash_of(secret), _stamp(now))
    return secret


def listed(records: Records) -> list[Token]:
    """Return all tokens by name."""
    with records.reading() as conn:
        return tokens.list_tokens(conn)


def revoke(records: Records, name: str) -> None:
    """Revoke a token: whoever holds its secret is let in no longer.

    Raises
    ------
    InputError
        Where no token has this name.
    """
    with records.writing() as conn:
        if not tokens.remove_token(conn, name):
            raise InputError.at(
                "name", f"no token is called {name!r}", "a name that heelball bench token list shows"
            )


def admits(records: Records, secret: str, now: datetime) -> Token | None:
    """Return the token that has this secret, or None; its use is noted once a minute at most."""
    with records.reading() as conn:
        token = tokens.find_token(conn, hash_of(secret))
    if token is None:
        return None
    if token.used_at is None or now - datetime.fromisoformat(token.used_at) >= _NOTED_EVERY:
        # A full disk stops no one from reading on.
        with suppress(RecordsError), records.writing() as conn:
            tokens.touch_token(conn, token.id, _stamp(now))
    return token


def _stamp(now: datetime) -> str:
    return now.astimezone(UTC).isoformat()
