"""The frame every page stands in."""

from __future__ import annotations

from tests.bench.conftest import Bench


def test_settings_page_shows(bench: Bench):
    answer = bench.get("/settings")
    assert answer.status_code == 200
    assert "<h1>Settings</h1>" in answer.text


def test_units_switch_returns_to_its_page(bench: Bench):
    answer = bench.post("/settings/units", {"units": "in", "back": "/settings"}, follow=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/settings")
    assert 'value="in" aria-pressed="true"' in bench.get("/settings").text
