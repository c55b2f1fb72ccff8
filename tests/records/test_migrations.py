"""Migrations give the very schema of the tables, keep a copy, and leave all as it was where they fail."""

from __future__ import annotations

import shutil
import sqlite3
import stat
import threading
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, create_engine, inspect, select, text

from heelball.errors import RecordsError
from heelball.records import migrating
from heelball.records.changes import list_changes_of_wearer, undo
from heelball.records.checking import flaws
from heelball.records.copying import copy_file
from heelball.records.found import rows_of
from heelball.records.readings import list_readings
from heelball.records.schema import metadata
from heelball.records.sheets import add_sheet, find_picture
from heelball.records.sittings import list_sittings
from heelball.records.store import Records, open_records
from heelball.records.values import Author
from heelball.records.wearers import add_wearer, find_by_code
from tests.records.filling import LINE, PICTURE, fill
from tests.records.older import make_older, rows_before_sheets

LATER = '''
"""A later schema, for the tests alone."""
import sqlalchemy as sa
from alembic import op

revision = "9002"
down_revision = "0002"


def upgrade():
    op.add_column("makers", sa.Column("gone", sa.Integer()))
    op.execute("UPDATE wearers SET note = 'touched'")
'''

FAILING = LATER + '    op.execute("SELECT nothing FROM nowhere")\n'


def differing(connection: Connection) -> list[Any]:
    """Return how records differ from the tables; keys on SQLite are for `keys_of` to compare.

    A key that came with an added column is not found by name there: it stands within its column.
    """

    def compared(_object: Any, _name: Any, kind: str, _reflected: bool, _other: Any) -> bool:
        return kind != "foreign_key_constraint" or connection.dialect.name != "sqlite"

    told = {"compare_type": True, "compare_server_default": True, "include_object": compared}
    return list(compare_metadata(MigrationContext.configure(connection, opts=told), metadata))


def test_migrations_from_empty_give_the_very_schema(records: Records):
    with records.reading() as conn:
        assert differing(conn) == []


def told_of(connection: Connection) -> dict[str, Any]:
    """Return what a comparison of metadata leaves out: checks, and what happens to rows that name a row."""
    look = inspect(connection)
    return {
        table.name: (
            sorted((check["name"], check["sqltext"]) for check in look.get_check_constraints(table.name)),
            keys_of(connection, table.name),
            look.get_pk_constraint(table.name)["name"],
        )
        for table in metadata.sorted_tables
    }


def keys_of(connection: Connection, table: str) -> list[tuple[str, ...]]:
    """Return which columns name rows of which table, and what happens where those go."""
    if connection.dialect.name == "sqlite":
        found = connection.exec_driver_sql(f"PRAGMA foreign_key_list({table})").mappings()
        return sorted((one["from"], one["table"], one["to"], one["on_delete"]) for one in found)
    keys = inspect(connection).get_foreign_keys(table)
    return sorted((str(one["name"]), one["options"]["ondelete"]) for one in keys)


def test_checks_and_keys_are_those_of_the_tables(
    records: Records, request: pytest.FixtureRequest, tmp_path: Path
):
    if records.path is None:
        server: Any = request.getfixturevalue("postgresql_server")
        address = server.new_address().replace("://", "+psycopg://")
    else:
        address = f"sqlite:///{tmp_path / 'made'}"
    engine = create_engine(address)
    with engine.begin() as made:
        metadata.create_all(made)
        wanted = told_of(made)
    engine.dispose()
    with records.reading() as conn:
        assert told_of(conn) == wanted
    assert sum(len(checks) for checks, _, _ in wanted.values()) == 5


def test_the_schema_of_the_program_is_the_last_migration():
    assert ScriptDirectory(str(migrating.FOLDER)).get_heads() == [migrating.SCHEMA]


@pytest.fixture
def later(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    """Return a function that gives the program a later schema."""

    def give(revision: str) -> None:
        folder = tmp_path / "migrations"
        shutil.copytree(migrating.FOLDER, folder)
        (folder / "versions" / "schema_9002.py").write_text(revision)
        monkeypatch.setattr(migrating, "FOLDER", folder)
        monkeypatch.setattr(migrating, "SCHEMA", "9002")

    return give


def the_wearer(records: Records) -> str:
    with records.reading() as conn:
        kept = find_by_code(conn, "W1")
        assert kept is not None
        return kept.note


@pytest.fixture
def kept(records: Records, author: Author) -> Records:
    """Return records with a wearer in them."""
    with records.writing() as conn:
        add_wearer(conn, "W1", note="as it was", by=author)
    return records


def test_an_older_schema_is_copied_and_then_migrated(kept: Records, later: Any, now: datetime):
    kept.close()
    later(LATER)
    migrated = open_records(kept.address, now=now)
    try:
        assert the_wearer(migrated) == "touched"
        with migrated.reading() as conn:
            assert migrating.kept_schema(conn, "") == "9002"
        backup = migrated.backup
    finally:
        drop_later(migrated)
        migrated.close()
    if kept.folder is None:
        # A server's backups are its own affair.
        assert backup is None
        return
    assert backup == kept.folder / "records-schema-0002-20261125T174005Z.sqlite3"
    assert stat.S_IMODE(backup.stat().st_mode) == 0o600
    assert sorted(file.name for file in kept.folder.iterdir()) == [backup.name, "records.sqlite3"]
    with closing(sqlite3.connect(backup)) as raw:
        assert raw.execute("SELECT note FROM wearers").fetchall() == [("as it was",)]
        assert raw.execute("SELECT version_num FROM alembic_version").fetchall() == [("0002",)]
        assert raw.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


def drop_later(records: Records) -> None:
    """Take the later schema off the server's database, which other tests use."""
    if records.path is None:
        with records.writing() as conn:
            conn.execute(text("ALTER TABLE makers DROP COLUMN gone"))
            conn.execute(text("UPDATE alembic_version SET version_num = '0002'"))


def test_filled_records_from_before_sheets_come_up_with_all_that_is_in_them(
    records: Records, author: Author, now: datetime, tmp_path: Path, request: pytest.FixtureRequest
):
    filled = fill(records, author)
    rows = rows_before_sheets(records)
    address = str(tmp_path / "older.sqlite3")
    engine = create_engine(f"sqlite:///{address}")
    if records.path is None:
        server: Any = request.getfixturevalue("postgresql_server")
        address = server.new_address()
        engine = create_engine(address.replace("://", "+psycopg://"))
    make_older(engine, rows)
    engine.dispose()
    migrated = open_records(address, create=False, now=now)
    try:
        with migrated.reading() as conn:
            assert differing(conn) == []
            kept = {table.name: rows_of(conn, select(table)) for table in metadata.sorted_tables}
            assert list(flaws(conn)) == []
        assert kept.pop("sheets") == []
        assert [row.pop("sheet_id") for row in kept["readings"]] == [None] * 10
        assert {name: sorted(found, key=str) for name, found in kept.items()} == {
            name: sorted(found, key=str) for name, found in rows.items()
        }
        # What was done before can be taken back still, and a sheet be kept.
        with migrated.writing() as conn:
            (last, *_) = list_changes_of_wearer(conn, filled.other)
            undo(conn, last.id, by=author)
            assert list_readings(conn, filled.other)[-1].withdrawn_at is not None
            (sitting,) = list_sittings(conn, filled.wearer)
            sheet = add_sheet(conn, sitting.id, "left", LINE, agreed=True, picture=PICTURE, by=author)
            assert find_picture(conn, sheet.id) == PICTURE
    finally:
        migrated.close()


def test_opening_records_of_this_schema_makes_no_copy(kept: Records, now: datetime):
    again = open_records(kept.address, now=now)
    assert again.backup is None
    again.close()


def test_a_migration_that_fails_leaves_all_as_it_was(
    kept: Records, later: Any, now: datetime, monkeypatch: pytest.MonkeyPatch
):
    kept.close()
    with monkeypatch.context():
        later(FAILING)
        with pytest.raises(RecordsError):
            open_records(kept.address, now=now)
    monkeypatch.undo()
    again = open_records(kept.address, now=now)
    assert the_wearer(again) == "as it was"
    with again.reading() as conn:
        assert differing(conn) == []
        assert migrating.kept_schema(conn, "") == "0002"
    again.close()
    if kept.folder is not None:
        assert [file.name for file in kept.folder.iterdir()] == ["records.sqlite3"]


def test_without_the_copy_nothing_is_migrated(
    tmp_path: Path, later: Any, author: Author, now: datetime, monkeypatch: pytest.MonkeyPatch
):
    records = open_records(tmp_path / "kept", now=now)
    with records.writing() as conn:
        add_wearer(conn, "W1", note="as it was", by=author)
    records.close()
    # The copy's name is taken.
    taken = tmp_path / "kept" / "records-schema-0002-20261125T174005Z.sqlite3"
    taken.write_text("mine")
    later(LATER)
    with pytest.raises(RecordsError, match=r"The copy .* cannot be made: file exists"):
        open_records(tmp_path / "kept", now=now)
    monkeypatch.undo()
    again = open_records(tmp_path / "kept", now=now)
    assert the_wearer(again) == "as it was"
    again.close()
    assert taken.read_text() == "mine"


def test_a_newer_schema_is_refused_and_left_alone(kept: Records, now: datetime):
    with kept.writing() as conn:
        conn.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    try:
        with pytest.raises(RecordsError, match="have schema 9999; this Heelball knows schemas up to") as told:
            open_records(kept.address, now=now)
        assert "newer Heelball" in told.value.remedy
        assert the_wearer(kept) == "as it was"
    finally:
        with kept.writing() as conn:
            conn.execute(text("UPDATE alembic_version SET version_num = '0002'"))


def test_two_benches_may_start_at_once(tmp_path: Path, now: datetime):
    for number in range(5):
        failed: list[BaseException] = []
        gate = threading.Barrier(3)

        def start(where: Path, gate: threading.Barrier, failed: list[BaseException]) -> None:
            gate.wait(10)
            try:
                open_records(where, now=now).close()
            except BaseException as wrong:
                failed.append(wrong)

        threads = [
            threading.Thread(target=start, args=(tmp_path / str(number), gate, failed)) for _ in range(3)
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert failed == []


def test_a_copy_is_of_what_was_last_committed(tmp_path: Path, author: Author, now: datetime):
    records = open_records(tmp_path / "kept", now=now)
    assert records.path is not None
    with records.writing() as conn:
        add_wearer(conn, "W1", by=author)
    with records.writing() as conn:
        add_wearer(conn, "W2", by=author)
        copy = copy_file(records.path, tmp_path / "copy.sqlite3")
    records.close()
    assert stat.S_IMODE(copy.stat().st_mode) == 0o600
    opened = open_records(copy, create=False, now=now)
    with opened.reading() as conn:
        assert find_by_code(conn, "W1") is not None
        assert find_by_code(conn, "W2") is None
    opened.close()
