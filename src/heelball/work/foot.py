"""The use case behind ``heelball foot``: both feet of each wearer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date as Date
from functools import partial
from pathlib import Path

from heelball.errors import UsageError
from heelball.fit.choice import describe_feet
from heelball.fit.known_run import KnownRun
from heelball.fit.wearer import Wearer
from heelball.last.values import Last
from heelball.learn.owned import weigh
from heelball.show.foot_note import foot_note
from heelball.show.page import Line
from heelball.work.choose import read_both
from heelball.work.figures_json import json_line
from heelball.work.foot_json import foot_record
from heelball.work.many import in_order
from heelball.work.runs_file import read_known
from heelball.work.told import Told
from heelball.work.wearer_file import read_wearers


def describe(
    wearer_files: Sequence[Path],
    *,
    today: Date,
    as_json: bool = False,
    lasts_folder: Path | None = None,
    runs: Path | None = None,
) -> Iterator[Told]:
    """Yield what is printed of each wearer's feet, in the order of the files.

    Parameters
    ----------
    wearer_files
        What to read.
    today
        For the age of readings.
    as_json
        Whether a line of JSON is wanted.
    lasts_folder, runs
        Lasts of the pairs that wearers own, and how they run as learned; without lasts, readings
        speak alone.

    Raises
    ------
    InputError
        With every problem found in the files, before the first is yielded.
    """
    if runs is not None and lasts_folder is None:
        raise UsageError("--runs goes with --lasts.", "Name the folder of last files.")
    if lasts_folder is None:
        return in_order(partial(_tell, today, as_json, {}, None), read_wearers(wearer_files))
    wearers, lasts = read_both(wearer_files, lasts_folder)
    known = read_known(runs, lasts)
    return in_order(partial(_tell, today, as_json, {last.code: last for last in lasts}, known), wearers)


def _tell(
    today: Date,
    as_json: bool,
    lasts: Mapping[str, Last],
    known: Mapping[str, KnownRun] | None,
    wearer: Wearer,
) -> Told:
    found = describe_feet(wearer, today=today, feet=weigh(wearer, lasts, known))
    if as_json:
        return Told((Line(json_line(foot_record(found, wearer))),), needs_care=bool(found.referral))
    return Told(tuple(foot_note(found, wearer)), needs_care=bool(found.referral))
