"""The use case behind ``heelball choose``: files in, one line of JSON or one note a wearer out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date as Date
from functools import cached_property
from pathlib import Path
from typing import Final

from attrs import field, frozen

from heelball.errors import InputError, Problem, UsageError
from heelball.fit.answers import Answer
from heelball.fit.choice import DETAILED, answer
from heelball.fit.known_run import KnownRun
from heelball.fit.shelf import Shelves
from heelball.fit.wearer import Wearer
from heelball.last.values import Last
from heelball.learn.owned import weigh
from heelball.learn.question import Question, worth_asking
from heelball.show.choice_note import choice_note
from heelball.show.drawn import drawing_of
from heelball.show.page import Line
from heelball.work.choice_json import choice_record
from heelball.work.figures_json import json_line
from heelball.work.last_file import read_lasts
from heelball.work.many import in_order
from heelball.work.new_file import check_folder, write_new
from heelball.work.runs_file import read_known
from heelball.work.told import Told
from heelball.work.wearer_file import read_wearers

#: Lasts told in full in a note: more would be a dump.
TOLD: Final = 3


@frozen
class Choosing:
    """Everything an answer needs besides the wearer.

    Parameters
    ----------
    lasts
        The lasts that could be had.
    today
        The day readings are held against for their age.
    detailed
        How many lasts are worked out in full; None: as many as the output is made for.
    as_json, all_labels
        Whether a line of JSON is wanted, and with every label's loss.
    known
        Runs learned from try-ons, by the last's code.
    """

    lasts: tuple[Last, ...]
    today: Date
    detailed: int | None = None
    as_json: bool = False
    all_labels: bool = False
    known: Mapping[str, KnownRun] | None = None
    shelves: Shelves = field(init=False, eq=False, repr=False)
    _worked_out: dict[str, tuple[Question, ...]] = field(init=False, eq=False, repr=False, factory=dict)

    @shelves.default
    def _shelved(self) -> Shelves:
        return Shelves(self.lasts, self.known)

    @cached_property
    def by_code(self) -> dict[str, Last]:
        """The lasts by code, for the pairs that wearers own."""
        return {last.code: last for last in self.lasts}

    def answer(self, wearer: Wearer) -> Answer:
        """Return what the core says of one wearer."""
        detailed = self.detailed
        if detailed is None:
            detailed = DETAILED if self.as_json else TOLD
        feet = weigh(wearer, self.by_code, self.known)
        return answer(wearer, self.shelves, today=self.today, detailed=detailed, feet=feet)

    def _worth(self, last: Last) -> tuple[Question, ...]:
        """Return what a maker's answers about a last are worth: to typical feet, so worked out once."""
        if last.code not in self._worked_out:
            self._worked_out[last.code] = worth_asking(last, known=self.known)
        return self._worked_out[last.code]

    def tell(self, wearer: Wearer) -> Told:
        """Return what is printed of one wearer."""
        return self.told(self.answer(wearer), wearer)

    def told(self, found: Answer, wearer: Wearer) -> Told:
        """Return what is printed of an answer."""
        if self.as_json:
            lines = [Line(json_line(choice_record(found, wearer, all_labels=self.all_labels)))]
        else:
            lines = choice_note(found, wearer, self._worth)
        return Told(tuple(lines), bool(found.referral) or not found.serves)


def choose(
    wearer_files: Sequence[Path],
    lasts_folder: Path,
    *,
    today: Date,
    detailed: int | None = None,
    as_json: bool = False,
    all_labels: bool = False,
    drawing: Path | None = None,
    runs: Path | None = None,
) -> Iterator[Told]:
    """Yield what is printed of each wearer, in the order of the files.

    Everything is read and checked before the first one is yielded.

    Parameters
    ----------
    wearer_files, lasts_folder
        What to read.
    today, detailed, as_json, all_labels
        See `Choosing`.
    drawing
        Where to write the drawing of both feet in the best boot; takes exactly one wearer.
    runs
        A file of runs that `learn` wrote.

    Raises
    ------
    InputError
        With every problem found in the files.
    UsageError
        Where a drawing is asked for and there is not one wearer to draw.
    """
    wearers, lasts = read_both(wearer_files, lasts_folder)
    known = read_known(runs, lasts)
    choosing = Choosing(lasts, today, detailed, as_json, all_labels, known)
    if drawing is None:
        return in_order(choosing.tell, wearers)
    if len(wearers) != 1:
        raise UsageError(f"--svg draws exactly one wearer; here are {len(wearers)}.", "Name one wearer file.")
    check_folder(drawing, "--svg")
    return iter([_told_and_drawn(choosing, wearers[0], drawing)])


def read_both(wearer_files: Sequence[Path], lasts_folder: Path) -> tuple[list[Wearer], tuple[Last, ...]]:
    """Return wearers and lasts; problems of both are told together."""
    problems: list[Problem] = []
    wearers: list[Wearer] = []
    lasts: tuple[Last, ...] = ()
    try:
        wearers = read_wearers(wearer_files) if wearer_files else []
    except InputError as refused:
        problems += refused.problems
    try:
        lasts = tuple(read_lasts(lasts_folder))
    except InputError as refused:
        problems += refused.problems
    if problems:
        raise InputError(problems)
    return wearers, lasts


def _told_and_drawn(choosing: Choosing, wearer: Wearer, drawing: Path) -> Told:
    found = choosing.answer(wearer)
    if not found.choices:
        raise UsageError(
            f"--svg: no boot is chosen for {found.code}, so there is none to draw.", "Leave --svg out."
        )
    told = choosing.told(found, wearer)
    write_new(drawing, drawing_of(found, found.choices[0], wearer), "--svg")
    return told
