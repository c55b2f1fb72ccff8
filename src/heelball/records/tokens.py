"""Bearer tokens for the JSON API: a name for the fitter, and the hash of a secret shown once."""

from __future__ import annotations

from attrs import frozen
from sqlalchemy import Connection, delete, insert, select, update

from heelball.errors import InputError
from heelball.records.schema import new_id, tokens


@frozen
class Token:
    """A token as kept: its name, and when it was made and last used (ISO 8601)."""

    id: str
    name: str
    hash: str
    made_at: str
    used_at: str | None


def list_tokens(conn: Connection) -> list[Token]:
    """Return all tokens by name."""
    return [Token(**row) for row in conn.execute(select(tokens).order_by(tokens.c.name)).mappings()]


def find_token(conn: Connection, hash_: str) -> Token | None:
    """Return the token whose secret has this hash, or None."""
    row = conn.execute(select(tokens).where(tokens.c.hash == hash_)).mappings().one_or_none()
    return None if row is None else Token(**row)


def add_token(conn: Connection, name: str, hash_: str, made_at: str) -> Token:
    """Keep a token by its name and the hash of its secret.

    Raises
    ------
    InputError
        Where another token has this name.
    """
    if conn.execute(select(tokens.c.id).where(tokens.c.name == name)).first() is not None:
        raise InputError.at("name", f"a token {name!r} is there already", "another name")
    token = Token(new_id(), name, hash_, made_at, None)
    conn.execute(insert(tokens).values(id=token.id, name=name, hash=hash_, made_at=made_at, used_at=None))
    return token


def touch_token(conn: Connection, id_: str, used_at: str) -> None:
    """Note when a token was last used."""
    conn.execute(update(tokens).where(tokens.c.id == id_).values(used_at=used_at))


def remove_token(conn: Connection, name: str) -> bool:
    """Revoke the token of this name; False where there is none."""
    return conn.execute(delete(tokens).where(tokens.c.name == name)).rowcount > 0
