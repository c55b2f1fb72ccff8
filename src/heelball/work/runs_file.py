"""A file of learned runs: written whole, and read with every doubt about it told."""

from __future__ import annotations

import json
from collections.abc import Container, Iterable, Mapping
from pathlib import Path
from typing import Any, Final

import numpy as np
from attrs import frozen

from heelball.errors import InputError, Problem
from heelball.fit.known_run import KnownRun
from heelball.fit.wearer import PLACES
from heelball.gaussian.normal import Gaussian
from heelball.last.run import OFFSET_PLACES
from heelball.last.values import Last
from heelball.work.documents import read_text
from heelball.work.fields import shown
from heelball.work.runs_json import SCHEMA, evidence_mark

#: Largest file of runs [bytes]: some ten thousand lasts.
LIMIT: Final = 200_000_000

_SIZE: Final = len(OFFSET_PLACES) + len(PLACES)

#: Beyond this no boot differs from its label [mm]: the file holds something else.
_FURTHEST: Final = 200.0

_WANTED: Final = "a file that `heelball learn --out` wrote"


@frozen(eq=False)
class KeptRuns:
    """Runs read back, by the last's code: what `fit` needs of each, and what it was learned beside."""

    known: Mapping[str, KnownRun]
    marks: Mapping[str, str]
    name: str

    def of(self, lasts: Iterable[Last]) -> dict[str, KnownRun]:
        """Return the runs of some lasts.

        Raises
        ------
        InputError
            Where a last's advice, measured pairs, scales, toe or sole changed since its run was learned.
        """
        found = {last.code: last for last in lasts if last.code in self.known}
        problems = [
            Problem(f"{self.name}, last {code}", "learned before the last was changed", "runs learned anew")
            for code, last in found.items()
            if self.marks.get(code) != evidence_mark(last)
        ]
        if problems:
            raise InputError(problems)
        return {code: self.known[code] for code in found}


def read_runs(path: Path) -> KeptRuns:
    """Return the runs of a file.

    Raises
    ------
    InputError
        With every problem: no such file, another schema, a belief that is none.
    """
    problems: list[Problem] = []
    text = read_text(path, path.name, LIMIT, problems)
    if text is None:
        raise InputError(problems)
    try:
        record = json.loads(text, parse_constant=_refused)
    except (ValueError, RecursionError):
        raise InputError.at(path.name, "not JSON", _WANTED) from None
    return kept_runs(record, path.name)


def read_known(path: Path | None, lasts: Iterable[Last]) -> dict[str, KnownRun] | None:
    """Return the runs of some lasts from a file, by their codes; None where no file is named.

    Raises
    ------
    InputError
        As `read_runs` and `KeptRuns.of`.
    """
    return None if path is None else read_runs(path).of(lasts)


def kept_runs(record: Any, name: str, only: Container[str] | None = None) -> KeptRuns:
    """Return the runs of a record.

    Parameters
    ----------
    record
        As `runs_json.runs_record` makes it.
    name
        What it is called in sentences.
    only
        Codes of the lasts wanted; None: all of them.

    Raises
    ------
    InputError
        With every problem.
    """
    schema = record.get("schema") if isinstance(record, dict) else None
    if schema != SCHEMA:
        found = "no schema" if schema is None else f"schema {shown(schema)}"
        raise InputError.at(f"{name}, schema", found, f'"{SCHEMA}": {_WANTED}')
    lasts = record.get("lasts")
    if not isinstance(lasts, list):
        raise InputError.at(
            f"{name}, lasts", shown(lasts) if lasts is not None else "nothing", "a list of lasts"
        )
    problems: list[Problem] = []
    known: dict[str, KnownRun] = {}
    marks: dict[str, str] = {}
    for number, one in enumerate(lasts, start=1):
        place = f"{name}, last {number}"
        code = one.get("last") if isinstance(one, dict) else None
        if not isinstance(code, str) or not code:
            problems.append(Problem(place, "no code", "the code of a last"))
            continue
        if only is not None and code not in only:
            continue
        if code in known:
            problems.append(Problem(place, f"{shown(code)} again", "each last once"))
            continue
        pairs = one.get("pairs")
        if not isinstance(pairs, int) or isinstance(pairs, bool) or pairs < 0:
            problems.append(Problem(f"{place}, pairs", shown(pairs), "how many pairs were tried on"))
            continue
        belief = read_belief(one.get("belief"))
        if belief is None:
            wanted = f"mean and covariance of {_SIZE} numbers, as written"
            problems.append(Problem(f"{place}, belief", "no belief that could be", wanted))
            continue
        known[code] = KnownRun(belief, pairs)
        marks[code] = str(one.get("evidence", ""))
    if problems:
        raise InputError(problems)
    return KeptRuns(known, marks, name)


def read_belief(told: Any) -> Gaussian | None:
    """Return a belief as `runs_json.belief_record` wrote it; None where the numbers cannot be one."""
    if not isinstance(told, dict):
        return None
    try:
        mean = np.array(told.get("mean"), dtype=np.float64)
        cov = np.array(told.get("cov"), dtype=np.float64)
    except (TypeError, ValueError):
        return None
    if mean.shape != (_SIZE,) or cov.shape != (_SIZE, _SIZE):
        return None
    if not (np.isfinite(mean).all() and np.isfinite(cov).all()) or np.abs(mean).max() > _FURTHEST:
        return None
    if not np.allclose(cov, cov.T, atol=1e-6) or np.linalg.eigvalsh(cov)[0] <= 0:
        return None
    return Gaussian(mean, (cov + cov.T) / 2)


def _refused(constant: str) -> float:
    raise ValueError(constant)
