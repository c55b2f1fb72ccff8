"""Where learned runs stand among the settings."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

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


def unhear(conn: Connection, ids: Collection[str]) -> None:
    """Let lasts go back to what was learned, where one of some try-ons was heard since."""
    since = get_setting(conn, SINCE)
    if since is None:
        return
    left = {code: one for code, one in since["lasts"].items() if not set(one["try_ons"]) & set(ids)}
    if len(left) < len(since["lasts"]):
        set_setting(conn, SINCE, {**since, "lasts": left})
