"""From what is kept to what the core reads: wearers and lasts, through the readers of their files."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from attrs import evolve

from heelball.errors import InputError, Problem
from heelball.fit.wearer import OwnedPair, Signs, Wearer
from heelball.foot.reading import GaugeMark, Reading
from heelball.last.values import Last
from heelball.records.values import (
    HealthAnswers,
    KeptAdvice,
    KeptLast,
    KeptMark,
    KeptMeasured,
    KeptReading,
    KeptSheet,
    KeptWearer,
    Sitting,
)
from heelball.work.fields import Fields
from heelball.work.last_file import last_of
from heelball.work.sheet_file import sheet_readings
from heelball.work.wearer_file import read_day, read_signs


def core_reading(kept: KeptReading, sitting: Sitting | None = None) -> Reading:
    """Return a kept reading as the core reads it; its sitting tells the fitter and the day.

    Its `sd_mm` is all that it errs by; what of that it shares with other readings of its sheet,
    `core_readings` tells.
    """
    return Reading(
        kept.foot,
        kept.what,
        kept.scale,
        kept.value,
        kept.line,
        kept.load,
        kept.method,
        (sitting.fitter or None) if sitting is not None else None,
        datetime.fromisoformat(sitting.at).date() if sitting is not None else None,
        kept.sitting_id,
        kept.sd_mm,
        place=f"reading {kept.number}",
    )


def core_readings(
    kept: Iterable[KeptReading], sittings: Iterable[Sitting], sheets: Iterable[KeptSheet]
) -> list[Reading]:
    """Return kept readings as the core reads them, with the errors that those of one sheet share.

    Parameters
    ----------
    kept
        Of one wearer.
    sittings, sheets
        Those that the readings name.

    Raises
    ------
    InputError
        Where what is kept of a sheet is not what a line of ``heelball/sheet-reading/1`` may hold.
    """
    at = {sitting.id: sitting for sitting in sittings}
    problems: list[Problem] = []
    told = {
        (sheet.id, one.what): one
        for sheet in sheets
        for one in sheet_readings(sheet.line, f"sheet {sheet.id}", problems)
    }
    if problems:
        raise InputError(problems)
    found = []
    for one in kept:
        reading = core_reading(one, at.get(one.sitting_id))
        drawn = told.get((one.sheet_id, one.what)) if one.sheet_id is not None else None
        if drawn is not None:
            reading = evolve(reading, sd_mm=drawn.sd_mm, shared_errors=drawn.shared_errors)
        found.append(reading)
    return found


def whole_sd(reading: Reading) -> float | None:
    """Return all that a reading errs by [mm], what it shares with others of its sheet included."""
    if reading.sd_mm is None:
        return None
    return math.hypot(reading.sd_mm, *(loading for _name, loading in reading.shared_errors))


def standing(readings: Iterable[KeptReading]) -> list[KeptReading]:
    """Return the readings that count, in the order they were taken: neither corrected nor withdrawn."""
    return sorted((one for one in readings if one.stands), key=lambda one: one.number)


def core_mark(kept: KeptMark) -> GaugeMark:
    """Return a kept ruler on the gauge as the core reads it."""
    return GaugeMark(kept.scale, kept.what, kept.mark, kept.measured_mm, kept.line, place=f"gauge {kept.id}")


def core_signs(health: HealthAnswers | None) -> Signs:
    """Return the health signs that were told with consent; none where nothing is kept.

    Raises
    ------
    InputError
        Where what is kept is not what a wearer file may hold.
    """
    if health is None:
        return Signs()
    problems: list[Problem] = []
    signs = read_signs(Fields(dict(health.signs), "health answers", problems))
    if problems:
        raise InputError(problems)
    return signs


def core_wearer(
    kept: KeptWearer,
    readings: Iterable[KeptReading],
    marks: Iterable[KeptMark],
    *,
    sittings: Iterable[Sitting] = (),
    sheets: Iterable[KeptSheet] = (),
    health: HealthAnswers | None = None,
    owned: Iterable[OwnedPair] = (),
) -> Wearer:
    """Return a wearer as the core sees one; corrected and withdrawn readings are left out.

    Parameters
    ----------
    kept
        The wearer's own row.
    readings, marks
        All kept readings of the wearer, and all rulers on the fitter's gauge.
    sittings
        The sittings of the readings: the model shares one fitter's technique, and old readings
        are told by their day.
    sheets
        The sheets of the readings: those of one sheet err together.
    health
        What the wearer told of health, for referral only.
    owned
        The pairs a wearer has, with what was told of them.

    Raises
    ------
    InputError
        Where the kept day or signs are not what a wearer file may hold, or a sheet's line is not
        what was read from one.
    """
    problems: list[Problem] = []
    day = read_day(Fields({"day": [dict(state) for state in kept.day]}, kept.code, problems))
    if problems:
        raise InputError(problems)
    return Wearer(
        code=kept.code,
        population=kept.population,
        readings=tuple(core_readings(standing(readings), sittings, sheets)),
        gauge_marks=tuple(core_mark(one) for one in marks if one.withdrawn_at is None),
        day=tuple(day),
        pairs=tuple(owned),
        signs=core_signs(health),
    )


def last_table(kept: KeptLast) -> dict[str, Any]:
    """Return a kept last as the table of a last file, without ``schema``; withdrawn parts are left out."""
    table = {
        "code": kept.code,
        "maker": kept.maker,
        "label_scale": kept.label_scale,
        "sizes": kept.sizes,
        "widths": kept.widths,
        "width_scale": kept.width_scale,
        "reference_width": kept.reference_width,
        "stiffness": kept.stiffness,
        "toe": kept.toe,
        "closing": kept.closing,
        "heel_mm": kept.heel_mm,
        "advice": [_advice_table(one) for one in kept.advice if one.withdrawn_at is None],
        "terms": _written({"publishes_advice": kept.publishes_advice, "exchange_days": kept.exchange_days}),
        "measured": [_measured_table(one) for one in kept.measured if one.withdrawn_at is None],
    }
    return {name: value for name, value in table.items() if value not in (None, [], {})}


def _advice_table(kept: KeptAdvice) -> dict[str, Any]:
    rows = None if kept.rows is None else [list(row) for row in kept.rows]
    return _written({"from": kept.basis, "order": kept.order_sizes, "scale": kept.scale, "table": rows})


def _measured_table(kept: KeptMeasured) -> dict[str, Any]:
    table = {
        "size": kept.size,
        "width": kept.width,
        "inside_length_mm": kept.inside_length_mm,
        "flex_line_mm": kept.flex_line_mm,
        "ball_girth_mm": kept.ball_girth_mm,
        "sd_mm": kept.sd_mm,
        "from": "drawing" if kept.from_drawing else "pair",
    }
    return _written(table)


def _written(table: Mapping[str, Any]) -> dict[str, Any]:
    """Return the fields that are known: a file leaves the others out."""
    return {name: value for name, value in table.items() if value is not None}


def core_last(kept: KeptLast) -> Last:
    """Return a last as the core reads it, through the one reader of last files.

    Raises
    ------
    InputError
        With every problem, where what is kept is not what a last file may hold.
    """
    problems: list[Problem] = []
    last = last_of(last_table(kept), f"last {kept.code}", problems)
    if last is None:
        raise InputError(problems)
    return last
