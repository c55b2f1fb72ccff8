"""Readings of a file that err together, as the lines of the sheets that they are kept by."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np

from heelball.errors import Problem
from heelball.foot.reading import Reading
from heelball.work.keeping import whole_sd
from heelball.work.sheet_file import TOGETHER, sheet_readings
from heelball.work.sheet_json import SCHEMA

#: Two measures of which the third is missing must err apart: a line tells no covariance of two [mm2].
_APART: Final = 1e-6


def sheet_lines(taken: Sequence[Reading]) -> dict[str, dict[str, Any]]:
    """Return a line of ``heelball/sheet-reading/1`` for the readings of each sheet.

    Parameters
    ----------
    taken
        The readings of one wearer.

    Returns
    -------
    dict
        The line by the name of each error in it; readings that err together as no sheet's do are
        in none.
    """
    lines: dict[str, dict[str, Any]] = {}
    for names, together in _groups(taken):
        line = _line(together)
        if line is not None:
            lines |= dict.fromkeys(names, line)
    return lines


def _groups(taken: Sequence[Reading]) -> list[tuple[set[str], list[Reading]]]:
    """Return the readings that have errors in common, with the names of those."""
    groups: list[tuple[set[str], list[Reading]]] = []
    for reading in taken:
        names = {name for name, _loading in reading.shared_errors}
        if not names:
            continue
        mine = [group for group in groups if group[0] & names]
        groups = [group for group in groups if group not in mine]
        together = [one for _names, found in mine for one in found]
        groups.append((names.union(*(group[0] for group in mine)), [*together, reading]))
    return groups


def _line(together: Sequence[Reading]) -> dict[str, Any] | None:
    first = together[0]
    of = {one.what: one for one in together}
    whole = [of[what] for what in TOGETHER if what in of]
    same = all((one.foot, one.load, one.scale) == (first.foot, first.load, "mm") for one in together)
    if not same or len(whole) < len(together):
        return None
    names = sorted({name for one in whole for name, _loading in one.shared_errors})
    rows = np.array([[dict(one.shared_errors).get(name, 0.0) for name in names] for one in whole])
    cov = rows @ rows.T + np.diag([(one.sd_mm or 0.0) ** 2 for one in whole])
    complete = len(whole) == len(TOGETHER)
    if not complete and np.abs(cov - np.diag(np.diag(cov))).max() > _APART:
        return None
    line = {
        "schema": SCHEMA,
        "photo": "",
        "foot": first.foot,
        "foot_mm": {one.what: {"mean_mm": float(one.value), "sd_mm": whole_sd(one)} for one in whole},
        "covariance": cov.tolist() if complete else None,
        "load": first.load,
    }
    problems: list[Problem] = []
    sheet_readings(line, "", problems)
    return None if problems else line
