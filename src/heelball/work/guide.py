"""The use case behind ``heelball guide``: a last in, a size guide out, as page, paper, table or record."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from datetime import date as Date
from itertools import groupby
from pathlib import Path
from typing import Any, Final

from attrs import frozen

from heelball.errors import InputError, UsageError
from heelball.fit.known_run import KnownRun
from heelball.fit.size_guide import Sex, SizeGuide, size_guide
from heelball.fit.wearer import PLACES
from heelball.last.values import Label, Last
from heelball.learn.one_more import belief_of
from heelball.scales.catalogue import size_scale
from heelball.show.page import Line, heading, items, paragraph
from heelball.show.paper.size_guide import guide_pdf
from heelball.show.run_plan import run_plan
from heelball.show.size_guide_page import guide_page
from heelball.show.size_guide_words import GuideWords, guide_words
from heelball.units import format_fraction
from heelball.work.figures_json import chance, json_line, label_record, mm
from heelball.work.last_file import read_lasts
from heelball.work.new_file import check_folder, write_new, write_new_bytes
from heelball.work.runs_file import read_known
from heelball.work.told import Told

SCHEMA: Final = "heelball/guide/1"


@frozen
class MadeGuide:
    """A size guide ready for page, paper and table.

    Parameters
    ----------
    guide, words, drawing
        The table, the words, and how the last runs as an ``svg`` element.
    runs
        Mean and sd at each place [mm].
    day
        The day it was made.
    """

    guide: SizeGuide
    words: GuideWords
    drawing: str
    runs: tuple[tuple[float, float], ...]
    day: Date

    @property
    def html(self) -> str:
        """The page, by itself."""
        return guide_page(self.words, self.drawing)

    @property
    def pdf(self) -> bytes:
        """The paper."""
        return guide_pdf(self.words, self.drawing, day=self.day)

    @property
    def table(self) -> str:
        """The table as CSV, a row for each ball size and letter."""
        out = io.StringIO()
        rows = csv.writer(out, lineterminator="\n")
        rows.writerow(
            ["ball", "breadth", "size", "width", "or_size", "or_width", "chance", "length_from", "length_to"]
        )
        for row in self.guide.rows:
            for letter, cell in zip(self.guide.letters, row.cells, strict=True):
                order, other = (_label(one, self.guide.last) for one in (cell.order, cell.in_doubt))
                rows.writerow(
                    [
                        format_fraction(row.ball), letter, *order, *other, chance(cell.chance),
                        format_fraction(row.shortest), format_fraction(row.longest),
                    ]
                )  # fmt: skip
        return out.getvalue()

    @property
    def record(self) -> dict[str, Any]:
        """The record that `--json` prints."""
        last = self.guide.last
        return {
            "schema": SCHEMA,
            "last": last.code,
            "maker": last.maker,
            "population": self.guide.sex,
            "gauge": self.guide.gauge,
            "run": {
                place: {"mean_mm": mm(mean), "sd_mm": mm(sd)}
                for place, (mean, sd) in zip(PLACES, self.runs, strict=True)
            },
            "rows": [
                {
                    "ball": format_fraction(row.ball),
                    "length_from": format_fraction(row.shortest),
                    "length_to": format_fraction(row.longest),
                    "cells": [
                        {
                            "breadth": letter,
                            "order": label_record(cell.order, last) if cell.order else None,
                            "or": label_record(cell.in_doubt, last) if cell.in_doubt else None,
                            "chance": chance(cell.chance),
                        }
                        for letter, cell in zip(self.guide.letters, row.cells, strict=True)
                    ],
                }
                for row in self.guide.rows
            ],
        }


def make_guide(last: Last, sex: Sex | None, known: KnownRun | None, *, day: Date) -> MadeGuide:
    """Return the size guide of a last.

    Parameters
    ----------
    last
        With everything known of it.
    sex
        For whom; None: those its labels are for, men where they are for all adults.
    known
        Its run learned from try-ons.
    day
        The day it is made.
    """
    wearers: Sex = sex or ("women" if size_scale(last.label_scale).population == "women" else "men")
    guide = size_guide(last, wearers, None if known is None else {last.code: known})
    run = (known or KnownRun(belief_of(last), 0)).run
    runs = tuple((float(run.mean[i]), float(run.cov[i, i]) ** 0.5) for i in range(len(PLACES)))
    words = guide_words(guide, runs, pairs=None if known is None else known.pairs, day=day)
    return MadeGuide(guide, words, run_plan(last.code, runs), runs, day)


def guide(
    code: str,
    lasts_folder: Path,
    *,
    today: Date,
    sex: Sex | None = None,
    runs: Path | None = None,
    html: Path | None = None,
    pdf: Path | None = None,
    table: Path | None = None,
    as_json: bool = False,
) -> Told:
    """Return what is printed of one last's size guide, and write what was asked for.

    Raises
    ------
    InputError
        Where a file cannot be read or written, or there is no such last.
    UsageError
        Where the last's labels are for the other population, or two options name one file; nothing
        is written then.
    MissingExtra
        Where a PDF is asked for and typst is not installed.
    """
    named: dict[Path, str] = {}
    for path, option in ((html, "--html"), (pdf, "--pdf"), (table, "--csv")):
        if path is not None:
            check_folder(path, option)
            other = named.setdefault(path.resolve(), option)
            if other != option:
                raise UsageError(f"{other} and {option} name one file.", "Give each a file of its own.")
    lasts = {last.code: last for last in read_lasts(lasts_folder)}
    if code not in lasts:
        raise InputError.at("LAST", f"no last {code} in {lasts_folder}", ", ".join(sorted(lasts)))
    last = lasts[code]
    own = size_scale(last.label_scale).population
    if sex is not None and own in ("men", "women") and own != sex:
        raise UsageError(f"The labels of {code} are for {own}.", f"Leave --for out, or say --for {own}.")
    known = (read_known(runs, [last]) or {}).get(code)
    made = make_guide(last, sex, known, day=today)
    paper = made.pdf if pdf is not None else b""
    if html is not None:
        write_new(html, made.html, "--html")
    if table is not None:
        write_new(table, made.table, "--csv")
    if pdf is not None:
        write_new_bytes(pdf, paper, "--pdf")
    if as_json:
        return Told((Line(json_line(made.record)),), needs_care=False)
    return Told(tuple(_note(made.words)), needs_care=False)


def _label(label: Label | None, last: Last) -> tuple[str, str]:
    if label is None:
        return "", ""
    told = label_record(label, last)
    return told["size"] or "", told["width"] or ""


def _note(words: GuideWords) -> list[Line]:
    lines = heading(words.title)
    if words.example:
        lines += paragraph(words.example)
    lines += paragraph(words.known)
    lines += items(words.runs)
    first, *letters, last = words.head
    lines.append(Line(""))
    lines += heading(f"{first}: breadth, order ({last.lower()})")
    for ball, *cells, lengths in words.rows:
        # Letters that order alike stand together, so that a line stays within a page.
        told = [
            f"{_span(letters, alike)} {cells[alike[0]]}"
            for _, alike in ((cell, list(at)) for cell, at in groupby(range(len(cells)), cells.__getitem__))
        ]
        lines += paragraph(f"{'; '.join(told)} ({lengths})", first=f"  {ball:<7}")
    lines.append(Line(""))
    lines += paragraph(words.doubt)
    lines += paragraph(f"Be measured in person: {'; '.join(words.who)}.")
    return lines


def _span(letters: Sequence[str], at: Sequence[int]) -> str:
    """Return letters beside each other: ``C``, or ``C to E``."""
    first, last = letters[at[0]], letters[at[-1]]
    return first if len(at) == 1 else f"{first} to {last}"
