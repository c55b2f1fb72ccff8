"""Backups: made while the records are written all the time, sealed, whole, and for one user alone."""

from __future__ import annotations

import shutil
import sqlite3
import stat
import subprocess
import sys
import threading
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from heelball.errors import InputError, RecordsError
from heelball.records import migrating
from heelball.records.alone import alone
from heelball.records.backup import back_up, look_over
from heelball.records.sealing import is_broken
from heelball.records.sittings import add_sitting
from heelball.records.store import open_records
from heelball.records.values import Author
from heelball.records.wearers import add_wearer
from tests.records.filling import fill

WRITER = Path(__file__).with_name("writer.py")


@pytest.fixture
def path(tmp_path: Path, empty_file: Path, author: Author, now: datetime) -> Path:
    """Return the file of filled records that are closed."""
    folder = tmp_path / "kept"
    folder.mkdir(0o700)
    shutil.copy(empty_file, folder)
    records = open_records(folder, now=now)
    fill(records, author)
    records.close()
    assert records.path is not None
    return records.path


def counted(file: Path, query: str) -> int:
    with closing(sqlite3.connect(f"{file.as_uri()}?mode=ro", uri=True)) as opened:
        return int(opened.execute(query).fetchone()[0])


def test_backups_while_another_process_writes_all_the_time(tmp_path: Path, author: Author, now: datetime):
    records = open_records(tmp_path, now=now)
    with records.writing() as conn:
        wearer = add_wearer(conn, "W1", by=author)
        add_sitting(conn, wearer.id, at=author.at, by=author)
    path = records.path
    records.close()
    assert path is not None
    command = [sys.executable, str(WRITER), "until-killed", str(tmp_path), "W1"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as writer:
        assert writer.stdout is not None
        acknowledged, found = [], []
        for number in range(5):
            acknowledged.append(int(writer.stdout.readline()))
            made = back_up(path, None, now=now + timedelta(seconds=number))
            found.append(counted(made, "SELECT count(*) FROM readings"))
            # Three readings, and what tells of each, are written together: of one moment or torn.
            assert found[-1] % 3 == 0
            assert counted(made, "SELECT count(*) FROM changes WHERE table_name = 'readings'") == found[-1]
        running = writer.poll() is None
        writer.kill()
    assert running
    assert all(kept >= told for kept, told in zip(found, acknowledged, strict=True))
    # No write need fall between two backups, but some did between the first and the last.
    assert found == sorted(found)
    assert found[-1] > found[0]


def test_a_backup_is_one_file_for_this_user_with_the_time_in_its_name(path: Path, now: datetime):
    made = back_up(path, None, now=now)
    assert made == path.parent / "backups" / "records-backup-20261125T174005Z.sqlite3"
    assert stat.S_IMODE(made.stat().st_mode) == 0o600
    assert stat.S_IMODE(made.parent.stat().st_mode) == 0o700
    assert list(made.parent.iterdir()) == [made]
    assert look_over(made, "it") == migrating.SCHEMA
    assert back_up(path, None, now=now).stem == made.stem + "-2"


def test_nothing_that_is_there_is_written_over(path: Path, now: datetime, tmp_path: Path):
    taken = tmp_path / "taken.sqlite3"
    taken.write_text("mine")
    with pytest.raises(InputError, match="there already"):
        back_up(path, taken, now=now)
    assert taken.read_text() == "mine"


def test_damaged_records_give_no_backup(path: Path, now: datetime):
    raw = bytearray(path.read_bytes())
    middle = len(raw) // 2
    raw[middle : middle + 4096] = b"\xff" * 4096
    path.write_bytes(raw)
    with pytest.raises(RecordsError):
        back_up(path, None, now=now)
    assert list((path.parent / "backups").iterdir()) == []


def test_the_seal_tells_every_flipped_bit(path: Path, now: datetime):
    made = back_up(path, None, now=now)
    whole = made.read_bytes()
    for at in range(0, len(whole), 1009):
        flipped = bytearray(whole)
        flipped[at] ^= 1 << (at % 8)
        made.write_bytes(flipped)
        assert is_broken(made), at
    made.write_bytes(whole)
    assert not is_broken(made)


def test_a_backup_waits_for_another_command(path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("heelball.records.alone.PATIENCE_S", 0.2)
    inside, done = threading.Event(), threading.Event()

    def hold() -> None:
        with alone(path.parent):
            inside.set()
            done.wait(20)

    other = threading.Thread(target=hold)
    other.start()
    inside.wait(20)
    with pytest.raises(RecordsError, match="Another command"), alone(path.parent):
        pass
    done.set()
    other.join()
    with alone(path.parent):
        pass
