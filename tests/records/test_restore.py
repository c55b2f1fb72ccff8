"""Restore: damaged files are refused, the swap is whole, nothing old is played back, nobody comes back."""

from __future__ import annotations

import random
import shutil
import sqlite3
import stat
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import create_engine

from heelball.errors import RecordsError
from heelball.records import migrating, restore
from heelball.records.alone import without_bench
from heelball.records.backup import back_up, unsound
from heelball.records.ledger import KEY_NAME, LEDGER_NAME
from heelball.records.placing import part_of
from heelball.records.running import bench_lock
from heelball.records.store import open_records
from heelball.records.values import Author
from heelball.records.wearers import add_wearer, list_wearers
from heelball.work.records_erase import erase
from heelball.work.records_export import export
from heelball.work.records_import import bring_in
from tests.records.filling import CODES, NAMES, fill, leave_residue
from tests.records.older import make_older, rows_before_sheets

RESTORER = Path(__file__).with_name("restorer.py")


@pytest.fixture
def path(tmp_path: Path, empty_file: Path, author: Author, now: datetime) -> Path:
    """Return the file of records whose backup lacks a wearer that has come since."""
    folder = tmp_path / "kept"
    folder.mkdir(0o700)
    shutil.copy(empty_file, folder)
    records = open_records(folder, now=now)
    fill(records, author)
    records.close()
    assert records.path is not None
    return records.path


@pytest.fixture
def backup(path: Path, author: Author, now: datetime, tmp_path: Path) -> Path:
    """Return a backup after which another wearer came."""
    made = back_up(path, tmp_path / "old.sqlite3", now=now)
    come(path, "LATE", author, now)
    return made


def come(path: Path, code: str, by: Author, now: datetime) -> None:
    records = open_records(path, now=now)
    with records.writing() as conn:
        add_wearer(conn, code, by=by)
    records.close()


def codes(path: Path, now: datetime) -> list[str]:
    with closing(sqlite3.connect(path)) as file:
        assert unsound(file) == []
    records = open_records(path, create=False, now=now)
    with records.reading() as conn:
        found = sorted(wearer.code for wearer in list_wearers(conn))
    records.close()
    return found


#: In every run each so many-th call into the system is where the restore dies; by hand, each.
FEW = 8

OLD = sorted([CODES[0], "W2"])
NEW = sorted([*OLD, "LATE"])


def test_a_backup_takes_the_place_and_what_was_there_is_put_aside(path: Path, backup: Path, now: datetime):
    whole = backup.read_bytes()
    done = restore.restore(path, backup, now=now)
    assert codes(path, now) == OLD
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert done.aside is not None
    assert codes(Path(shutil.copy(done.aside, path.parent.parent / "aside.sqlite3")), now) == NEW
    assert (done.erased_again, done.migrated_copy) == (0, None)
    assert backup.read_bytes() == whole
    assert not part_of(path, "restoring").exists()


def test_nobody_is_logged_in_after_a_restore(path: Path, backup: Path, now: datetime):
    query = "SELECT count(*) FROM sessions"
    for file, kept in ((path, 2), (backup, 2)):
        with closing(sqlite3.connect(file)) as opened:
            assert opened.execute(query).fetchone() == (kept,)
    restore.restore(path, backup, now=now)
    with closing(sqlite3.connect(path)) as opened:
        assert opened.execute(query).fetchone() == (0,)


def test_a_folder_that_is_not_ones_own_is_a_sentence(path: Path, backup: Path, now: datetime, tmp_path: Path):
    (tmp_path / "file").write_text("")
    with pytest.raises(RecordsError, match="cannot be"):
        restore.restore(tmp_path / "file" / "records.sqlite3", backup, now=now)


def test_records_that_were_not_there_are_put_there(tmp_path: Path, backup: Path, now: datetime):
    fresh = tmp_path / "fresh" / "records.sqlite3"
    assert restore.restore(fresh, backup, now=now).aside is None
    assert codes(fresh, now) == OLD


def cut(to: float) -> Callable[[bytes], bytes]:
    return lambda whole: whole[: int(len(whole) * to)]


def without_seal(whole: bytes) -> bytes:
    return whole[:60] + bytes(4) + whole[64:]


def torn(whole: bytes) -> bytes:
    """Return the bytes without a seal and with one page written over by another."""
    bare = without_seal(whole)
    return bare[: 4096 * 3] + bare[4096:8192] + bare[4096 * 4 :]


@pytest.mark.parametrize(
    "spoilt",
    [
        cut(0),
        cut(0.0003),
        cut(0.5),
        cut(0.999),
        lambda whole: without_seal(whole)[:-4096],
        torn,
        lambda whole: b"Dear Northmoor,\n" + whole,
        lambda whole: whole + b"\0",
    ],
)
def test_a_damaged_file_is_refused_and_nothing_changes(
    path: Path, backup: Path, now: datetime, spoilt: Callable[[bytes], bytes]
):
    backup.write_bytes(spoilt(backup.read_bytes()))
    refuses(path, backup, now)


def test_every_flipped_bit_is_refused(path: Path, backup: Path, now: datetime):
    whole = backup.read_bytes()
    chance = random.Random(20240229)
    for _ in range(25):
        flipped = bytearray(whole)
        flipped[chance.randrange(len(whole))] ^= 1 << chance.randrange(8)
        backup.write_bytes(flipped)
        with pytest.raises(RecordsError):
            restore.restore(path, backup, now=now)
    assert codes(path, now) == NEW


def test_another_database_is_refused(path: Path, now: datetime, tmp_path: Path):
    other = tmp_path / "other.sqlite3"
    with closing(sqlite3.connect(other)) as file:
        file.execute("CREATE TABLE wearers (id TEXT)").close()
        file.commit()
    with pytest.raises(RecordsError, match="no records of Heelball"):
        restore.restore(path, other, now=now)
    assert len(codes(path, now)) == 2


def test_a_newer_schema_is_refused(path: Path, backup: Path, now: datetime):
    backup.write_bytes(without_seal(backup.read_bytes()))
    with closing(sqlite3.connect(backup)) as file:
        file.execute("UPDATE alembic_version SET version_num = '0999'").close()
        file.commit()
    with pytest.raises(RecordsError, match="schema 0999"):
        restore.restore(path, backup, now=now)
    assert codes(path, now) == NEW


def refuses(path: Path, backup: Path, now: datetime) -> None:
    before = path.read_bytes()
    with pytest.raises(RecordsError):
        restore.restore(path, backup, now=now)
    assert path.read_bytes() == before
    assert not part_of(path, "restoring").exists()
    assert codes(path, now) == NEW


def test_a_running_bench_is_not_pulled_away(path: Path, backup: Path, now: datetime):
    with bench_lock(path.parent), pytest.raises(RecordsError, match="bench is running"):
        restore.restore(path, backup, now=now)
    assert codes(path, now) == NEW
    with without_bench(path.parent):
        pass


def test_records_that_are_in_use_are_not_pulled_away(
    path: Path, backup: Path, now: datetime, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(restore, "_PATIENCE_S", 0.1)
    records = open_records(path, now=now)
    with records.reading() as conn:
        assert len(list_wearers(conn)) == 3
        with pytest.raises(RecordsError, match="in use"):
            restore.restore(path, backup, now=now)
    records.close()
    assert codes(path, now) == NEW


def test_no_log_of_the_old_records_is_played_back(path: Path, backup: Path, author: Author, now: datetime):
    # As a killed bench leaves it: committed, and still in the log alone.
    records = open_records(path, now=now)
    with records.writing() as conn:
        add_wearer(conn, "INLOG", by=author)
    log = path.with_name(path.name + "-wal")
    kept = [(one, one.read_bytes()) for one in (path, log)]
    records.close()
    for one, raw in kept:
        one.write_bytes(raw)
    assert b"INLOG" in log.read_bytes()
    done = restore.restore(path, backup, now=now)
    assert codes(path, now) == OLD
    assert done.aside is not None
    assert codes(Path(shutil.copy(done.aside, path.parent.parent / "aside.sqlite3")), now) == sorted(
        [*NEW, "INLOG"]
    )


@pytest.mark.parametrize("rubbish", [b"no database at all" * 300, None])
def test_damaged_records_are_laid_aside_byte_by_byte(
    path: Path, backup: Path, now: datetime, rubbish: bytes | None
):
    raw = bytearray(path.read_bytes())
    raw[4096 * 2 : 4096 * 9] = b"\xa5" * 4096 * 7
    path.write_bytes(rubbish or raw)
    path.with_name(path.name + "-wal").write_bytes(b"stray")
    done = restore.restore(path, backup, now=now)
    assert done.aside is not None
    assert "damaged" in done.aside.name
    # But for what SQLite itself writes into the header of a file that it opens.
    assert done.aside.read_bytes()[100:] == (rubbish or bytes(raw))[100:]
    assert codes(path, now) == OLD


def test_a_copy_made_by_hand_comes_with_its_log(path: Path, author: Author, now: datetime, tmp_path: Path):
    records = open_records(path, now=now)
    with records.writing() as conn:
        add_wearer(conn, "INLOG", by=author)
    for ending in ("", "-wal"):
        shutil.copy(path.with_name(path.name + ending), tmp_path / f"hand.sqlite3{ending}")
    records.close()
    come(path, "LATE", author, now)
    restore.restore(path, tmp_path / "hand.sqlite3", now=now)
    assert "INLOG" in codes(path, now)
    assert "LATE" not in codes(path, now)


def test_whoever_was_erased_stays_erased(path: Path, backup: Path, now: datetime):
    erase(path, CODES[0], now=now)
    done = restore.restore(path, backup, now=now)
    assert done.erased_again == 1
    assert codes(path, now) == ["W2"]
    said = b"".join(one.read_bytes() for one in path.parent.rglob("*") if one.is_file())
    for word in (*NAMES, *CODES):
        assert word.encode() not in said
    # Even where the ledger is only in one of its two places, and after another restore.
    (path.parent / LEDGER_NAME).unlink()
    assert restore.restore(path, backup, now=now + timedelta(seconds=1)).erased_again == 1
    (path.parent / LEDGER_NAME).write_text("")
    assert codes(path, now) == ["W2"]


def test_no_byte_of_the_erased_comes_back_in_unused_space(path: Path, now: datetime, tmp_path: Path):
    leave_residue(path)
    backup = back_up(path, tmp_path / "old.sqlite3", now=now)
    erase(path, CODES[0], now=now)
    restore.restore(path, backup, now=now)
    said = path.read_bytes()
    assert not [word for word in (*NAMES, *CODES) if word.encode() in said]


def test_the_ledger_beside_the_records_is_enough(path: Path, backup: Path, now: datetime):
    erase(path, CODES[0], now=now)
    path.unlink()
    assert restore.restore(path, backup, now=now).erased_again == 1
    assert codes(path, now) == ["W2"]


def test_without_the_key_nothing_is_put_back(path: Path, backup: Path, now: datetime):
    erase(path, CODES[0], now=now)
    (path.parent / KEY_NAME).unlink()
    with pytest.raises(RecordsError, match="key of the ledger"):
        restore.restore(path, backup, now=now)


def test_a_backup_is_put_back_on_a_new_machine_without_the_key(path: Path, now: datetime, tmp_path: Path):
    erase(path, CODES[0], now=now)
    later = back_up(path, tmp_path / "later.sqlite3", now=now)
    fresh = tmp_path / "fresh" / "records.sqlite3"
    assert restore.restore(fresh, later, now=now).erased_again == 0
    assert codes(fresh, now) == ["W2"]
    export(fresh, tmp_path / "out.toml", now=now)
    assert any("key of the ledger" in line for line in bring_in(fresh, [tmp_path / "out.toml"], now=now))


def test_an_older_schema_is_migrated_with_its_copy(
    path: Path, backup: Path, now: datetime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    folder = tmp_path / "migrations"
    shutil.copytree(migrating.FOLDER, folder)
    (folder / "versions" / "schema_9002.py").write_text(
        'from alembic import op\nimport sqlalchemy as sa\nrevision = "9002"\ndown_revision = "0002"\n'
        'def upgrade():\n    op.add_column("makers", sa.Column("gone", sa.Integer()))\n'
    )
    monkeypatch.setattr(migrating, "FOLDER", folder)
    monkeypatch.setattr(migrating, "SCHEMA", "9002")
    done = restore.restore(path, backup, now=now)
    assert done.migrated_copy is not None
    assert done.migrated_copy.is_file()
    with closing(sqlite3.connect(path)) as file:
        assert file.execute("SELECT version_num FROM alembic_version").fetchone() == ("9002",)


def test_who_was_erased_does_not_come_back_with_a_backup_from_before_sheets(
    path: Path, now: datetime, tmp_path: Path
):
    records = open_records(path, now=now)
    rows = rows_before_sheets(records)
    records.close()
    engine = create_engine(f"sqlite:///{tmp_path / 'older.sqlite3'}")
    make_older(engine, rows)
    engine.dispose()
    erase(path, CODES[0], now=now)
    done = restore.restore(path, tmp_path / "older.sqlite3", now=now)
    assert (done.erased_again, done.migrated_copy is not None) == (1, True)
    assert codes(path, now) == ["W2"]


@pytest.mark.parametrize("every", [FEW, pytest.param(1, marks=pytest.mark.slow)])
def test_a_kill_at_any_moment_leaves_the_old_or_the_new(
    path: Path, backup: Path, author: Author, now: datetime, every: int
):
    erase(path, CODES[0], now=now)
    # As a killed bench leaves the records: the last write stands in the log alone.
    records = open_records(path, now=now)
    with records.writing() as conn:
        add_wearer(conn, "INLOG", by=author)
    kept = path.parent.with_name("before")
    shutil.copytree(path.parent, kept)
    records.close()
    old, new = ("INLOG", "LATE", "W2"), ("W2",)

    def as_it_was() -> None:
        shutil.rmtree(path.parent)
        shutil.copytree(kept, path.parent)

    as_it_was()
    calls = int(killed("restore", path, backup, 10**6).stdout)
    seen = set()
    for at in sorted({*range(1, calls, every), calls}):
        as_it_was()
        assert killed("restore", path, backup, at).returncode == -9, at
        found = tuple(codes(path, now))
        assert found in {old, new}, at
        seen.add(found)
    assert seen == {old, new}
    as_it_was()
    # What a kill left is in nobody's way.
    assert killed("restore", path, backup, calls - 1).returncode == -9
    restore.restore(path, backup, now=now)
    assert tuple(codes(path, now)) == new


def killed(task: str, path: Path, file: Path, at: int) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, str(RESTORER), task, str(path), str(file), str(at)]
    return subprocess.run(command, capture_output=True, text=True, timeout=60)
