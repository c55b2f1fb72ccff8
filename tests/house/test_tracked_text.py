"""No tracked file names a registry's host or a path of one machine, and the gate that says so can fail."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).resolve().parents[2]
GATE = REPOSITORY / ".ci" / "tracked-text"


def read_tracked(repository: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run([GATE, repository], capture_output=True, text=True)


def test_this_repository_names_neither() -> None:
    told = read_tracked(REPOSITORY)
    assert told.returncode == 0, told.stderr


# Written in pieces, for this file is tracked too.
@pytest.mark.parametrize(
    "line",
    [
        "--index-url https://pypi." + "org/simple",
        "numpy @ https://files.python" + "hosted.org/numpy.whl",
        "--find-links http://mirror.example" + "/simple",
        "LASTS = '/" + "work/lasts'",
        "see /" + "tmp/notes.txt",
    ],
)
def test_a_line_that_names_one_is_refused(tmp_path: Path, line: str) -> None:
    (tmp_path / "some.txt").write_text(f"fine\n{line}\n", encoding="utf-8")
    subprocess.run(["git", "init", "-q", tmp_path], check=True)
    assert read_tracked(tmp_path).returncode == 0, "an untracked file is nobody's business"
    subprocess.run(["git", "-C", tmp_path, "add", "some.txt"], check=True)
    told = read_tracked(tmp_path)
    assert told.returncode == 1
    assert "some.txt:2" in told.stderr


def test_a_folder_without_git_is_not_passed_over(tmp_path: Path) -> None:
    assert read_tracked(tmp_path).returncode > 1
