"""The check: the file itself, rows, and what the core would stumble over."""

from __future__ import annotations

from pathlib import Path

import pytest

from heelball.errors import RecordsError
from heelball.records import schema
from heelball.records.store import open_records
from heelball.work.records_check import check
from heelball.work.records_import import bring_in
from tests.work.records_at import LAST, NOW, WEARER, file


@pytest.fixture
def place(tmp_path: Path) -> Path:
    place = tmp_path / "kept.sqlite3"
    bring_in(place, [file(tmp_path, "w.toml", WEARER), file(tmp_path, "n7.toml", LAST)], now=NOW)
    return place


@pytest.mark.parametrize(
    ("table", "column", "value", "said"),
    [
        ("readings", "value", "ten", "wearers W12: reading 1, value: 'ten'"),
        ("readings", "scale", "gauge-giants", "gauge-giants"),
        ("lasts", "sizes", "12-6", "lasts N7: "),
        ("lasts", "label_scale", "us-giants", "us-giants"),
        ("measured_pairs", "size", "99", "lasts N7: "),
        ("wearers", "day", [{"name": "all", "share": 0.5}], "shares that sum to 0.5"),
        ("gauge_marks", "mark", "99", "gauge_marks: "),
        ("pairs", "size", "huge", "wearers W12: "),
    ],
)
def test_what_the_core_cannot_read_is_told(place: Path, table: str, column: str, value: object, said: str):
    records = open_records(place, now=NOW)
    with records.writing() as conn:
        conn.execute(schema.metadata.tables[table].update().values({column: value}))
    records.close()
    lines = check(place, now=NOW).problems
    assert any(said in line for line in lines)
    assert all("; wanted " in line for line in lines)


def test_a_damaged_page_is_told(place: Path):
    raw = bytearray(place.read_bytes())
    for page in range(3, len(raw) // 4096, 2):
        raw[page * 4096 + 100 : page * 4096 + 2000] = b"\xff" * 1900
    place.write_bytes(raw)
    try:
        lines = check(place, now=NOW).problems
    except RecordsError as refused:
        lines = refused.lines()
    assert any("damage" in line for line in lines)


def test_records_that_are_not_there_are_not_made(tmp_path: Path):
    with pytest.raises(RecordsError, match="There are no records"):
        check(tmp_path / "none.sqlite3", now=NOW)
    assert not (tmp_path / "none.sqlite3").exists()


def test_a_network_share_is_remarked(place: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("heelball.records.store.network_warning", lambda path: f"{path} is far away.")
    assert check(place, now=NOW).remarks == [f"{place} is far away."]
