"""Records with a few lasts and wearers, as the tests of the order page need them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from sqlalchemy import Connection

from heelball.records.health import keep_health
from heelball.records.lasts import add_last
from heelball.records.makers import add_maker
from heelball.records.readings import NewReading, add_readings
from heelball.records.run_evidence import add_advice
from heelball.records.sittings import add_sitting
from heelball.records.store import Records
from heelball.records.values import Author, KeptReading
from heelball.records.wearers import add_wearer

DAY: Final = (
    {"name": "morning", "share": 0.3, "sock": "medium", "swelling": "rest", "insole_mm": 0},
    {"name": "evening", "share": 0.7, "sock": "thick", "swelling": "hot", "insole_mm": 0},
)


def keep_lasts(records: Records, count: int, *, by: Author) -> list[str]:
    """Write down lasts L1, L2 and so on of two makers; every other one is advised on."""
    with records.writing() as conn:
        makers = [add_maker(conn, name, by=by).id for name in ("Northmoor", "Quernmere")]
        kept = []
        for number in range(count):
            last = add_last(
                conn,
                makers[number % 2],
                f"L{number + 1}",
                label_scale="us-men",
                sizes="6-13 by 1/2",
                widths=["B", "D", "EE"],
                reference_width="D",
                exchange_days=30,
                by=by,
            )
            if number % 2:
                order = ("-1/2", "0", "1/2")[number % 3]
                add_advice(conn, last.id, basis="ball", order_sizes=order, by=by)
            kept.append(last.id)
        return kept


def keep_wearer(
    records: Records,
    code: str,
    readings: Sequence[NewReading] = (),
    *,
    name: str = "",
    day: Sequence[Mapping[str, Any]] = (),
    signs: Mapping[str, Any] | None = None,
    by: Author,
) -> str:
    """Write down a man with his readings."""
    with records.writing() as conn:
        kept = add_wearer(conn, code, name=name, population="men", day=day, by=by)
        if readings:
            take(conn, kept.id, readings, by=by)
        if signs is not None:
            keep_health(conn, kept.id, signs, consents=True, seen=0, by=by)
        return kept.id


def take(
    conn: Connection, wearer_id: str, readings: Sequence[NewReading], *, seen: int = 0, by: Author
) -> list[KeptReading]:
    """Write readings down at a sitting of their own."""
    sitting = add_sitting(conn, wearer_id, at=by.at, by=by)
    return add_readings(conn, sitting.id, readings, seen_number=seen, by=by)


def gauge_readings(
    length: str, ball: str, letter: str, feet: Sequence[str] = ("right", "left")
) -> list[NewReading]:
    """Return what a fitter reads off the foot gauge."""
    taken = []
    for foot in feet:
        for what, value, line in (("length", length, None), ("ball", ball, None), ("breadth", letter, ball)):
            taken.append(NewReading(foot, what, "gauge-men", value, line))  # type: ignore[arg-type]
    return taken
