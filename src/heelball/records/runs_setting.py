"""Where learned runs stand among the settings."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any, Final

from sqlalchemy import Connection

from heelball.records.settings import get_setting, set_setting

#: The document: lasts, makers, habits, and nothing of any wearer.
RUNS: Final = "learned_runs"

#: When it was learned, which is looked at often.
RUNS_AT: Final = "learned_runs_at"

#: What was told since and heard at once: small, and read with every answer.
SINCE: Final = "learned_runs_since"

#: All three: what is worked out from try-ons, and can be worked out again.
LEARNED: Final = frozenset({RUNS, RUNS_AT, SINCE})


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


def unhear(conn: Connection, ids: Collection[str]) -> None:
    """Let lasts go back to what was learned, where one of some try-ons was heard since."""
    if get_setting(conn, SINCE) is None:
        return
    gone = set(ids)
    keep_since(conn, {code: one for code, one in since_kept(conn).items() if not gone & set(one["try_ons"])})


def _is_entry(one: Any) -> bool:
    return (
        isinstance(one, dict) and isinstance(one.get("try_ons"), dict) and isinstance(one.get("pairs"), int)
    )
