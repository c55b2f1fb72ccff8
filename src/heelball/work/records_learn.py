"""The use case behind ``heelball records learn``: every try-on in the records, and how lasts run by them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date as Date
from datetime import datetime
from pathlib import Path

from attrs import frozen

from heelball.errors import InputError, UnreadableText
from heelball.foot.evidence import is_child
from heelball.last.values import Label, Last
from heelball.learn.against_advice import disagreements
from heelball.learn.learning import learn
from heelball.learn.try_on import TryOn
from heelball.package_data import defaults
from heelball.records.lasts import list_lasts
from heelball.records.store import open_records
from heelball.records.try_ons import list_try_ons
from heelball.records.values import TryOn as KeptTryOn
from heelball.records.wearers import list_wearers
from heelball.scales.catalogue import size_scale
from heelball.show.page import Line
from heelball.show.runs_note import runs_note
from heelball.work.figures_json import json_line
from heelball.work.kept_core import kept_core
from heelball.work.lasts_on_hand import readable
from heelball.work.new_file import check_folder, write_new
from heelball.work.runs_json import runs_record
from heelball.work.runs_kept import keep_runs
from heelball.work.told import Told
from heelball.work.try_ons import state_told, words_told


@frozen(eq=False)
class LearnedHere:
    """What is printed of what was learned from the records, and remarks beside it."""

    told: Told
    remarks: tuple[str, ...]


def learn_here(where: str | None, *, now: datetime, out: Path | None = None) -> LearnedHere:
    """Learn from every try-on in the records, and keep how lasts run.

    Parameters
    ----------
    where
        The records, as for `open_records`.
    now
        The time.
    out
        Where to write the runs too, for `choose --runs`.

    Raises
    ------
    InputError
        Where there is no try-on to learn from, or the file cannot be written; nothing is kept then.
    RecordsError
        As for `open_records`.
    """
    if out is not None:
        check_folder(out, "--out")
    records = open_records(where, create=False, now=now)
    with records.reading() as conn:
        lasts, wrong = readable(list_lasts(conn))
        people = list_wearers(conn)
        found = {one.code: kept_core(conn, one.id) for one in people}
        kept = list_try_ons(conn)
        names = {one.id: one.code for one in list_lasts(conn)}
    by_code = {last.code: last for last in lasts}
    wearers = {code: one for code, one in found.items() if not is_child(one.readings)}
    codes = {one.id: one.code for one in people if one.code in wearers}
    children = {one.id for one in people if one.code not in wearers}
    adults = [row for row in kept if row.wearer_id not in children]
    told = [one for row in adults if (one := _told(row, by_code, names, codes)) is not None]
    if not told:
        raise InputError.at("the records", "no try-on that tells of a place", "at least one to learn from")
    runs = learn(lasts, wearers, told)
    record = runs_record(runs, by_code)
    if out is not None:
        write_new(out, json_line(record) + "\n", "--out")
    keep_runs(records, record, len(told), now=now)
    left = len(kept) - len(told)
    remarks = list(wrong)
    if left:
        remarks.append(
            f"{left} of {len(kept)} try-ons left out: a child's, of no place, or of a label not there now."
        )
    limit = float(defaults()["run"]["contradiction_sd"])
    lines: list[Line] = runs_note(runs, by_code, disagreements(runs, limit), len(told))
    return LearnedHere(Told(tuple(lines), needs_care=False), tuple(remarks))


def _told(
    kept: KeptTryOn, lasts: Mapping[str, Last], names: Mapping[str, str], codes: Mapping[str, str]
) -> TryOn | None:
    """Return a try-on as learning sees one; None where it tells of nothing that can be judged."""
    last = lasts.get(names.get(kept.last_id, ""))
    verdicts = words_told(kept)
    if last is None or not verdicts:
        return None
    try:
        label = Label(size_scale(last.label_scale).parse(kept.size), kept.width)
    except UnreadableText:
        # The last was numbered on another scale then.
        return None
    if label not in last.labels:
        return None
    # Of someone erased nothing leads anywhere: each such report is somebody never measured.
    wearer = codes.get(kept.wearer_id or "", f"erased {kept.id}")
    state = state_told(kept)
    day = Date.fromisoformat(kept.on)
    return TryOn(
        wearer, last.code, label, verdicts, state.sock, state.swelling, state.insole, kept.hours, day,
        f"try-on {kept.on}",
    )  # fmt: skip
