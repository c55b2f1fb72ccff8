"""Where learned runs stand among the settings."""

from __future__ import annotations

from typing import Final

#: The document: lasts, makers, habits, and nothing of any wearer.
RUNS: Final = "learned_runs"

#: When it was learned, which is looked at often.
RUNS_AT: Final = "learned_runs_at"

#: Both: what is worked out from try-ons, and can be worked out again.
LEARNED: Final = frozenset({RUNS, RUNS_AT})
