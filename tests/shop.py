"""A wearer whose feet were read and a last with advice, as kept: what tests of pairs begin with."""

from __future__ import annotations

from typing import Final

from attrs import frozen

from heelball.foot.reading import ReadingOf
from heelball.foot.vector import FEET
from heelball.records.lasts import add_last
from heelball.records.makers import add_maker
from heelball.records.readings import NewReading, add_readings
from heelball.records.run_evidence import add_advice
from heelball.records.sittings import add_sitting
from heelball.records.store import Records
from heelball.records.values import Author
from heelball.records.wearers import add_wearer

#: What is read of either foot.
READ: Final[tuple[tuple[ReadingOf, str, str | None], ...]] = (
    ("length", "10", None),
    ("ball", "10 1/2", None),
    ("breadth", "D", "10 1/2"),
)


@frozen
class Shop:
    """Who is measured, and what can be ordered."""

    wearer_id: str
    last_id: str


def read_wearer(records: Records, code: str, name: str, by: Author) -> str:
    """Return the row's name of a man of whose feet was read what is in `READ`."""
    with records.writing() as conn:
        wearer = add_wearer(conn, code, name=name, population="men", by=by)
        sitting = add_sitting(conn, wearer.id, at=by.at, by=by)
        taken = [
            NewReading(foot=foot, what=what, scale="gauge-men", value=value, line=line)
            for foot in FEET
            for what, value, line in READ
        ]
        add_readings(conn, sitting.id, taken, seen_number=0, by=by)
    return wearer.id


def open_shop(records: Records, by: Author, *, exchange_days: int | None = 14) -> Shop:
    """Return a wearer of length 10, ball 10 1/2, breadth D on both feet, and a last half a size long.

    From this last the answer is 10 D.
    """
    wearer_id = read_wearer(records, "W12", "Tove Wader", by)
    with records.writing() as conn:
        maker = add_maker(conn, "Northmoor", by=by)
        last = add_last(
            conn,
            maker.id,
            "N7",
            label_scale="us-men",
            sizes="8-12 by 1/2",
            widths=["B", "D", "EE"],
            reference_width="D",
            exchange_days=exchange_days,
            by=by,
        )
        add_advice(conn, last.id, basis="ball", order_sizes="-0.5", by=by)
    return Shop(wearer_id, last.id)
