"""The wearers' pages: found as typed, written down, changed, taken away, taken back."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.bench.conftest import Bench


def test_smoke(bench: Bench) -> None:
    assert bench.get("/wearers").status_code == 200
    assert bench.get("/wearers/new").status_code == 200
    made = bench.post("/wearers/new", {"code": "W1", "name": "Tam Quern", "population": "men"})
    assert made.status_code == 200, made.text
    url = made.url.path
    for step in ("", "/edit", "/day", "/health", "/foot", "/history", "/file.toml", "/file.json"):
        answer = bench.get(url + step)
        assert answer.status_code == 200, (step, answer.text)
