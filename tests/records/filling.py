"""Records with something in every table, for tests of what becomes of the whole."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

from attrs import frozen
from sqlalchemy import insert

from heelball.foot.reading import ReadingOf
from heelball.records import schema
from heelball.records.drafts import save_field
from heelball.records.gauge_marks import add_mark
from heelball.records.health import keep_health
from heelball.records.lasts import add_last
from heelball.records.makers import add_maker
from heelball.records.pairs import add_pair
from heelball.records.readings import NewReading, add_readings
from heelball.records.run_evidence import add_advice, add_measured
from heelball.records.schema import new_id
from heelball.records.sheets import add_sheet
from heelball.records.sittings import add_sitting
from heelball.records.store import Records
from heelball.records.try_ons import add_try_on
from heelball.records.values import Author
from heelball.records.wearers import add_wearer, change_wearer

#: What the wearer who is to be found or erased is and was called: nothing else holds such letters.
NAMES = ("Örla Vantbrook", "Orla Zinnwhistle")
CODES = ("QX77K", "JV48Z")


#: A picture over many pages of the file, none of which may stay.
PICTURE = b"\xff\xd8" + f"{NAMES[0]}, {CODES[0]}; ".encode() * 2000

DRAWN: tuple[tuple[ReadingOf, str, float], ...] = (
    ("length", "268.1", 1.14),
    ("ball", "198.3", 2.0976),
    ("breadth", "101.2", 2.1679),
)
LINE: dict[str, Any] = {
    "schema": "heelball/sheet-reading/1",
    "foot": "left",
    "foot_mm": {what: {"mean_mm": float(value), "sd_mm": sd} for what, value, sd in DRAWN},
    "covariance": [[1.3, 0.2, 1.9], [0.2, 4.4, 0.05], [1.9, 0.05, 4.7]],
    "remarks": ["no witness of the print's scale"],
    "load": "standing",
    "tape": None,
}


@frozen
class Filled:
    """The ids of what was filled in."""

    wearer: str
    other: str
    maker: str
    last: str
    pair: str


def fill(records: Records, by: Author, *, keeps_try_ons: bool = False) -> Filled:
    """Fill records with a wearer who had another name and code before, and with another wearer."""
    with records.writing() as conn:
        maker = add_maker(conn, "Northmoor", address="1 Mill Lane\nSallowfirth", by=by)
        last = add_last(
            conn,
            maker.id,
            "N7",
            label_scale="us-men",
            sizes="6-12 by 1/2, 13, 14",
            widths=["B", "D", "EE"],
            reference_width="D",
            heel_mm=35.5,
            publishes_advice=True,
            exchange_days=30,
            by=by,
        )
        add_advice(conn, last.id, basis="ball", order_sizes="-0.5", origin="=letter", on="2026-03-02", by=by)
        add_measured(conn, last.id, size="10", width="D", flex_line_mm=205.25, by=by)
        add_mark(conn, scale="gauge-men", what="ball", mark="10", measured_mm=199.0, by=by)
        wearer = add_wearer(
            conn, CODES[1], name=NAMES[1], population="men", keeps_try_ons=keeps_try_ons, by=by
        )
        other = add_wearer(conn, "W2", name="Anna Reed", note=f"came with {NAMES[0]} ({CODES[0]})", by=by)
        for one in (wearer, other):
            sitting = add_sitting(
                conn, one.id, at=by.at, by=by, note=f"for {NAMES[0]}" if one is other else ""
            )
            kept = add_readings(
                conn,
                sitting.id,
                [
                    NewReading("right", "length", "gauge-men", "10 1/2"),
                    NewReading("right", "ball", "gauge-men", "10"),
                    NewReading("right", "breadth", "gauge-men", "D", line="10"),
                ],
                seen_number=0,
                by=by,
            )
            more = [
                NewReading("right", "ball", "gauge-men", "10 1/4", kind="repeat", of_id=kept[1].id),
                NewReading("right", "length", "gauge-men", "10", kind="correction", of_id=kept[0].id),
            ]
            add_readings(conn, sitting.id, more, seen_number=3, by=by)
            drawn = add_sheet(
                conn,
                sitting.id,
                "left",
                {**LINE, "photo": f"{NAMES[0]}.jpg" if one is wearer else "left.jpg"},
                agreed=True,
                picture=PICTURE if one is wearer else b"\xff\xd8 somebody else's",
                by=by,
            )
            told = [
                NewReading("left", what, "mm", value, method="sheet", sd_mm=sd, sheet_id=drawn.id)
                for what, value, sd in DRAWN
            ]
            add_readings(conn, sitting.id, told, seen_number=5, by=by)
        pair = add_pair(
            conn,
            wearer.id,
            last.id,
            size="10",
            width="D",
            ordered_on="2026-03-02",
            answer={"chance": None},
            by=by,
        )
        add_try_on(
            conn,
            pair.id,
            on="2026-03-20",
            hours=1.5,
            verdicts={"left": {"ball": "right", "toe": "little"}},
            note=f"{NAMES[0]} says so",
            by=by,
        )
        save_field(conn, wearer.id, "right length", "10", seen=0, by=by)
        save_field(conn, other.id, "note", f"ask {NAMES[0].upper()}", seen=0, by=by)
        keep_health(conn, wearer.id, {"diabetes": True}, consents=True, seen=0, by=by)
        conn.execute(
            insert(schema.letters).values(
                id=new_id(),
                version=1,
                maker_id=maker.id,
                state="draft",
                about=["N7"],
                text=f"Dear Northmoor,\n\n{NAMES[0]}, our {CODES[0]}, takes a 10 D.\nVantbrook’s is long.",
                drafted_at=by.at.isoformat(),
                note="",
            )
        )
        conn.execute(insert(schema.settings).values(name="units", value="in"))
        for number, data in enumerate(({"here": f"/wearers/{wearer.id}"}, {"units": "mm"})):
            at = by.at.isoformat()
            conn.execute(
                insert(schema.sessions).values(hash=str(number) * 64, made_at=at, seen_at=at, data=data)
            )
        changed = change_wearer(conn, wearer.id, wearer.version, {"name": NAMES[0], "code": CODES[0]}, by=by)
    return Filled(changed.id, other.id, maker.id, last.id, pair.id)


def leave_residue(path: Path) -> None:
    """Leave names in the unused space of a file, as a program does that does not delete with care."""
    with closing(sqlite3.connect(path, isolation_level=None)) as file:
        file.execute("PRAGMA secure_delete=OFF").close()
        note = " ".join([*NAMES, *CODES]) * 200
        file.execute("INSERT INTO makers VALUES ('residue', 1, 'Tarrowdene', '', ?)", (note,)).close()
        file.execute("DELETE FROM makers WHERE id = 'residue'").close()
        file.execute("PRAGMA wal_checkpoint(TRUNCATE)").close()
    assert note[:100].encode() in path.read_bytes()
