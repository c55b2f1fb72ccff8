"""Rulers on the fitter's own gauge: read as in a wearer file, what they say, and out as files again."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from datetime import UTC, datetime
from io import StringIO
from pathlib import Path

import pytest

from heelball.errors import InputError
from heelball.records.refused import Conflict
from heelball.records.store import Records, open_records
from heelball.records.values import Author
from heelball.work.gauge import (
    change_mark,
    gauge_page,
    lay_ruler,
    marks_csv,
    marks_toml,
    undo_at_gauge,
    withdraw_mark,
    written_mark,
)
from heelball.work.keeping import core_mark
from heelball.work.wearer_file import read_wearers

NOW = datetime(2026, 3, 14, 10, 20, tzinfo=UTC)
BY = Author("QB", NOW)
BALL = {
    "scale": "gauge-men",
    "what": "ball",
    "mark": "10",
    "line": "",
    "measured_mm": "199",
    "on": "2026-03-01",
    "fitter": "QB",
}
BREADTH = {**BALL, "what": "breadth", "mark": "D", "line": "10", "measured_mm": "101,5"}


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records(tmp_path / "records", now=NOW)
    yield opened
    opened.close()


def test_what_was_typed_is_kept_and_typed_again_the_same(records: Records):
    kept = lay_ruler(records, BREADTH, units="mm", by=BY)
    assert (kept.line, kept.measured_mm, kept.on, kept.fitter) == ("10", 101.5, "2026-03-01", "QB")
    assert written_mark(kept, "mm") == {**BREADTH, "measured_mm": "101.5"}
    assert change_mark(records, kept.id, 1, written_mark(kept, "mm"), units="mm", by=BY) == kept
    inches = lay_ruler(records, {**BALL, "measured_mm": "7 27/32"}, units="in", by=BY)
    assert inches.measured_mm == pytest.approx(199.231, abs=0.001)


@pytest.mark.parametrize(
    ("wrong", "places"),
    [
        ({"scale": "us-men"}, ["scale"]),
        ({"what": ""}, ["what"]),
        ({"mark": ""}, ["mark"]),
        ({"mark": "77"}, ["mark"]),
        ({"mark": "D"}, ["mark"]),
        ({"what": "breadth", "mark": "D"}, ["line"]),
        ({"what": "breadth", "mark": "Q", "line": "10"}, ["mark"]),
        ({"line": "10"}, ["line"]),
        ({"measured_mm": ""}, ["measured_mm"]),
        ({"measured_mm": "1,500"}, ["measured_mm"]),
        ({"measured_mm": "2000"}, ["measured_mm"]),
        ({"on": "2026-03-15"}, ["on"]),
        ({"fitter": "Q" * 21}, ["fitter"]),
        ({"mark": "", "measured_mm": "", "on": "x"}, ["mark", "measured_mm", "on"]),
    ],
)
def test_each_mistake_stands_beside_its_field(records: Records, wrong: dict[str, str], places: list[str]):
    with pytest.raises(InputError) as refused:
        lay_ruler(records, {**BALL, **wrong}, units="mm", by=BY)
    assert [problem.place for problem in refused.value.problems] == places
    assert gauge_page(records).standing == ()


def test_a_ruler_says_by_how_much_a_mark_is_off_and_how_sure_that_is(records: Records):
    bare = gauge_page(records)
    assert bare.denotes == bare.unmeasured
    lay_ruler(records, BALL, units="mm", by=BY)
    page = gauge_page(records)
    (line,) = page.standing
    assert line.more == pytest.approx(199.0 - line.formula)
    # A ruler is surer than what is known beforehand, so that what it says is nearly what counts.
    assert page.denotes["ball"].mean == pytest.approx(line.more, rel=0.05)
    assert page.denotes["ball"].sd < page.unmeasured["ball"].sd / 4
    assert page.denotes["length"] == page.unmeasured["length"]


def test_a_withdrawn_mark_says_nothing_until_it_counts_again(records: Records):
    kept = lay_ruler(records, BALL, units="mm", by=BY)
    withdraw_mark(records, kept.id, 1, BY)
    page = gauge_page(records)
    assert (page.standing, len(page.withdrawn)) == ((), 1)
    assert page.denotes == page.unmeasured
    assert page.history[0].said == "Mark ball 10 withdrawn"
    undo_at_gauge(records, page.history[0].change_id, BY)
    assert len(gauge_page(records).standing) == 1


def test_marks_go_out_as_tables_that_a_wearer_file_takes(records: Records, tmp_path: Path):
    kept = [lay_ruler(records, typed, units="mm", by=BY) for typed in (BALL, BREADTH)]
    text = marks_toml(kept)
    assert text.count("[[gauge]]") == 2
    file = tmp_path / "w.toml"
    reading = '[[reading]]\nfoot = "left"\nwhat = "length"\nscale = "gauge-men"\nvalue = "10"\n'
    file.write_text(f'schema = "heelball/wearer/1"\n{reading}{text}', "utf-8")
    (wearer,) = read_wearers([file])
    assert [(mark.what, mark.measured_mm, mark.line) for mark in wearer.gauge_marks] == [
        (mark.what, mark.measured_mm, mark.line) for mark in map(core_mark, kept)
    ]


def test_a_table_of_marks_opens_without_running_anything(records: Records):
    kept = [lay_ruler(records, {**BALL, "fitter": text}, units="mm", by=BY) for text in ("QB", "=1+2")]
    rows = list(csv.DictReader(StringIO(marks_csv(kept))))
    assert [row["fitter"] for row in rows] == ["QB", "'=1+2"]
    assert (rows[0]["scale"], rows[0]["measured_mm"], rows[0]["line"], rows[0]["date"]) == (
        "gauge-men",
        "199.0",
        "",
        "2026-03-01",
    )


def test_the_second_to_mend_a_mark_is_told(records: Records):
    kept = lay_ruler(records, BALL, units="mm", by=BY)
    change_mark(records, kept.id, 1, {**BALL, "measured_mm": "200"}, units="mm", by=BY)
    with pytest.raises(Conflict) as refused:
        change_mark(records, kept.id, 1, {**BALL, "measured_mm": "201"}, units="mm", by=BY)
    assert refused.value.theirs.measured_mm == 200.0
