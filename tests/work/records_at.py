"""Files and records to bring in and take out, for the tests of the records' use cases."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

from sqlalchemy import Table, select

from heelball.records.found import rows_of
from heelball.records.store import open_records

NOW = datetime(2026, 11, 25, 18, 40, 5, tzinfo=timezone(timedelta(hours=1)))

WEARER = """\
schema = "heelball/wearer/1"
code = "W12"
name = "Örla Vantbrook"
population = "men"
[[reading]]
foot = "right"
what = "length"
scale = "gauge-men"
value = "10 1/2"
date = 2026-05-03
fitter = "A"
[[reading]]
foot = "right"
what = "ball"
scale = "gauge-men"
value = "10"
date = 2026-05-03
fitter = "A"
[[reading]]
foot = "right"
what = "ball"
scale = "gauge-men"
value = "10"
date = 2026-05-03
fitter = "A"
[[gauge]]
scale = "gauge-men"
what = "ball"
mark = "10"
measured_mm = 199.0
[[day]]
name = "evening"
share = 1.0
sock = "thick"
[[pair]]
last = "N7"
size = "10"
width = "D"
left = { ball = "right", toe = "little" }
"""

LAST = """\
schema = "heelball/last/1"
code = "N7"
maker = "Northmoor"
label_scale = "us-men"
sizes = "6-12 by 1/2, 13, 14"
widths = { B = "8-12", D = "6-14 by 1/2" }
reference_width = "D"
heel_mm = 35
[[advice]]
order = -0.5
[[advice]]
from = "ball"
table = [["10 1/2", "10"], ["11", "10 1/2"]]
[terms]
publishes_advice = true
exchange_days = 0
[[measured]]
size = "10"
width = "D"
flex_line_mm = 205.5
from = "drawing"
"""


def file(folder: Path, name: str, text: str) -> Path:
    """Write a file and return it."""
    path = folder / name
    path.write_text(text, "utf-8")
    return path


def rows(place: Path, table: Table) -> list[dict[str, Any]]:
    """Return what is kept in a table."""
    records = open_records(place, now=NOW)
    with records.reading() as conn:
        found = rows_of(conn, select(table))
    records.close()
    return found
