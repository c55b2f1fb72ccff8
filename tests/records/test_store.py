"""Opening records, the promises each connection makes, and every refusal as a sentence."""

from __future__ import annotations

import re
import sqlite3
import sys
import threading
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text

from heelball.errors import HeelballError, MissingExtra, RecordsError, UsageError
from heelball.records import connecting
from heelball.records.makers import add_maker
from heelball.records.store import Records, open_records
from heelball.records.values import Author
from heelball.records.wearers import add_wearer, count_wearers, find_by_code


def count(records: Records) -> int:
    with records.reading() as conn:
        return count_wearers(conn)


def test_what_is_written_is_there_when_opened_again(records: Records, author: Author, now: datetime):
    with records.writing() as conn:
        kept = add_wearer(conn, "W1", by=author)
    again = open_records(records.address, create=False, now=now)
    with again.reading() as conn:
        assert find_by_code(conn, "W1") == kept
    again.close()


def test_an_exception_leaves_nothing_written(records: Records, author: Author):
    with suppress(ZeroDivisionError), records.writing() as conn:
        add_wearer(conn, "W1", by=author)
        raise ZeroDivisionError
    assert count(records) == 0


def test_nothing_can_be_written_while_reading(records: Records, author: Author):
    with pytest.raises(RecordsError, match="can be read but not written"), records.reading() as conn:
        add_wearer(conn, "W1", by=author)
    assert count(records) == 0
    with records.writing() as conn:
        add_wearer(conn, "W1", by=author)
    assert count(records) == 1


def test_a_reading_is_of_one_moment(records: Records, author: Author):
    with records.reading() as conn:
        assert count_wearers(conn) == 0
        with records.writing() as other:
            add_wearer(other, "W1", by=author)
        assert count_wearers(conn) == 0
    assert count(records) == 1


@pytest.mark.parametrize("apart", [False, True], ids=["one bench", "two benches"])
def test_writers_take_turns(records: Records, author: Author, now: datetime, apart: bool):
    """What a writer looks at before it writes still holds when it writes."""
    held = threading.Event()
    told: list[int] = []
    other = open_records(records.address, now=now) if apart else records

    def second() -> None:
        held.wait(10)
        with other.writing() as conn:
            told.append(count_wearers(conn))

    thread = threading.Thread(target=second)
    thread.start()
    with records.writing() as conn:
        held.set()
        thread.join(0.3)
        assert told == []
        add_wearer(conn, "W1", by=author)
    thread.join(10)
    assert told == [1]
    other.close()


@pytest.mark.parametrize("apart", [False, True], ids=["one bench", "two benches"])
def test_a_write_that_waits_too_long_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, now: datetime, apart: bool
):
    monkeypatch.setattr(connecting, "PATIENCE_MS", 50)
    records = open_records(tmp_path, now=now)
    other = open_records(tmp_path, now=now) if apart else records
    with records.writing(), pytest.raises(RecordsError) as told, other.writing():
        pass
    assert re.search(r"The records are busy with another write .* Wait a moment", told.value.lines()[0])
    with other.writing():
        pass
    records.close()
    other.close()


def test_sqlite_promises_to_keep_what_it_is_given(tmp_path: Path, now: datetime):
    records = open_records(tmp_path, now=now)
    for context in (records.reading, records.writing):
        with context() as conn:
            assert {
                name: conn.execute(text(f"PRAGMA {name}")).scalar_one()
                for name in ("journal_mode", "synchronous", "secure_delete", "foreign_keys", "busy_timeout")
            } == {
                "journal_mode": "wal",
                "synchronous": 2,
                "secure_delete": 1,
                "foreign_keys": 1,
                "busy_timeout": 5000,
            }
    records.close()


def test_an_sqlite_that_does_not_promise_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, now: datetime
):
    monkeypatch.setattr(connecting, "_FULL", 3)
    with pytest.raises(RecordsError, match="does not promise to keep"):
        open_records(tmp_path, now=now)


@pytest.mark.postgres
def test_postgresql_commits_to_the_disk_however_it_is_set_up(postgresql: str, now: datetime):
    records = open_records(postgresql + "&options=-csynchronous_commit%3Doff", now=now)
    with records.reading() as conn:
        assert conn.execute(text("SHOW synchronous_commit")).scalar_one() == "off"
    with records.writing() as conn:
        assert conn.execute(text("SHOW synchronous_commit")).scalar_one() == "on"
    records.close()


def test_no_records_are_made_where_none_are_wanted(tmp_path: Path, now: datetime):
    with pytest.raises(RecordsError, match="There are no records at"):
        open_records(tmp_path / "none", create=False, now=now)
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "records.sqlite3").touch()
    with pytest.raises(RecordsError, match="There are no records at"):
        open_records(tmp_path, create=False, now=now)


def test_a_file_of_something_else_is_refused_and_left_alone(tmp_path: Path, now: datetime):
    path = tmp_path / "notes.db"
    path.write_text("Not a database, but long enough to be taken for a header of one." * 40)
    before = path.read_bytes()
    with pytest.raises(RecordsError, match=r"This file holds no records \(.*notes.db\)"):
        open_records(path, now=now)
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    "statement", ["CREATE TABLE birds (name TEXT)", "CREATE TABLE alembic_version (version_num TEXT)"]
)
def test_a_database_of_something_else_is_refused(tmp_path: Path, now: datetime, statement: str):
    path = tmp_path / "birds.db"
    with sqlite3.connect(path) as raw:
        raw.execute(statement)
    raw.close()
    with pytest.raises(RecordsError, match=r"birds.db is not Heelball's"):
        open_records(path, now=now)


def test_damaged_records_are_refused(tmp_path: Path, author: Author, now: datetime):
    records = open_records(tmp_path, now=now)
    with records.writing() as conn:
        for number in range(300):
            add_wearer(conn, f"W{number}", note="x" * 200, by=author)
    records.close()
    path = tmp_path / "records.sqlite3"
    whole = bytearray(path.read_bytes())
    # The schema still reads; the heads of some pages in the middle are spoiled.
    for start in range(4096 * 40, 4096 * 50, 4096):
        whole[start : start + 200] = b"\xff" * 200
    path.write_bytes(whole)
    with pytest.raises(RecordsError, match=r"The records are damaged") as told:
        open_records(path, now=now)
    assert "heelball records restore" in told.value.remedy


@pytest.mark.postgres
def test_a_database_with_other_tables_is_refused(postgresql_server: Any, now: datetime):
    address = postgresql_server.new_address()
    records = open_records(address, now=now)
    with records.writing() as conn:
        conn.execute(text("DROP TABLE alembic_version"))
    records.close()
    with pytest.raises(RecordsError, match="is not Heelball's"):
        open_records(address, now=now)


@pytest.mark.postgres
def test_an_empty_database_holds_no_records(postgresql_server: Any, now: datetime):
    with pytest.raises(RecordsError, match="There are no records at"):
        open_records(postgresql_server.new_address(), create=False, now=now)


@pytest.mark.postgres
@pytest.mark.parametrize(
    ("change", "told"),
    [
        (("/records_", "/nowhere_"), "There is no such database on the server"),
        (("fitter@", "stranger:hush@"), "The records' server refuses this user"),
        (("host=", "host=/nowhere"), "The records' server cannot be reached"),
    ],
)
def test_a_server_that_does_not_answer_is_told_without_the_password(
    postgresql: str, now: datetime, change: tuple[str, str], told: str
):
    with pytest.raises(RecordsError, match=told) as refused:
        open_records(postgresql.replace(*change), now=now)
    assert "hush" not in "".join(refused.value.lines())


@pytest.mark.postgres
def test_records_work_again_after_the_server_has_hung_up(postgresql: str, author: Author, now: datetime):
    records = open_records(postgresql, now=now)
    hang_up = text("SELECT pg_terminate_backend(pg_backend_pid())")
    with pytest.raises(RecordsError, match=r"server is stopping"), records.writing() as conn:
        conn.execute(hang_up)
    with records.writing() as conn:
        add_wearer(conn, "W1", by=author)
    assert count(records) == 1
    records.close()


def test_without_its_driver_postgresql_says_what_to_install(monkeypatch: pytest.MonkeyPatch, now: datetime):
    monkeypatch.setitem(sys.modules, "psycopg", None)
    with pytest.raises(MissingExtra, match="psycopg is not installed") as missing:
        open_records("postgresql://a@b/c", now=now)
    assert "heelball[postgres]" in missing.value.remedy


def test_an_address_that_cannot_be_read_is_told(now: datetime):
    with pytest.raises(UsageError, match="The address of the records cannot be read"):
        open_records("postgresql://a@b:port/c", now=now)


def test_two_of_one_name_are_told_in_words(records: Records, author: Author):
    def add(name: str) -> None:
        with records.writing() as conn:
            conn.execute(text("INSERT INTO settings (name, value) VALUES (:name, 'null')"), {"name": name})

    add("a")
    with pytest.raises(RecordsError, match="have another of that name or code"):
        add("a")


def test_what_others_name_stays(records: Records, author: Author):
    with records.writing() as conn:
        maker = add_maker(conn, "Northmoor", by=author)
        conn.execute(
            text(
                "INSERT INTO lasts (id, version, maker_id, code, label_scale, width_scale, stiffness, toe,"
                " closing, note, retired) VALUES ('l', 1, :maker, 'N7', 'uk', 'uk', 'stiff', 'round', 'lace',"
                " '', FALSE)"
            ),
            {"maker": maker.id},
        )
    with (
        pytest.raises(HeelballError, match="Other things in the records name this one"),
        records.writing() as conn,
    ):
        conn.execute(text("DELETE FROM makers"))


def test_no_value_of_a_persons_stands_in_a_message(records: Records, author: Author):
    """Neither in what a person reads nor in what a log would show of the error below it."""
    statement = text("INSERT INTO nowhere (note) VALUES (:note)")
    with pytest.raises(RecordsError) as told, records.writing() as conn:
        conn.execute(statement, {"note": "gangrene"})
    below: BaseException | None = told.value
    while below is not None:
        assert "gangrene" not in str(below)
        below = below.__cause__
