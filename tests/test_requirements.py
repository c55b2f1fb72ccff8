"""What is missing skips a test on a desk and fails it in CI, with the same line."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.requirements import require, shared

LINE = "the program 'x' is missing; get it with: apt-get install x"


def test_what_is_there_is_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CI", "true")
    require(True, "the program 'x'", "apt-get install x")


@pytest.mark.parametrize(("ci", "outcome"), [("", pytest.skip.Exception), ("true", pytest.fail.Exception)])
def test_what_is_missing_is_said_in_one_line(
    monkeypatch: pytest.MonkeyPatch, ci: str, outcome: type[BaseException]
) -> None:
    monkeypatch.setenv("CI", ci)
    with pytest.raises(outcome) as told:
        require(None, "the program 'x'", "apt-get install x")
    assert str(told.value) == LINE


def test_shared_data_are_looked_for_where_the_variable_says(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("HEELBALL_SHARED", str(tmp_path))
    monkeypatch.setenv("CI", "true")
    with pytest.raises(pytest.fail.Exception, match=r"data/some\.csv is missing"):
        shared("data", "some.csv")
    (tmp_path / "some.csv").touch()
    assert shared("some.csv") == tmp_path / "some.csv"
