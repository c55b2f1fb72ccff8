"""From what is kept to what the core reads: all that counts, and nothing that is struck through."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from attrs import evolve

from heelball.errors import InputError
from heelball.fit.wearer import DayState, OwnedPair, Signs
from heelball.foot.reading import GaugeMark, Reading
from heelball.records.values import (
    HealthAnswers,
    KeptAdvice,
    KeptLast,
    KeptMark,
    KeptMeasured,
    KeptReading,
    KeptWearer,
    Sitting,
)
from heelball.work.keeping import core_last, core_wearer, last_table, standing
from heelball.work.last_file import read_last
from heelball.work.toml_text import toml_text

AT = "2026-05-03T17:30+02:00"
WEARER = KeptWearer(
    "w", 1, "W41", "Tam Quernby", "men", ({"name": "walk", "share": 1.0, "sock": "thick"},), False, "", AT, AT
)
SITTING = Sitting("s", 1, "w", AT, "standing", "thin", "QB", "")
READING = KeptReading(
    id="r1",
    version=1,
    wearer_id="w",
    sitting_id="s",
    number=1,
    foot="right",
    what="ball",
    scale="gauge-men",
    value="10 1/2",
    line=None,
    load="seated",
    method="gauge",
    sd_mm=1.5,
    kind="new",
    of_id=None,
    withdrawn_at=None,
)
MARK = KeptMark("m", 1, "gauge-men", "ball", "10", None, 199.0, None, "QB", None)


def test_a_reading_comes_with_its_fitter_and_its_day() -> None:
    (reading,) = core_wearer(WEARER, [READING], [], sittings=[SITTING]).readings
    assert reading == Reading(
        foot="right",
        what="ball",
        scale="gauge-men",
        value="10 1/2",
        load="seated",
        method="gauge",
        fitter="QB",
        date=date(2026, 5, 3),
        sitting="s",
        sd_mm=1.5,
    )


def test_what_counts_no_more_is_left_out_and_the_rest_is_in_order() -> None:
    taken = [
        evolve(READING, id="r4", number=4, value="12"),
        evolve(READING, id="r2", number=2, value="9", withdrawn_at=AT),
        evolve(READING, id="r3", number=3, value="10", corrected_by="r4"),
        READING,
    ]
    assert [one.id for one in standing(taken)] == ["r1", "r4"]
    assert [one.value for one in core_wearer(WEARER, taken, []).readings] == ["10 1/2", "12"]


def test_a_sitting_that_is_not_told_leaves_fitter_and_day_open() -> None:
    (reading,) = core_wearer(WEARER, [READING], []).readings
    assert (reading.fitter, reading.date) == (None, None)
    unsigned = core_wearer(WEARER, [READING], [], sittings=[evolve(SITTING, fitter="")])
    assert unsigned.readings[0].fitter is None


def test_marks_of_the_gauge_that_stand_come_along() -> None:
    withdrawn = evolve(MARK, id="n", measured_mm=190.0, withdrawn_at=AT)
    assert core_wearer(WEARER, [], [withdrawn, MARK]).gauge_marks == (
        GaugeMark("gauge-men", "ball", "10", 199.0),
    )


def test_the_day_is_read_as_in_a_wearer_file() -> None:
    assert core_wearer(WEARER, [], []).day == (DayState("walk", 1.0, 3.0, "ordinary", 0.0),)
    with pytest.raises(InputError, match="shares that sum to"):
        core_wearer(evolve(WEARER, day=({"name": "a", "share": 0.5},)), [], [])


def test_health_and_pairs_come_where_they_are_told() -> None:
    health = HealthAnswers("w", 1, AT, {"diabetes": True, "pain_weeks": 3})
    owned = OwnedPair("N7", Fraction(10), "D")
    wearer = core_wearer(WEARER, [], [], health=health, owned=[owned])
    assert wearer.signs == Signs(diabetes=True, pain_weeks=3.0)
    assert wearer.pairs == (owned,)
    assert core_wearer(WEARER, [], []).signs == Signs()
    with pytest.raises(InputError, match="an unknown field"):
        core_wearer(WEARER, [], [], health=evolve(health, signs={"humour": True}))


def test_no_name_goes_to_the_core() -> None:
    assert "Quernby" not in repr(core_wearer(WEARER, [READING], [MARK], sittings=[SITTING]))


LAST = KeptLast(
    id="l",
    version=1,
    maker_id="k",
    maker="Northmoor",
    code="N7",
    label_scale="us-men",
    sizes="6-12 by 1/2, 13",
    widths=["B", "D", "EE"],
    width_scale="us",
    reference_width="D",
    stiffness="stiff",
    toe="almond",
    closing="lace",
    heel_mm=35.0,
    publishes_advice=True,
    exchange_days=30,
    note="never printed",
    retired=False,
    advice=(
        KeptAdvice("a", 1, "l", "ball", "-0.5", None, None, "a letter", "2026-01-02", None),
        KeptAdvice("b", 1, "l", "ball", "3", None, None, "", None, withdrawn_at=AT),
        KeptAdvice("c", 1, "l", "length", None, None, (("10 1/2", "10"), ("11", "10 1/2")), "", None, None),
    ),
    measured=(
        KeptMeasured("m", 1, "l", "10", "D", 290.0, 205.0, None, None, False, "", None, None),
        KeptMeasured("n", 1, "l", "10", "D", 200.0, None, None, None, True, "", None, withdrawn_at=AT),
    ),
)

FILE = """
schema = "heelball/last/1"
code = "N7"
maker = "Northmoor"
label_scale = "us-men"
sizes = "6-12 by 1/2, 13"
widths = ["B", "D", "EE"]
reference_width = "D"
toe = "almond"
heel_mm = 35
[[advice]]
order = -0.5
[[advice]]
from = "length"
table = [["10 1/2", "10"], ["11", "10 1/2"]]
[terms]
publishes_advice = true
exchange_days = 30
[[measured]]
size = "10"
width = "D"
inside_length_mm = 290.0
flex_line_mm = 205.0
"""


def test_a_kept_last_is_the_last_of_its_file(tmp_path: Path) -> None:
    file = tmp_path / "n7.toml"
    file.write_text(FILE, encoding="utf-8")
    assert core_last(LAST) == read_last(file)


def test_a_kept_last_written_as_a_file_is_read_back(tmp_path: Path) -> None:
    file = tmp_path / "n7.toml"
    table = {"schema": "heelball/last/1", **last_table(LAST)}
    file.write_text(toml_text(table), encoding="utf-8")
    assert read_last(file) == core_last(LAST)
    assert "never printed" not in file.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"label_scale": "us-horses"}, "label_scale"),
        ({"sizes": "12-6"}, "sizes"),
        ({"widths": ["D", "Q"]}, "widths"),
    ],
)
def test_what_no_file_may_hold_is_refused_with_its_last_and_its_place(
    changed: dict[str, Any], said: str
) -> None:
    with pytest.raises(InputError) as refused:
        core_last(evolve(LAST, **changed))
    assert any(line.startswith(f"last N7, {said}") for line in refused.value.lines())
