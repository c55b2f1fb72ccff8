"""The use case behind ``heelball last``: the foot each label of a last is built for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from heelball.errors import InputError, Problem
from heelball.foot.prior import offset_prior
from heelball.last.description import describe as describe_last
from heelball.last.values import Last
from heelball.scales.catalogue import size_scale
from heelball.show.last_note import last_note
from heelball.show.page import Line
from heelball.work.figures_json import json_line
from heelball.work.last_file import read_last
from heelball.work.last_json import last_record
from heelball.work.told import Told


def describe(last_files: Sequence[Path], *, as_json: bool = False) -> Iterator[Told]:
    """Yield what is printed of each last, in the order of the files.

    Raises
    ------
    InputError
        With every problem found in the files, before the first is yielded.
    """
    lasts: list[Last] = []
    problems: list[Problem] = []
    for file in last_files:
        try:
            last = read_last(file)
        except InputError as wrong:
            problems += wrong.problems
            continue
        if size_scale(last.label_scale).population == "child":
            wanted = "an adults' scale: children's lasts are not judged"
            problems.append(Problem(f"{file}, label_scale", last.label_scale, wanted))
        lasts.append(last)
    if problems:
        raise InputError(problems)
    return (_tell(last, as_json) for last in lasts)


def _tell(last: Last, as_json: bool) -> Told:
    facts = describe_last(last, "unstated", offset_prior())
    lines = [Line(json_line(last_record(facts)))] if as_json else last_note(facts)
    return Told(tuple(lines), needs_care=False)
