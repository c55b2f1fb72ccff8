"""The use case behind ``heelball foot``: both feet of each wearer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date as Date
from functools import partial
from pathlib import Path

from heelball.fit.choice import describe_feet
from heelball.fit.wearer import Wearer
from heelball.show.foot_note import foot_note
from heelball.show.page import Line
from heelball.work.figures_json import json_line
from heelball.work.foot_json import foot_record
from heelball.work.many import in_order
from heelball.work.told import Told
from heelball.work.wearer_file import read_wearers


def describe(wearer_files: Sequence[Path], *, today: Date, as_json: bool = False) -> Iterator[Told]:
    """Yield what is printed of each wearer's feet, in the order of the files.

    Raises
    ------
    InputError
        With every problem found in the files, before the first is yielded.
    """
    return in_order(partial(_tell, today, as_json), read_wearers(wearer_files))


def _tell(today: Date, as_json: bool, wearer: Wearer) -> Told:
    found = describe_feet(wearer, today=today)
    if as_json:
        return Told((Line(json_line(foot_record(found, wearer))),), needs_care=bool(found.referral))
    return Told(tuple(foot_note(found, wearer)), needs_care=bool(found.referral))
