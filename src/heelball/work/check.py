"""The use case behind ``heelball check``: a pair that arrived, kept, adjusted or exchanged."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date as Date
from pathlib import Path

from attrs import frozen

from heelball.errors import InputError, Problem, UsageError
from heelball.fit.day import ordinary_state
from heelball.foot.vector import Foot
from heelball.learn.arrived import TriedOn
from heelball.show.check_note import check_note
from heelball.show.page import Line
from heelball.work.check_fields import find_label, find_last, read_boot, read_verdicts
from heelball.work.check_json import check_record
from heelball.work.choose import read_both
from heelball.work.figures_json import json_line
from heelball.work.pair_checked import Checked, check_pair
from heelball.work.runs_file import read_known
from heelball.work.told import Told


@frozen
class PairTyped:
    """What is typed of a pair.

    Parameters
    ----------
    last, size, width
        What is stamped on it.
    flex_line, inside_length
        As measured from the inside heel, in mm or with their unit.
    verdicts
        Of each foot, such as ``ball=right,toe=little``.
    days_left
        Until it can no longer go back.
    """

    last: str
    size: str
    width: str | None = None
    flex_line: str | None = None
    inside_length: str | None = None
    verdicts: Mapping[Foot, str | None] = {}
    days_left: int | None = None


def check(
    wearer_file: Path,
    lasts_folder: Path,
    pair: PairTyped,
    *,
    today: Date,
    runs: Path | None = None,
    as_json: bool = False,
) -> Told:
    """Return what is printed of a pair that arrived.

    Parameters
    ----------
    wearer_file, lasts_folder
        What to read: one wearer, and the lasts.
    pair
        The pair.
    today
        For the age of readings.
    runs
        A file of runs that `learn` wrote.
    as_json
        Whether a line of JSON is wanted.

    Raises
    ------
    InputError
        With every problem found in the files and in what was typed.
    UsageError
        Where the file holds not exactly one wearer.
    """
    wearers, every = read_both([wearer_file], lasts_folder)
    if len(wearers) != 1:
        raise UsageError(f"check is for one wearer; {wearer_file.name} has {len(wearers)}.", "Name one.")
    known = read_known(runs, every)
    lasts = {last.code: last for last in every}
    problems: list[Problem] = []
    last = find_last(pair.last, lasts, problems)
    label = None if last is None else find_label(pair.size, pair.width, last, problems)
    boot = read_boot(label, pair.flex_line, pair.inside_length, problems)
    verdicts = read_verdicts(pair.verdicts, problems)
    if pair.days_left is not None and pair.days_left < 0:
        problems.append(Problem("--days-left", str(pair.days_left), "0 (it cannot go back) or more days"))
    if problems or last is None or label is None:
        raise InputError(problems)
    checked = check_pair(
        wearers[0],
        lasts,
        last,
        label,
        today=today,
        boot=boot,
        tried=(TriedOn(verdicts, ordinary_state()),) if verdicts else (),
        days_left=pair.days_left,
        known=known,
    )
    if checked is None:
        found = f"{wearers[0].code}, read on a child's scale"
        raise InputError.at(wearer_file.name, found, "an adult: children's feet are not judged")
    return told_of(checked, as_json=as_json)


def told_of(checked: Checked, *, as_json: bool) -> Told:
    """Return what is printed of a pair that was checked."""
    if as_json:
        return Told((Line(json_line(check_record(checked))),), checked.needs_care)
    lines = check_note(
        checked.wearer,
        checked.last,
        checked.label,
        checked.decided,
        checked.found,
        days_left=checked.days_left,
        referral=checked.referral,
        cautions=checked.cautions,
    )
    return Told(tuple(lines), checked.needs_care)
