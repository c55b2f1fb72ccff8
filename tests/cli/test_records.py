"""``heelball records`` from the words of the command to its lines and its exit code."""

from __future__ import annotations

import builtins
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from heelball.cli import main
from heelball.cli.records import records as group
from tests.work.records_at import LAST, WEARER, file


@pytest.fixture
def run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., Any]:
    """Return a function that runs a command on records of its own: exit code, lines, remarks."""
    monkeypatch.setenv("HEELBALL_DATA", str(tmp_path / "data"))
    if "records" not in main.commands.commands:
        monkeypatch.setitem(main.commands.commands, "records", group)

    def command(*words: str) -> tuple[int, list[str], list[str]]:
        code = main.run(["records", *words])
        told = capsys.readouterr()
        return code, told.out.splitlines(), told.err.splitlines()

    return command


@pytest.fixture
def filled(run: Callable[..., Any], tmp_path: Path) -> Path:
    """Return the folder of records with a wearer and a last in them."""
    made = run("import", str(file(tmp_path, "w.toml", WEARER)), str(file(tmp_path, "n7.toml", LAST)))
    assert made[0] == 0
    return tmp_path / "data"


def test_a_day_of_the_records(run: Callable[..., Any], filled: Path, tmp_path: Path):
    assert run("check") == (0, ["Nothing is wrong with the records."], [])
    code, lines, _ = run("backup")
    assert code == 0
    (backup,) = (filled / "backups").iterdir()
    assert lines == [f"Backed up to {backup}."]
    assert run("backup", "--to", str(tmp_path / "b.sqlite3"))[0] == 0
    for number, words in enumerate((["--format", "parquet"], ["--format", "csv"], [], ["--wearer", "W12"])):
        assert run("export", str(tmp_path / f"e{number}"), *words)[0] == 0
        assert run("import", str(tmp_path / f"e{number}"))[0] == 0
    code, lines, _ = run("erase", "W12", "--yes")
    assert code == 0
    assert lines[0].startswith("W12 is erased: ")
    assert any(str(backup) in line for line in lines)
    code, lines, _ = run("restore", str(backup))
    assert code == 0
    assert any("Erased again: 1 wearer" in line for line in lines)
    assert run("check")[0] == 0
    assert run("erase", "--finish") == (0, ["The files hold nothing of what was erased."], [])


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["restore", "nowhere.sqlite3"], 4, "There is no backup"),
        (["erase", "W99", "--yes"], 4, "W99"),
        (["erase"], 2, "--finish"),
        (["erase", "W12", "--finish"], 2, "--finish"),
        (["export", "."], 2, "there already"),
        (["export", "new", "--wearer", "W99"], 4, "W99"),
        (["import", "nowhere.toml"], 2, "no such file"),
        (["backup", "--records", "postgresql://x@127.0.0.1:1/x"], 4, "server's own tools"),
        (["restore", "x", "--records", "postgresql://x@127.0.0.1:1/x"], 4, "server's own tools"),
        (["check", "--records", "mysql://x/x"], 2, "postgresql://"),
        (["export", "new", "--format", "xml"], 2, "xml"),
        (["check", "--records", "none.sqlite3"], 4, "no records"),
    ],
)
def test_what_cannot_be_is_one_line(
    run: Callable[..., Any], filled: Path, words: list[str], code: int, said: str
):
    found, lines, errors = run(*words)
    assert (found, lines) == (code, [])
    assert len(errors) == 1
    assert said in errors[0]


def test_a_problem_is_a_line_and_the_code_says_so(run: Callable[..., Any], filled: Path):
    from heelball.records.schema import readings
    from heelball.records.store import open_records
    from tests.work.records_at import NOW

    records = open_records(filled, now=NOW)
    with records.writing() as conn:
        conn.execute(readings.update().values(value="ten"))
    records.close()
    code, lines, _ = run("check")
    assert code == 4
    assert len(lines) == 3


@pytest.mark.parametrize(("typed", "erased"), [("W12\n", True), ("W13\n", False), ("", False)])
def test_the_code_is_typed_again(
    run: Callable[..., Any], filled: Path, typed: str, erased: bool, monkeypatch: pytest.MonkeyPatch
):
    def answer(_prompt: str = "") -> str:
        if not typed:
            raise EOFError
        return typed.strip()

    monkeypatch.setattr("click.termui.visible_prompt_func", answer)
    code, lines, _errors = run("erase", "W12")
    assert (code == 0) == erased
    assert any("is erased" in line for line in lines) == erased
    assert (run("erase", "W12", "--yes")[0] == 0) != erased


def test_without_polars_parquet_is_one_line(
    run: Callable[..., Any], filled: Path, monkeypatch: pytest.MonkeyPatch
):
    real = builtins.__import__

    def refuse(name: str, *more: Any, **words: Any) -> Any:
        if name == "polars":
            raise ImportError(name)
        return real(name, *more, **words)

    monkeypatch.setattr(builtins, "__import__", refuse)
    code, _, errors = run("export", str(filled / "p"), "--format", "parquet")
    assert code == 3
    assert "heelball[batch]" in errors[0]
    assert not (filled / "p").exists()
