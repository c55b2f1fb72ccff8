"""What a wearer told of health: kept with consent alone, and gone when consent is taken back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, insert, select

from heelball.errors import InputError
from heelball.records.found import find_row, rows_of
from heelball.records.refused import Conflict
from heelball.records.schema import health_answers, wearers
from heelball.records.values import Author, HealthAnswers
from heelball.records.writing import written_time


def find_health(conn: Connection, wearer_id: str) -> HealthAnswers | None:
    """Return what a wearer told of health; None where nothing is kept."""
    query = select(health_answers).where(health_answers.c.wearer_id == wearer_id)
    for row in rows_of(conn, query):
        return HealthAnswers(**row)
    return None


def keep_health(
    conn: Connection,
    wearer_id: str,
    signs: Mapping[str, Any],
    *,
    consents: bool,
    seen: int,
    by: Author,
) -> HealthAnswers:
    """Keep what a wearer told of health. It stands in no history: the last answers are all there is.

    Parameters
    ----------
    signs
        The signs of a wearer file.
    consents
        Whether the wearer agrees that they are kept.
    seen
        The version of the answers that the fitter saw, 0 where there were none.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    InputError
        Where the wearer does not agree.
    Conflict
        Where someone else wrote them meanwhile, or they were taken back.
    """
    if not consents:
        raise InputError.at("health", "no consent", "the wearer's consent before anything of health is kept")
    find_row(conn, wearers, wearer_id)
    kept = find_health(conn, wearer_id)
    if kept is not None and kept.signs == signs:
        return kept
    if (kept.version if kept else 0) != seen:
        raise Conflict(kept, seen, {"signs": dict(signs)})
    row: dict[str, Any] = {"version": seen + 1, "signs": dict(signs), "consented_at": written_time(by)}
    if kept is None:
        conn.execute(insert(health_answers).values(wearer_id=wearer_id, **row))
    else:
        conn.execute(health_answers.update().where(health_answers.c.wearer_id == wearer_id).values(row))
    return HealthAnswers(wearer_id=wearer_id, **row)


def withdraw_consent(conn: Connection, wearer_id: str) -> None:
    """Delete what a wearer told of health, whatever version it has; nothing brings it back."""
    conn.execute(health_answers.delete().where(health_answers.c.wearer_id == wearer_id))
