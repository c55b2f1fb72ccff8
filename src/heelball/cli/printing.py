"""What commands print, and the exit codes that no error carries."""

from __future__ import annotations

from typing import Any, Final

DONE: Final = 0
NEEDS_CARE: Final = 1


def print_all(told: Any, as_json: bool) -> int:
    """Print what a use case tells, one after another as it comes, and return the exit code."""
    from heelball.cli.paper import Paper

    paper = Paper(as_json)
    code = DONE
    for count, one in enumerate(told):
        if count and not as_json:
            paper.blank()
        paper.put(one.lines)
        if one.needs_care:
            code = NEEDS_CARE
    return code
