"""What is kept of a wearer, to take away: a wearer file, or the same as JSON with what counts no more.

Health is handed over apart: it never stands in one file with try-ons.
"""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Mapping
from datetime import datetime
from typing import Any, Final

from sqlalchemy import Connection

from heelball.fit.wearer import OwnedPair
from heelball.foot.reading import GaugeMark, Reading
from heelball.foot.vector import FEET
from heelball.records import health, pairs, readings, sheets, sittings, wearers
from heelball.records.store import Records
from heelball.records.values import KeptReading
from heelball.units import format_fraction
from heelball.work.csv_text import csv_text
from heelball.work.keeping import core_reading, core_signs, whole_sd
from heelball.work.kept_core import kept_core
from heelball.work.readings_csv import ALLOWED
from heelball.work.toml_text import toml_text
from heelball.work.wearer_file import SCHEMA, SIGNS

_OF_A_READING: Final = ("foot", "what", "scale", "value", "line", "load", "method", "fitter", "sd_mm")
_OF_A_MARK: Final = ("scale", "what", "mark", "line", "measured_mm")
_OF_AN_ORDER: Final = ("state", "size", "width", "ordered_on", "arrived_on", "closed_on", "note")


def wearer_toml(records: Records, wearer_id: str) -> str:
    """Return a wearer's own file, as ``heelball choose`` reads it; what counts no more in remarks.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    """
    with records.reading() as conn:
        table, more = wearer_table(conn, wearer_id), _beside(conn, wearer_id)
    remarks = [f"# counts no more: {json.dumps(one, ensure_ascii=False)}" for one in more["struck"]]
    remarks += [f"# pair: {json.dumps(one, ensure_ascii=False)}" for one in more["pairs"]]
    remarks += [f"# note: {json.dumps(more['note'], ensure_ascii=False)}"] if more["note"] else []
    return "\n".join([toml_text(table), *remarks]).rstrip("\n") + "\n"


def wearer_json(records: Records, wearer_id: str) -> str:
    """Return all that is kept of a wearer as JSON: the fields of a wearer file and what stands beside it.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    """
    with records.reading() as conn:
        beside = _beside(conn, wearer_id) | {"sheets": _sheets(conn, wearer_id)}
        table = wearer_table(conn, wearer_id) | {"beside": beside}
    return json.dumps(table, ensure_ascii=False, indent=2) + "\n"


def found_csv(records: Records, words: str) -> str:
    """Return the readings that stand of the wearers that a search finds: a file of many wearers, no name."""
    with records.reading() as conn:
        found = [kept_core(conn, kept.id) for kept in wearers.search_wearers(conn, words)]
    rows = [
        [wearer.code, wearer.population, *(_cell(one, name) for name in ALLOWED[2:])]
        for wearer in found
        for one in wearer.readings
    ]
    return csv_text(ALLOWED, rows)


def _cell(one: Reading, name: str) -> str | float | None:
    if name == "sd_mm":
        # A row stands for itself: there is no column for what it shares with others of its sheet.
        return whole_sd(one)
    value: str | float | None = one.date.isoformat() if name == "date" and one.date else getattr(one, name)
    return value


def health_toml(records: Records, wearer_id: str) -> str:
    """Return what a wearer told of health, as the table of a wearer file, apart from all else.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    """
    with records.reading() as conn:
        kept = wearers.find_wearer(conn, wearer_id)
        told = health.find_health(conn, wearer_id)
    signs = core_signs(told)
    found = {name: True for name in SIGNS if getattr(signs, name)} | {"pain_weeks": signs.pain_weeks}
    return toml_text({"code": kept.code, **({"signs": found} if told is not None else {})})


def wearer_table(conn: Connection, wearer_id: str) -> dict[str, Any]:
    """Return a wearer as the table of a wearer file, without health: it never goes with try-ons.

    Raises
    ------
    NotFound
        Where there is no such wearer.
    """
    kept = wearers.find_wearer(conn, wearer_id)
    wearer = kept_core(conn, wearer_id)
    at = {one.id: one.at for one in sittings.list_sittings(conn, wearer_id)}
    # By short names of the file's own: a row's name in the records is nobody's business.
    shared = dict.fromkeys(name for one in wearer.readings for name, _ in one.shared_errors)
    names = {name: f"error {number}" for number, name in enumerate(shared, start=1)}
    table: dict[str, Any] = {
        "schema": SCHEMA,
        "code": kept.code,
        "name": kept.name or None,
        "population": kept.population,
        "reading": [_reading(one, at.get(one.sitting or ""), names) for one in wearer.readings],
        "gauge": [_mark(one) for one in wearer.gauge_marks],
        "day": [dict(state) for state in kept.day],
        "pair": [_pair(one) for one in wearer.pairs],
    }
    return {name: value for name, value in table.items() if value not in (None, [])}


def _reading(one: Reading, at: str | None, names: Mapping[str, str]) -> dict[str, Any]:
    table = {name: getattr(one, name) for name in _OF_A_READING}
    table |= {"date": one.date.isoformat() if one.date else None, "sitting": at}
    table |= {"shared_mm": {names[name]: loading for name, loading in one.shared_errors} or None}
    return {name: value for name, value in table.items() if value is not None}


def _mark(one: GaugeMark) -> dict[str, Any]:
    return {name: value for name in _OF_A_MARK if (value := getattr(one, name)) is not None}


def _pair(one: OwnedPair) -> dict[str, Any]:
    table: dict[str, Any] = {"last": one.last, "size": format_fraction(one.size), "width": one.width}
    for foot in FEET:
        told = {place: verdict for (side, place), verdict in one.verdicts.items() if side == foot}
        table |= {foot: told} if told else {}
    return {name: value for name, value in table.items() if value is not None}


def _beside(conn: Connection, wearer_id: str) -> dict[str, Any]:
    """Return what is kept of a wearer and has no place in a wearer file."""
    kept = wearers.find_wearer(conn, wearer_id)
    at = {one.id: one for one in sittings.list_sittings(conn, wearer_id)}
    struck = [one for one in readings.list_readings(conn, wearer_id) if not one.stands]
    return {
        "note": kept.note,
        "keeps_try_ons": kept.keeps_try_ons,
        "made_on": datetime.fromisoformat(kept.made_at).date().isoformat(),
        "struck": [_struck(one, core_reading(one, at.get(one.sitting_id))) for one in struck],
        "pairs": [
            {name: value for name in _OF_AN_ORDER if (value := getattr(pair, name))}
            for pair in pairs.list_pairs(conn, wearer_id)
        ],
    }


def _sheets(conn: Connection, wearer_id: str) -> list[dict[str, Any]]:
    """Return what the sheets told, each with its picture in base64 where one is kept."""
    return [
        {
            "made_at": sheet.made_at,
            "line": dict(sheet.line),
            "picture": b64encode(sheets.find_picture(conn, sheet.id)).decode("ascii")
            if sheet.has_picture
            else None,
        }
        for sheet in sorted(sheets.list_sheets(conn, wearer_id), key=lambda sheet: sheet.made_at)
    ]


def _struck(kept: KeptReading, one: Reading) -> dict[str, Any]:
    why = "taken back" if kept.withdrawn_at is not None else "corrected"
    return _reading(one, None, {}) | {"because": why}
