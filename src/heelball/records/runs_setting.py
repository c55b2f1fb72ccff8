"""Where learned runs stand among the settings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from sqlalchemy import Connection, select

from heelball.records.schema import try_ons
from heelball.records.settings import get_setting, set_setting

#: The document: lasts, makers, habits, and nothing of any wearer.
RUNS: Final = "learned_runs"

#: When it was learned, which is looked at often.
RUNS_AT: Final = "learned_runs_at"

#: What was told since and heard at once: small, and read with every answer.
SINCE: Final = "learned_runs_since"

#: All three: what is worked out from try-ons, and can be worked out again.
LEARNED: Final = frozenset({RUNS, RUNS_AT, SINCE})

#: Names asked for in one query.
_AT_ONCE: Final = 500


def since_kept(conn: Connection) -> dict[str, dict[str, Any]]:
    """Return what was heard since the runs in force were learned, by the last's code.

    Each entry has its ``try_ons``, names to versions. What was brought in and is none, or was heard
    beside other runs, says nothing beside these.
    """
    since = get_setting(conn, SINCE)
    if not isinstance(since, dict) or since.get("learned_at") != get_setting(conn, RUNS_AT):
        return {}
    lasts = since.get("lasts")
    if not isinstance(lasts, dict):
        return {}
    return {code: one for code, one in lasts.items() if _is_entry(one)}


def keep_since(conn: Connection, lasts: Mapping[str, Mapping[str, Any]]) -> None:
    """Keep what was heard since the runs in force were learned, in place of what was."""
    set_setting(conn, SINCE, {"learned_at": get_setting(conn, RUNS_AT), "lasts": dict(lasts)})


def unhear_gone(conn: Connection) -> None:
    """Let lasts go back to what was learned, where a report heard since is no longer there."""
    if get_setting(conn, SINCE) is None:
        return
    since = since_kept(conn)
    there = there_of(conn, [id for one in since.values() for id in one["try_ons"]])
    keep_since(conn, {code: one for code, one in since.items() if set(one["try_ons"]) <= set(there)})


def there_of(conn: Connection, ids: Sequence[str]) -> dict[str, tuple[int, str | None]]:
    """Return version and wearer of those of some try-ons that are there, by the rows' names."""
    columns = select(try_ons.c.id, try_ons.c.version, try_ons.c.wearer_id)
    return {
        id: (version, wearer_id)
        for start in range(0, len(ids), _AT_ONCE)
        for id, version, wearer_id in conn.execute(
            columns.where(try_ons.c.id.in_(ids[start : start + _AT_ONCE]))
        )
    }


def _is_entry(one: Any) -> bool:
    return (
        isinstance(one, dict) and isinstance(one.get("try_ons"), dict) and isinstance(one.get("pairs"), int)
    )
