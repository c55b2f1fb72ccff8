"""What tests of sheets at the bench send, and a reading that takes no time."""

from __future__ import annotations

import re
from typing import Any

from httpx import Response

from heelball.bench.sheets_waiting import SheetsWaiting, WaitingSheet
from heelball.errors import PhotographError
from heelball.sheet.values import PlanPicture
from heelball.work.sheet_apart import AskedSheet, SeenSheet
from tests.bench.conftest import Bench

#: What stands in for a plan and a photograph with what was found drawn on them.
PICTURES = (b"\x89PNG plan", b"\xff\xd8 photograph")


def new(bench: Bench, code: str, name: str = "Tam Quernby") -> str:
    made = bench.post("/wearers/new", {"code": code, "name": name, "population": "men"})
    return str(made.url.path)


def id_of(url: str) -> str:
    return url.rsplit("/", 1)[1]


def send(bench: Bench, url: str, content: bytes, **fields: str) -> Response:
    photo = ("Tam Quernby left.jpg", content, "image/jpeg")
    return bench.post(f"{url}/sheet", fields, files={"photo": photo})


def problem_at(text: str, field: str) -> str:
    found = re.search(rf'id="f-{field}-wrong">([^<]*)<', text)
    return "" if found is None else found[1].replace("&#39;", "'")


def line(**more: Any) -> dict[str, Any]:
    """Return what a sheet says, as the reading writes it."""
    told: dict[str, Any] = {
        "schema": "heelball/sheet-reading/1",
        "photo": "photograph",
        "foot": "right",
        "axis_turn_deg": 1.0,
        "drawn": {"length": 275.0, "ball": 199.0, "outer_ball": 175.0, "breadth": 108.0, "ball_line": 110.0},
        "foot_mm": {
            "length": {"mean_mm": 271.0, "sd_mm": 1.3},
            "ball": {"mean_mm": 199.0, "sd_mm": 2.1},
            "outer_ball": {"mean_mm": 175.0, "sd_mm": 2.1},
            "breadth": {"mean_mm": 101.0, "sd_mm": 2.0},
        },
        "covariance": [[1.69, 0.2, 0.5], [0.2, 4.41, 0.1], [0.5, 0.1, 4.0]],
        "scale": {"mean": 1.0, "sd": 0.01, "witness": "none"},
        "quality": {"px_per_mm": 8.0, "tilt_deg": 5.0, "reprojection_mm": 0.1},
        "remarks": [],
        "load": "standing",
        "tool": "pencil",
        "ticks_mm": [199.0, 175.0],
        "tape": {"girth": None, "instep": None},
    }
    return told | more


def read_at_once(asked: AskedSheet) -> SeenSheet:
    """Stand in for the process that reads: it finds the ticks where they are put."""
    if asked.photographs[-1] == b"blurred":
        raise PhotographError("The photograph is blurred.", "Hold still, in more light.")
    ticks = asked.ticks or (199.0, 175.0)
    # A pixel a millimetre; toes at the top, the inner side of a right foot at the left.
    plan = PlanPicture(PICTURES[0], 190, 330, 330.0, 95.0, 1.0, -1.0)
    return SeenSheet(line(ticks_mm=list(ticks)), plan, PICTURES[1])


def quickly(bench: Bench) -> Bench:
    state = bench.client.app.state  # type: ignore[attr-defined]
    state.sheets = SheetsWaiting(bench.clock, read_at_once)
    return bench


def waiting(bench: Bench) -> SheetsWaiting:
    """Return the sheets that wait at a bench."""
    found: SheetsWaiting = bench.client.app.state.sheets  # type: ignore[attr-defined]
    return found


def the_one(bench: Bench) -> WaitingSheet:
    """Return the only sheet that waits at a bench."""
    [one] = waiting(bench)._waiting.values()
    return one
