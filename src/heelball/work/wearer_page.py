"""All that one wearer's page shows: feet, readings by sitting, the day, health, and what was done last."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date as Date
from datetime import datetime

from attrs import frozen

from heelball.fit.answers import Answer, FootFigure
from heelball.fit.choice import describe_feet
from heelball.fit.wearer import Wearer
from heelball.foot.vector import FEET, MEASURES, Foot
from heelball.records import changes, drafts, health, readings, sittings, wearers
from heelball.records.store import Records
from heelball.records.values import HealthAnswers, KeptReading, KeptWearer, Sitting
from heelball.show.foot_note import foot_remarks
from heelball.show.labels import MEASURE_WORDS
from heelball.show.mark_words import day_text, mark_text, time_text
from heelball.show.slip_words import slip_question
from heelball.show.terms import measure_terms, terms_scales
from heelball.show.words import sentences
from heelball.work.draft_fields import entries
from heelball.work.entering import named
from heelball.work.history import Done, done, last_done
from heelball.work.keeping import core_reading
from heelball.work.kept_core import kept_core
from heelball.work.worn import feet_worn


@frozen
class MeasureRow:
    """One measure of both feet: its figures, and the trade's terms for each foot."""

    words: str
    figures: Mapping[Foot, FootFigure]
    terms: Mapping[Foot, str | None]


@frozen
class ReadingRow:
    """One reading of a sitting: its mark, and what is said of it; struck through where it counts no more."""

    kept: KeptReading
    foot: str
    words: str
    mark: str
    scale: str
    said: str
    struck: bool


@frozen
class SittingRows:
    """One sitting with its readings, in words."""

    sitting: Sitting
    when: str
    how: str
    rows: tuple[ReadingRow, ...]


@frozen
class WearerPage:
    """All that one wearer's page shows.

    `urgent` and `referral` come before anything else; `measures` is empty where nothing was read.
    """

    kept: KeptWearer
    wearer: Wearer
    urgent: bool
    referral: tuple[str, ...]
    remarks: tuple[str, ...]
    slips: tuple[str, ...]
    measures: tuple[MeasureRow, ...]
    scales: str
    sittings: tuple[SittingRows, ...]
    health: HealthAnswers | None
    drafted: int
    last_done: Done | None
    last_number: int


def look_at(records: Records, wearer_id: str, today: Date) -> WearerPage:
    """Return what a wearer's page shows.

    Parameters
    ----------
    records, wearer_id
        Where, and whose.
    today
        For the age of readings.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    """
    with records.reading() as conn:
        kept = wearers.find_wearer(conn, wearer_id)
        wearer = kept_core(conn, wearer_id)
        feet = feet_worn(conn, wearer_id, wearer)
        taken = readings.list_readings(conn, wearer_id)
        held = sittings.list_sittings(conn, wearer_id)
        told = health.find_health(conn, wearer_id)
        drafted = entries(drafts.find_draft(conn, wearer_id).fields)
        together = last_done(changes.list_changes_of_wearer(conn, wearer_id, limit=200))
    answer = describe_feet(wearer, today=today, feet=feet)
    referral = tuple(sentences(answer.referral))
    remarks = tuple(said for said in foot_remarks(answer, wearer) if said not in referral)
    return WearerPage(
        kept=kept,
        wearer=wearer,
        urgent=answer.urgent,
        referral=referral,
        remarks=remarks if wearer.readings else tuple(sentences(answer.remarks)),
        slips=tuple(slip_question(slip, wearer.readings) for slip in answer.slips),
        measures=_measures(answer, wearer) if wearer.readings else (),
        scales=" and ".join(scale.title for scale in terms_scales(wearer)),
        sittings=_by_sitting(taken, held),
        health=told,
        drafted=len(drafted),
        last_done=done(together[0]) if together else None,
        last_number=len(together),
    )


def _measures(answer: Answer, wearer: Wearer) -> tuple[MeasureRow, ...]:
    return tuple(
        MeasureRow(
            MEASURE_WORDS[measure],
            {foot: answer.feet[foot][measure] for foot in FEET},
            {foot: measure_terms(answer.feet[foot], wearer, measure) for foot in FEET},
        )
        for measure in MEASURES
    )


def _by_sitting(taken: Sequence[KeptReading], held: Sequence[Sitting]) -> tuple[SittingRows, ...]:
    """Return the sittings that hold readings, the newest first."""
    at = {sitting.id: sitting for sitting in held}
    names = {one.id: named(one, at.get(one.sitting_id)) for one in taken}
    found = []
    for sitting in reversed(held):
        rows = tuple(_row(one, sitting, names) for one in taken if one.sitting_id == sitting.id)
        if rows:
            when = datetime.fromisoformat(sitting.at)
            how = [sitting.load, f"{sitting.sock} sock" if sitting.sock not in ("", "none") else ""]
            how += [f"read by {sitting.fitter}" if sitting.fitter else "", sitting.note]
            words = f"{day_text(when.date())}, {time_text(when)}"
            found.append(SittingRows(sitting, words, ", ".join(filter(None, how)), rows))
    return tuple(found)


def _row(kept: KeptReading, sitting: Sitting, names: Mapping[str, str]) -> ReadingRow:
    reading = core_reading(kept, sitting)
    said = []
    if kept.kind != "new" and kept.of_id is not None:
        said.append(f"a {kept.kind} of {names.get(kept.of_id, 'one that is gone')}")
    if kept.withdrawn_at is not None:
        said.append("taken back")
    elif kept.corrected_by is not None:
        said.append(f"corrected by {names.get(kept.corrected_by, 'a later one')}")
    scale = "" if mark_text(reading).endswith(kept.scale) else kept.scale
    words = MEASURE_WORDS[kept.what]
    return ReadingRow(
        kept, kept.foot, words, mark_text(reading), scale, "; ".join(said), struck=not kept.stands
    )
