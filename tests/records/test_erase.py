"""Erase: no row, no mention and no byte of whoever is erased stays; others' rows do."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from heelball.errors import RecordsError
from heelball.records import schema, scrubbing
from heelball.records.found import rows_of
from heelball.records.ledger import KEY_NAME, LEDGER_NAME, Ledger, kept_entries
from heelball.records.refused import NotFound
from heelball.records.store import Records, open_records
from heelball.records.values import Author
from heelball.records.wearers import add_wearer, change_wearer, find_wearer, remove_wearer, search_wearers
from heelball.work.records_backup import back_up
from heelball.work.records_erase import erase, finish_erasing
from tests.records.filling import CODES, NAMES, fill, leave_residue

#: What must not be found: as written, folded as the search does, without accents, in small letters.
WORDS = (*NAMES, *CODES, "orla vantbrook", "orla zinnwhistle", "Orla Vantbrook", "qx77k", "jv48z")


def address_of(records: Records) -> str:
    url = records.engine.url.set(drivername="postgresql")
    return str(records.path or url.render_as_string(hide_password=False))


@pytest.fixture
def own_data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the user's data folder: where the ledger of records on a server stands."""
    monkeypatch.setenv("HEELBALL_DATA", str(tmp_path / "data"))
    return tmp_path / "data"


def everything(records: Records) -> dict[str, list[dict[str, Any]]]:
    with records.reading() as conn:
        return {table.name: rows_of(conn, select(table)) for table in schema.metadata.sorted_tables}


def bytes_in(folder: Path) -> Iterator[tuple[Path, bytes]]:
    for one in folder.rglob("*"):
        if one.is_file():
            yield one, one.read_bytes()


def traces(folder: Path) -> list[tuple[str, str]]:
    return [
        (path.name, word)
        for path, raw in bytes_in(folder)
        for word in WORDS
        for encoding in ("utf-8", "utf-16-le", "utf-16-be")
        if word.encode(encoding) in raw
    ]


@pytest.mark.parametrize("keeps", [False, True])
def test_every_row_and_mention_goes(
    records: Records, author: Author, now: datetime, own_data: Path, keeps: bool
):
    filled = fill(records, author, keeps_try_ons=keeps)
    before = everything(records)
    lines = erase(address_of(records), CODES[0], now=now).lines
    after = everything(records)
    said = str(after)
    for word in (*WORDS, filled.wearer, filled.pair):
        assert word.casefold() not in said.casefold(), word
    gone = {name: len(before[name]) - len(after[name]) for name in before}
    counted = {
        "wearers": 1,
        "sittings": 1,
        "sheets": 1,
        "readings": 8,
        "pairs": 1,
        "drafts": 1,
        "health_answers": 1,
    }
    assert {name: gone[name] for name in counted} == counted
    assert gone["sessions"] == 1
    assert gone["changes"] == sum(
        one["wearer_id"] == filled.wearer or one["row_id"] == filled.wearer for one in before["changes"]
    )
    assert gone["try_ons"] == (not keeps)
    assert len(after["erasures"]) == 1
    assert "8 readings, 1 sheet, 1 sitting" in lines[0]
    # What is others' stays, with the person taken out of it.
    assert [one["note"] for one in after["sittings"]] == ["for [erased]"]
    (letter,) = after["letters"]
    assert letter["text"] == "Dear Northmoor,\n\n[erased], our [erased], takes a 10 D.\nVantbrook’s is long."
    assert letter["version"] == 2
    assert after["drafts"][0]["fields"] == {"note": "ask [erased]"}
    assert any("Vantbrook" in line and "Northmoor" in line for line in lines)
    assert [one["id"] for one in after["readings"]] == [
        one["id"] for one in before["readings"] if one["wearer_id"] == filled.other
    ]
    for name in ("makers", "lasts", "advice", "measured_pairs", "gauge_marks", "settings"):
        assert after[name] == before[name]


def test_a_try_on_stays_only_as_agreed_and_leads_to_nobody(
    records: Records, author: Author, now: datetime, own_data: Path
):
    filled = fill(records, author, keeps_try_ons=True)
    (before,) = everything(records)["try_ons"]
    erase(address_of(records), CODES[0], now=now)
    (after,) = everything(records)["try_ons"]
    assert after == {
        **before,
        "id": after["id"],
        "version": 1,
        "wearer_id": None,
        "pair_id": None,
        "on": "2026",
        "note": "",
    }
    assert after["id"] != before["id"]
    assert after["last_id"] == filled.last


def test_try_ons_of_nobody_stand_in_no_order_that_tells(sqlite: Records, author: Author, now: datetime):
    fill(sqlite, author, keeps_try_ons=True)
    with sqlite.writing() as conn:
        (one,) = rows_of(conn, select(schema.try_ons))
        conn.execute(schema.try_ons.insert(), [{**one, "id": f"t{number}"} for number in range(30)])
        conn.execute(
            schema.try_ons.insert(),
            [{**one, "id": f"m{n}", "wearer_id": None, "pair_id": None, "on": "2025"} for n in range(30)],
        )
    assert sqlite.path is not None
    erase(sqlite.path, CODES[0], now=now)
    with sqlite.reading() as conn:
        ids = conn.exec_driver_sql("SELECT id FROM try_ons ORDER BY rowid").scalars().all()
    assert len(ids) == 61
    assert ids == sorted(ids)


@pytest.fixture
def sqlite(tmp_path: Path, empty_file: Path, now: datetime) -> Iterator[Records]:
    """Return empty records on SQLite alone."""
    folder = tmp_path / "kept"
    folder.mkdir(0o700)
    shutil.copy(empty_file, folder)
    records = open_records(folder, now=now)
    yield records
    records.close()


@pytest.mark.parametrize("crowd", [0, 400])
def test_no_byte_of_the_person_stays_in_any_file(sqlite: Records, author: Author, now: datetime, crowd: int):
    fill(sqlite, author)
    assert sqlite.path is not None
    with sqlite.writing() as conn:
        for number in range(crowd):
            add_wearer(conn, f"C{number}", name=f"Crowd {number}", note=f"with {NAMES[0]}", by=author)
    # The bench is open all the while, as this is, and has the log open beside the file.
    assert {word for _name, word in traces(sqlite.path.parent)} >= {*NAMES, *CODES}
    done = erase(sqlite.path, CODES[0], now=now)
    assert done.unfinished is None
    assert traces(sqlite.path.parent) == []
    sqlite.close()
    assert traces(sqlite.path.parent) == []


def test_what_a_careless_program_left_in_the_file_goes_too(sqlite: Records, author: Author, now: datetime):
    fill(sqlite, author)
    assert sqlite.path is not None
    leave_residue(sqlite.path)
    erase(sqlite.path, CODES[0], now=now)
    assert traces(sqlite.path.parent) == []


def test_what_a_killed_restore_left_goes_too(sqlite: Records, author: Author, now: datetime):
    fill(sqlite, author)
    assert sqlite.path is not None
    left = sqlite.path.with_name(".records.sqlite3.restoring")
    left.write_text(f"half a page of {NAMES[0]}")
    erase(sqlite.path, CODES[0], now=now)
    assert traces(sqlite.path.parent) == []


def test_a_reader_in_the_way_is_told_and_the_rest_is_done_later(
    sqlite: Records, author: Author, now: datetime, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(scrubbing, "_PATIENCE_MS", 100)
    fill(sqlite, author)
    assert sqlite.path is not None
    with sqlite.reading() as conn:
        search_wearers(conn, "orla")
        done = erase(sqlite.path, CODES[0], now=now)
        assert isinstance(done.unfinished, RecordsError)
        assert "--finish" in done.unfinished.remedy
        assert traces(sqlite.path.parent) != []
    finish_erasing(sqlite.path, now=now)
    assert traces(sqlite.path.parent) == []


def test_an_erase_beside_a_bench_that_reads_and_writes_holds(sqlite: Records, author: Author, now: datetime):
    fill(sqlite, author)
    assert sqlite.path is not None
    stop, wrong = threading.Event(), []

    def work() -> None:
        number = 0
        while not stop.is_set():
            number += 1
            try:
                with sqlite.reading() as conn:
                    search_wearers(conn, "anna")
                with sqlite.writing() as conn:
                    add_wearer(conn, f"B{number}", by=author)
            except RecordsError as refused:
                wrong.append(refused)

    bench = threading.Thread(target=work)
    bench.start()
    try:
        done = erase(sqlite.path, CODES[0], now=now)
    finally:
        stop.set()
        bench.join()
    assert (done.unfinished, wrong) == (None, [])
    assert traces(sqlite.path.parent) == []


def test_copies_that_hold_the_person_are_named_and_left(sqlite: Records, author: Author, now: datetime):
    assert sqlite.path is not None
    back_up(sqlite.path, None, now=now)
    fill(sqlite, author)
    (line, *_) = back_up(sqlite.path, None, now=now)
    holding = Path(line.removeprefix("Backed up to ").removesuffix("."))
    beside = sqlite.path.with_name("records-schema-0000-20260101T000000Z.sqlite3")
    shutil.copy(holding, beside)
    spoilt = holding.with_name("spoilt.sqlite3")
    spoilt.write_bytes(holding.read_bytes()[:5000])
    before = {one: one.read_bytes() for one in (holding, beside, spoilt)}
    lines = erase(sqlite.path, CODES[0], now=now).lines
    named = [line for line in lines if line.startswith(str(sqlite.path.parent))]
    assert [line.split()[0] for line in named] == sorted(str(one) for one in (holding, beside, spoilt))
    told = {line.split()[0]: line for line in named}
    assert "cannot be looked into" in told[str(spoilt)]
    assert "still holds QX77K" in told[str(holding)]
    assert {one: one.read_bytes() for one in before} == before


def test_someone_removed_is_erased_from_the_history(
    records: Records, author: Author, now: datetime, own_data: Path
):
    filled = fill(records, author)
    with records.writing() as conn:
        remove_wearer(conn, filled.wearer, find_wearer(conn, filled.wearer).version, by=author)
        add_wearer(conn, CODES[1], name="Someone Else", by=author)
    erase(address_of(records), CODES[0], now=now)
    said = str(everything(records)).casefold()
    assert not [word for word in (*NAMES, CODES[0]) if word.casefold() in said]
    # Whoever has the old code of the erased by now is someone else.
    assert CODES[1] in [one["code"] for one in everything(records)["wearers"]]


def test_nobody_of_that_code_is_a_sentence(records: Records, now: datetime, own_data: Path):
    with pytest.raises(NotFound, match="A wearer W9"):
        erase(address_of(records), "W9", now=now)


def test_the_ledger_has_no_name_and_is_for_this_user_alone(sqlite: Records, author: Author, now: datetime):
    filled = fill(sqlite, author)
    assert sqlite.folder is not None
    erase(sqlite.folder, CODES[0], now=now)
    ledger = Ledger(sqlite.folder)
    with sqlite.reading() as conn:
        assert kept_entries(conn) == ledger.entries() == {ledger.entry_of(filled.wearer): "2026-11-25"}
    assert ledger.erased_among({filled.wearer, filled.other}, ledger.entries()) == {
        filled.wearer: "2026-11-25"
    }
    for name in (KEY_NAME, LEDGER_NAME):
        assert (sqlite.folder / name).stat().st_mode & 0o777 == 0o600
        assert filled.wearer not in (sqlite.folder / name).read_text()


def test_a_ledger_that_cannot_be_written_stops_the_erase(sqlite: Records, author: Author, now: datetime):
    filled = fill(sqlite, author)
    assert sqlite.folder is not None
    (sqlite.folder / LEDGER_NAME).write_text("spoilt\n")
    with pytest.raises(RecordsError, match="ledger of erasures cannot be read"):
        erase(sqlite.folder, CODES[0], now=now)
    with sqlite.reading() as conn:
        assert find_wearer(conn, filled.wearer).code == CODES[0]


def test_a_page_that_still_shows_an_old_text_cannot_write_it_back(
    sqlite: Records, author: Author, now: datetime
):
    filled = fill(sqlite, author)
    with sqlite.reading() as conn:
        seen = find_wearer(conn, filled.other)
    assert sqlite.folder is not None
    erase(sqlite.folder, CODES[0], now=now)
    with sqlite.writing() as conn, pytest.raises(RecordsError, match="changed this meanwhile"):
        change_wearer(conn, seen.id, seen.version, {"note": seen.note}, by=author)


@pytest.mark.postgres
def test_what_a_server_keeps_is_said(postgresql: str, author: Author, now: datetime, own_data: Path):
    records = open_records(postgresql, now=now)
    fill(records, author)
    with records.writing() as conn:
        for number in range(3):
            add_wearer(conn, f"X{number}", name=f"X{number}", note=NAMES[0], by=author)
        conn.exec_driver_sql("ANALYZE wearers")
        query = "SELECT string_agg(most_common_vals::text, ' ') FROM pg_stats"
        assert NAMES[0] in str(conn.exec_driver_sql(query).scalar())
    lines = erase(postgresql, CODES[0], now=now).lines
    assert any(
        "VACUUM FULL" in line and "write-ahead log" in line and "base backups" in line for line in lines
    )
    with records.reading() as conn:
        dead = conn.exec_driver_sql("SELECT pg_relation_size('health_answers')").scalar_one()
        noted = conn.exec_driver_sql(query).scalar()
    assert dead == 0
    assert NAMES[0] not in (noted or "")
    records.close()
