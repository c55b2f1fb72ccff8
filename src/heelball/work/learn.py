"""The use case behind ``heelball learn``: a file of try-ons in, how lasts run out."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date as Date
from pathlib import Path
from typing import Final

from attrs import frozen

from heelball.errors import InputError, Problem
from heelball.learn.against_advice import disagreements
from heelball.learn.learning import learn as learned
from heelball.show.page import Line
from heelball.show.runs_note import runs_note
from heelball.work.choose import read_both
from heelball.work.documents import names_of
from heelball.work.figures_json import json_line
from heelball.work.new_file import check_folder, write_new
from heelball.work.runs_json import runs_record
from heelball.work.told import Told
from heelball.work.try_ons_csv import read_try_ons

#: Wearers without readings that a remark names; the others are counted.
_NAMED: Final = 10


@frozen
class Learned:
    """What is printed, and remarks for standard error: rows left out, wearers never measured."""

    told: Told
    remarks: tuple[str, ...]


def learn(
    try_ons: Path,
    lasts_folder: Path,
    wearer_files: Sequence[Path],
    *,
    today: Date,
    out: Path | None = None,
    strict: bool = False,
    as_json: bool = False,
) -> Learned:
    """Return how lasts run by everything that was tried on.

    Parameters
    ----------
    try_ons, lasts_folder, wearer_files
        What to read.
    today
        No report is from after it.
    out
        Where to write the runs.
    strict
        Whether one wrong row, or one wearer without readings, refuses all.
    as_json
        Whether the record is printed instead of the note.

    Raises
    ------
    InputError
        With every problem found in the files; nothing is written then.
    """
    wearers, lasts = read_both(wearer_files, lasts_folder)
    if out is not None:
        check_folder(out, "--out")
    (name,) = names_of([try_ons])
    codes = {one.code for one in wearers}
    told = read_try_ons(try_ons, name, lasts, wearers=codes, strict=strict, today=today)
    if not told.try_ons:
        raise InputError([*told.problems, Problem(name, "no try-on that can be used", "at least one")])
    runs = learned(lasts, {one.code: one for one in wearers}, told.try_ons)
    by_code = {last.code: last for last in lasts}
    record = runs_record(runs, by_code)
    if out is not None:
        write_new(out, json_line(record) + "\n", "--out")
    if as_json:
        lines = [Line(json_line(record))]
    else:
        lines = runs_note(runs, by_code, disagreements(runs), len(told.try_ons))
    remarks = [f"{problem}; left out" for problem in told.problems]
    if told.unmeasured:
        remarks.append(_unmeasured(told.unmeasured))
    return Learned(Told(tuple(lines), needs_care=False), tuple(remarks))


def _unmeasured(codes: Sequence[str]) -> str:
    named = ", ".join(codes[:_NAMED])
    more = f" and {len(codes) - _NAMED} more" if len(codes) > _NAMED else ""
    return f"no readings of {named}{more}: taken as never measured"
