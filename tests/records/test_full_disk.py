"""A full disk: a clear sentence, nothing lost, and the next write works once there is room."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import suppress
from datetime import datetime
from pathlib import Path

import pytest
from sqlalchemy import text

from heelball.records.refused import DiskFull
from heelball.records.store import Records, open_records
from heelball.records.values import Author
from heelball.records.wearers import add_wearer, list_wearers, search_wearers


def fill(records: Records, author: Author, note: str) -> list[str]:
    """Write until there is no room; return the codes that were acknowledged."""
    acknowledged: list[str] = []
    for number in range(100_000):
        try:
            with records.writing() as conn:
                add_wearer(conn, f"W{number}", note=note, by=author)
        except DiskFull as full:
            said = f"There is no room left for the records ({records.path}); this was not written"
            told = full.lines()[0]
            assert told.startswith(said) and told.endswith("Make room there, then do it again.")  # noqa: PT018
            return acknowledged
        acknowledged.append(f"W{number}")
    raise AssertionError("the disk never filled")


def leave_no_room(ballast: Path) -> None:
    file = os.open(ballast, os.O_CREAT | os.O_WRONLY)
    with suppress(OSError):
        while os.write(file, b"\0" * 4096):
            pass
    os.close(file)


def codes(records: Records) -> set[str]:
    with records.reading() as conn:
        assert conn.execute(text("PRAGMA integrity_check")).scalars().all() == ["ok"]
        return {wearer.code for wearer in list_wearers(conn)}


def test_no_page_left(tmp_path: Path, author: Author, now: datetime):
    records = open_records(tmp_path, now=now)
    with records.writing() as conn:
        most = conn.execute(text("PRAGMA page_count")).scalar_one() + 20
        conn.execute(text(f"PRAGMA max_page_count={most}"))
    acknowledged = fill(records, author, "x" * 3000)
    assert len(acknowledged) > 2
    assert codes(records) == set(acknowledged)
    with records.writing() as conn:
        conn.execute(text("PRAGMA max_page_count=100000"))
    with records.writing() as conn:
        add_wearer(conn, "next", by=author)
    assert codes(records) == {*acknowledged, "next"}
    records.close()


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """Return a folder on a file system of 2 MB, where mounting one is allowed."""
    folder = tmp_path / "small"
    folder.mkdir()
    mount = shutil.which("mount")
    done = mount and subprocess.run(
        [mount, "-t", "tmpfs", "-o", "size=2m", "tmpfs", str(folder)], capture_output=True
    )
    if not done or done.returncode != 0:
        pytest.skip("no file system can be mounted here (needs root)")
    yield folder
    subprocess.run(["umount", str(folder)], check=True)


def test_a_small_disk(small_disk: Path, author: Author, now: datetime):
    ballast = small_disk / "ballast"
    ballast.write_bytes(b"\0" * 200_000)
    records = open_records(small_disk / "kept", now=now)
    acknowledged = fill(records, author, "x" * 3000)
    assert len(acknowledged) > 2
    assert codes(records) == set(acknowledged)
    with pytest.raises(DiskFull), records.writing() as conn:
        add_wearer(conn, "again", note="x" * 100_000, by=author)
    with records.reading() as conn:
        assert len(search_wearers(conn, "w")) > 2
    ballast.unlink()
    with records.writing() as conn:
        add_wearer(conn, "next", by=author)
    assert codes(records) == {*acknowledged, "next"}
    records.close()


def test_a_disk_with_no_room_at_all(small_disk: Path, now: datetime):
    leave_no_room(small_disk / "ballast")
    with pytest.raises(DiskFull):
        open_records(small_disk, now=now)
    (small_disk / "ballast").unlink()
    open_records(small_disk, now=now).close()


def open_and_write(place: Path, author: Author, now: datetime) -> None:
    records = open_records(place, now=now)
    try:
        with records.writing() as conn:
            add_wearer(conn, "more", note="x" * 30_000, by=author)
    finally:
        records.close()


def test_records_that_are_opened_on_a_full_disk(small_disk: Path, author: Author, now: datetime):
    records = open_records(small_disk, now=now)
    acknowledged = fill(records, author, "x" * 3000)
    records.close()
    leave_no_room(small_disk / "ballast")
    with pytest.raises(DiskFull):
        open_and_write(small_disk, author, now)
    (small_disk / "ballast").unlink()
    again = open_records(small_disk, now=now)
    assert codes(again) == set(acknowledged)
    again.close()
