"""A file is written whole or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from heelball.errors import InputError
from heelball.work.new_file import check_folder, write_new


def test_it_holds_the_text_and_nothing_is_left_beside_it(tmp_path: Path) -> None:
    write_new(tmp_path / "a.svg", "one\n", "--svg")
    write_new(tmp_path / "a.svg", "two\n", "--svg")
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("a.svg", b"two\n")]


def test_when_it_fails_the_old_one_stays(tmp_path: Path, monkeypatch) -> None:
    file = tmp_path / "a.svg"
    write_new(file, "one\n", "--svg")

    def full(_descriptor):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(InputError, match=r"--svg: .*a\.svg cannot be written: No space left"):
        write_new(file, "two\n", "--svg")
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("a.svg", b"one\n")]


def test_it_takes_the_rights_of_any_new_file(tmp_path: Path) -> None:
    plain = tmp_path / "plain"
    plain.touch()
    write_new(tmp_path / "a.svg", "one\n", "--svg")
    assert (tmp_path / "a.svg").stat().st_mode == plain.stat().st_mode


@pytest.mark.parametrize("name", ["missing/a.svg", "."])
def test_a_place_it_cannot_go_is_refused_beforehand(tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match="--svg: "):
        check_folder(tmp_path / name, "--svg")
