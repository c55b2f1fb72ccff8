"""Where records are kept, who may read them, and what is said of a network share."""

from __future__ import annotations

import errno
import os
import stat
from datetime import datetime
from pathlib import Path

import pytest

from heelball.errors import RecordsError, UsageError
from heelball.records.copying import copy_file
from heelball.records.store import open_records
from heelball.records.values import Author
from heelball.records.wearers import add_wearer
from heelball.records.where import network_warning, place_of

MOUNTS = """\
22 1 8:1 / / rw,relatime shared:1 - ext4 /dev/sda1 rw
30 22 0:40 / /shop rw,relatime - nfs4 server:/shop rw
31 30 8:2 / /shop/own rw,relatime - ext4 /dev/sdb1 rw
32 22 0:41 / /two\\040words rw,relatime shared:9 master:2 - cifs //server/two rw
33 22 0:42 / /covered rw - nfs server:/old rw
34 22 8:3 / /covered rw - xfs /dev/sdc1 rw
a line of something else
"""


@pytest.mark.parametrize(
    ("path", "warned"),
    [
        ("/srv/a/records.sqlite3", ""),
        ("/shop/records.sqlite3", "nfs4 at /shop"),
        ("/shop/deep/er/records.sqlite3", "nfs4 at /shop"),
        ("/shopping/records.sqlite3", ""),
        ("/shop/own/records.sqlite3", ""),
        ("/two words/records.sqlite3", "cifs at /two words"),
        ("/covered/records.sqlite3", ""),
    ],
)
def test_a_network_share_is_warned_of(tmp_path: Path, path: str, warned: str):
    mounts = tmp_path / "mountinfo"
    mounts.write_text(MOUNTS)
    said = network_warning(Path(path), mounts)
    assert warned in said
    assert bool(said) == bool(warned)


def test_nothing_is_known_where_the_mounts_cannot_be_read(tmp_path: Path):
    assert network_warning(Path("/shop/records.sqlite3"), tmp_path / "none") == ""


def test_a_warning_is_given_back_when_records_are_opened(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, now: datetime
):
    with_share = tmp_path / "mountinfo"
    with_share.write_text(f"30 22 0:40 / {tmp_path} rw - smb3 server:/shop rw\n")
    monkeypatch.setattr(network_warning, "__defaults__", (with_share,))
    records = open_records(tmp_path / "kept", now=now)
    records.close()
    assert records.warning.startswith(f"The records are on a network share (smb3 at {tmp_path})")


def test_the_default_is_the_users_data_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("HEELBALL_DATA", str(tmp_path / "named"))
    assert place_of(None).path == place_of("").path == tmp_path / "named" / "records.sqlite3"
    monkeypatch.delenv("HEELBALL_DATA")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "share"))
    assert place_of(None).path == tmp_path / "share" / "heelball" / "records.sqlite3"


def test_a_path_is_a_folder_or_a_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "there.db").mkdir()
    (tmp_path / "odd").touch()
    assert place_of(tmp_path).path == tmp_path / "records.sqlite3"
    assert place_of("new").path == tmp_path / "new" / "records.sqlite3"
    assert place_of("new.2026").path == tmp_path / "new.2026" / "records.sqlite3"
    assert place_of("there.db").path == tmp_path / "there.db" / "records.sqlite3"
    assert place_of("new.db/").path == tmp_path / "new.db" / "records.sqlite3"
    assert place_of("shop.sqlite3").path == tmp_path / "shop.sqlite3"
    assert place_of("odd").path == tmp_path / "odd"


def test_an_address_is_postgresqls():
    for written in (
        "postgresql://a:b@c/d",
        "postgres://a:b@c/d",
        "POSTGRESQL://a:b@c/d",
        "postgresql+psycopg://a:b@c/d",
    ):
        place = place_of(written)
        assert (place.path, place.url) == (None, "postgresql+psycopg://a:b@c/d")
    with pytest.raises(UsageError, match="starts with mysql://"):
        place_of("mysql://a/b")


@pytest.mark.parametrize("umask", [0o022, 0o000])
def test_files_and_folders_are_the_users_alone(tmp_path: Path, umask: int, author: Author, now: datetime):
    before = os.umask(umask)
    try:
        records = open_records(tmp_path / "one" / "two", now=now)
        with records.writing() as conn:
            add_wearer(conn, "W1", by=author)
        modes = {
            file.name: stat.S_IMODE(file.stat().st_mode) for file in (tmp_path / "one" / "two").iterdir()
        }
        records.close()
    finally:
        os.umask(before)
    assert modes == dict.fromkeys(("records.sqlite3", "records.sqlite3-wal", "records.sqlite3-shm"), 0o600)
    for folder in (tmp_path / "one", tmp_path / "one" / "two"):
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_a_file_that_others_could_read_is_closed_to_them(tmp_path: Path, now: datetime):
    records = open_records(tmp_path, now=now)
    records.close()
    assert records.path is not None
    folder_mode = tmp_path.stat().st_mode
    records.path.chmod(0o644)
    open_records(tmp_path, now=now).close()
    assert stat.S_IMODE(records.path.stat().st_mode) == 0o600
    assert tmp_path.stat().st_mode == folder_mode


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("file/below.sqlite3", "not a directory"),
        ("file/below", "not a directory"),
        ("l" + "o" * 300 + "ng", "file name too long"),
        ("l" + "o" * 300 + "ng.db", "file name too long"),
        ("\0.db", "embedded null byte"),
    ],
)
def test_a_place_that_cannot_be_is_told(tmp_path: Path, now: datetime, name: str, why: str):
    (tmp_path / "file").write_text("x")
    with pytest.raises(RecordsError, match=f"The records cannot be kept at .*: {why}"):
        open_records(f"{tmp_path}/{name}", now=now)
    with pytest.raises(RecordsError, match="There are no records at"):
        open_records(f"{tmp_path}/{name}", create=False, now=now)


def test_a_folder_that_may_not_be_entered_is_told(
    tmp_path: Path, now: datetime, monkeypatch: pytest.MonkeyPatch
):
    """As another user than root finds it; root may enter everywhere, so the refusal is played."""

    def refuse(path: Path, **_: bool) -> os.stat_result:
        raise PermissionError(errno.EACCES, "Permission denied", str(path))

    monkeypatch.setattr(Path, "stat", refuse)
    with pytest.raises(RecordsError, match=r"cannot be kept at .*: permission denied"):
        open_records(tmp_path / "records.db", now=now)
    with pytest.raises(RecordsError, match=r"There are no records at"):
        open_records(tmp_path / "records.db", create=False, now=now)


@pytest.mark.parametrize("name", ["two words", "a?b=c#d%20e", "\u0153uvre '\u5f35", "file:x"])
def test_a_folder_may_be_called_anything(tmp_path: Path, name: str, author: Author, now: datetime):
    records = open_records(tmp_path / name, now=now)
    with records.writing() as conn:
        add_wearer(conn, "W1", by=author)
    assert records.path is not None
    copy_file(records.path, tmp_path / name / "copy.sqlite3")
    records.close()
    assert sorted(file.name for file in (tmp_path / name).iterdir()) == ["copy.sqlite3", "records.sqlite3"]
