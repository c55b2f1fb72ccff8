"""The gauge's page: a ruler laid on a mark, what that says, mended, withdrawn, undone, handed over."""

from __future__ import annotations

import re
import tomllib

import pytest

from heelball.records.gauge_marks import list_marks
from heelball.records.values import Author, KeptMark
from heelball.work.gauge import change_mark, lay_ruler
from tests.bench.conftest import BEGINNING, Bench
from tests.bench.test_lasts import problem_at, text_of

BY = Author("QB", BEGINNING)
BALL = {
    "scale": "gauge-men",
    "what": "ball",
    "mark": "10",
    "line": "",
    "measured_mm": "199",
    "on": "2026-03-01",
    "fitter": "QB",
}


@pytest.fixture
def mark(bench: Bench) -> KeptMark:
    return lay_ruler(bench.records, BALL, units="mm", by=BY)


def _marks(bench: Bench) -> list[KeptMark]:
    with bench.records.reading() as conn:
        return list_marks(conn)


def test_a_ruler_on_a_mark_says_what_it_means(bench: Bench):
    assert "A ball size has not been measured" in text_of(bench.get("/gauge").text)
    answer = bench.post("/gauge", BALL)
    said = text_of(answer.text)
    assert answer.url.path == "/gauge"
    assert "A ball size denotes 1.7 mm less than is reckoned, ±0.5 mm." in said
    assert "foot gauge, men: ball 10 199.0 200.8 1.8 mm less than reckoned 1 Mar 2026, QB" in said
    (kept,) = _marks(bench)
    assert (kept.measured_mm, kept.fitter) == (199.0, "QB")


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"mark": "D"}, "mark"),
        ({"what": "breadth", "mark": "D"}, "line"),
        ({"measured_mm": "1,990"}, "measured_mm"),
        ({"on": "2026-03-15"}, "on"),
        ({"scale": "uk"}, "scale"),
    ],
)
def test_a_mistake_stands_beside_its_field_with_what_was_typed(
    bench: Bench, wrong: dict[str, str], field: str
):
    answer = bench.post("/gauge", {**BALL, **wrong})
    assert answer.status_code == 422
    assert problem_at(answer.text, field)
    assert re.search(r'name="fitter"[^>]*value="QB"', answer.text)
    assert _marks(bench) == []


def test_rulers_are_read_and_shown_in_inches_at_the_switch(bench: Bench):
    bench.post("/settings/units", {"units": "in", "back": "/gauge"})
    answer = bench.post("/gauge", {**BALL, "measured_mm": "7 3/4"})
    assert "7.75" in text_of(answer.text)
    assert _marks(bench)[0].measured_mm == pytest.approx(196.85)


def test_a_mark_is_mended_withdrawn_and_undone(bench: Bench, mark: KeptMark):
    assert re.search(r'name="measured_mm"[^>]*value="199"', bench.get(f"/gauge/{mark.id}").text)
    bad = bench.post(f"/gauge/{mark.id}", {**BALL, "measured_mm": "far", "seen": "1"})
    assert (bad.status_code, bool(problem_at(bad.text, "measured_mm"))) == (422, True)
    bench.post(f"/gauge/{mark.id}", {**BALL, "measured_mm": "200", "seen": "1"})
    assert _marks(bench)[0].measured_mm == 200.0
    page = bench.post(f"/gauge/{mark.id}/withdrawn", {"seen": "2"}).text
    assert _marks(bench) == []
    assert "counts no longer" in page
    (change, *_) = re.findall(r'name="change" value="(\d+)"', page)
    bench.post("/gauge/undo", {"change": change})
    assert len(_marks(bench)) == 1


def test_the_second_to_mend_a_mark_sees_both(bench: Bench, mark: KeptMark):
    change_mark(bench.records, mark.id, 1, {**BALL, "measured_mm": "200"}, units="mm", by=BY)
    answer = bench.post(f"/gauge/{mark.id}", {**BALL, "measured_mm": "201", "seen": "1"})
    assert answer.status_code == 409
    assert 'value="200"' in answer.text
    assert 'value="201"' in answer.text
    late = bench.post(f"/gauge/{mark.id}/withdrawn", {"seen": "1"})
    assert late.status_code == 409
    assert len(_marks(bench)) == 1


def test_marks_go_out_as_tables_and_as_rows(bench: Bench, mark: KeptMark):
    toml = bench.get("/gauge/marks.toml")
    assert tomllib.loads(toml.text)["gauge"] == [
        {"scale": "gauge-men", "what": "ball", "mark": "10", "measured_mm": 199.0}
    ]
    rows = bench.get("/gauge/marks.csv")
    assert rows.text.splitlines() == [
        "scale,what,mark,line,measured_mm,date,fitter",
        "gauge-men,ball,10,,199.0,2026-03-01,QB",
    ]
    assert "gauge-marks.csv" in rows.headers["content-disposition"]
