"""The header of a CSV that a person wrote: every column known, each once, none missing."""

from __future__ import annotations

from collections.abc import Sequence

from heelball.errors import Problem
from heelball.work.fields import nearest, shown


def header_problems(
    header: Sequence[str], place: str, allowed: Sequence[str], required: Sequence[str], wanted: str
) -> list[Problem]:
    """Return what is wrong with a header.

    Parameters
    ----------
    header
        Names of the columns as read.
    place
        Where it stands.
    allowed, required
        Which columns there may and which there must be.
    wanted
        What to say where one is missing.
    """
    problems = []
    for i, column in enumerate(header):
        if column not in allowed:
            problems.append(Problem(place, f"an unknown column {shown(column)}", nearest(column, allowed)))
        elif column in header[:i]:
            problems.append(Problem(place, f"column {column!r} twice", "each column once"))
    missing = [column for column in required if column not in header]
    if missing:
        problems.append(Problem(place, f"no column {', '.join(missing)}", wanted))
    return problems
