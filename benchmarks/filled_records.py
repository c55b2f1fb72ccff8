"""Records filled with many wearers and lasts at once, as a workshop would have them after years."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
from sqlalchemy import Connection, Table, insert

from benchmarks.invented import last, wearer
from heelball.fit.wearer import Wearer
from heelball.last.values import Last
from heelball.records.found import folded
from heelball.records.schema import (
    advice,
    lasts,
    makers,
    measured_pairs,
    new_id,
    readings,
    sittings,
    wearers,
)
from heelball.records.store import open_records
from heelball.units import format_fraction

_FIRST = ("Ada", "Bram", "Cilla", "Dorn", "Edda", "Finn", "Gerd", "Hale", "Ilse", "Jory")
_SECOND = ("Ashgrove", "Birkett", "Coldbeck", "Dunmere", "Eskdale", "Farrow", "Garth", "Holmwood")


def fill(folder: Path, count_wearers: int, count_lasts: int, *, now: datetime, seed: int = 11) -> list[str]:
    """Make records with many wearers of six readings each and many lasts of 60 labels.

    Rows are written in bulk, without the history that each write of a fitter leaves.

    Returns
    -------
    list of str
        The wearers' rows by name.
    """
    generator = np.random.default_rng(seed)
    records = open_records(folder, now=now)
    at = now.isoformat(timespec="seconds")
    rows: dict[Table, list[dict[str, Any]]] = {
        table: [] for table in (makers, lasts, advice, measured_pairs, wearers, sittings, readings)
    }
    named: dict[str, str] = {}
    for number in range(count_lasts):
        _add_last(rows, named, last(number, generator))
    found = [
        _add_wearer(rows, wearer(f"W{number:05d}", generator), number, at) for number in range(count_wearers)
    ]
    with records.writing() as conn:
        for table, of_table in rows.items():
            _insert(conn, table, of_table)
    records.close()
    return found


def _insert(conn: Connection, table: Table, rows: list[dict[str, Any]]) -> None:
    if rows:
        conn.execute(insert(table), [{"version": 1, **row} for row in rows])


def _add_last(rows: dict[Table, list[dict[str, Any]]], named: dict[str, str], one: Last) -> None:
    if one.maker not in named:
        named[one.maker] = new_id()
        rows[makers].append({"id": named[one.maker], "name": one.maker})
    last_id = new_id()
    first, final = one.labels[0].size, one.labels[-1].size
    rows[lasts].append(
        {
            "id": last_id,
            "maker_id": named[one.maker],
            "code": one.code,
            "label_scale": one.label_scale,
            "sizes": f"{format_fraction(first)}-{format_fraction(final)} by 1/2",
            "widths": list(dict.fromkeys(label.width for label in one.labels)),
            "width_scale": one.width_scale,
            "reference_width": "D",
            "stiffness": one.stiffness,
            "toe": one.toe,
            "closing": one.closing,
        }
    )
    for said in one.advice:
        assert said.order is not None
        rows[advice].append(
            {
                "id": new_id(),
                "last_id": last_id,
                "basis": said.basis,
                "order_sizes": f"{float(said.order):g}",
            }
        )
    rows[measured_pairs].extend(
        {
            "id": new_id(),
            "last_id": last_id,
            "size": format_fraction(pair.size),
            "width": pair.width,
            "inside_length_mm": pair.inside_length,
            "flex_line_mm": pair.flex_line,
            "ball_girth_mm": pair.ball_girth,
        }
        for pair in one.measured
    )


def _add_wearer(rows: dict[Table, list[dict[str, Any]]], one: Wearer, number: int, at: str) -> str:
    wearer_id, sitting_id = new_id(), new_id()
    name = f"{_FIRST[number % len(_FIRST)]} {_SECOND[number % len(_SECOND)]}"
    rows[wearers].append(
        {
            "id": wearer_id,
            "code": one.code,
            "name": name,
            "sought": f"{folded(name)} /{folded(one.code)}",
            "population": one.population,
            "day": [
                {"name": "morning", "share": 0.2, "sock": "medium", "swelling": "rest", "insole_mm": 0},
                {"name": "day", "share": 0.5, "sock": "medium", "swelling": "ordinary", "insole_mm": 0},
                {"name": "evening", "share": 0.3, "sock": "thick", "swelling": "hot", "insole_mm": 0},
            ],
            "made_at": at,
            "changed_at": at,
        }
    )
    rows[sittings].append(
        {"id": sitting_id, "wearer_id": wearer_id, "at": at, "load": "standing", "fitter": "QB"}
    )
    rows[readings].extend(
        {
            "id": new_id(),
            "wearer_id": wearer_id,
            "sitting_id": sitting_id,
            "number": count,
            "foot": reading.foot,
            "what": reading.what,
            "scale": reading.scale,
            "value": reading.value,
            "line": reading.line,
            "load": reading.load,
            "method": reading.method,
            "kind": "new",
        }
        for count, reading in enumerate(one.readings, start=1)
    )
    return wearer_id
