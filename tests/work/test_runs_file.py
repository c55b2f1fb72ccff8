"""A file of runs: read back as it was learned, and refused whole where it cannot be one."""

from __future__ import annotations

import json
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from heelball.errors import InputError
from heelball.fit.day import ordinary_state
from heelball.last.values import Label
from heelball.learn.learning import learn
from heelball.learn.runs import Runs
from heelball.learn.try_on import TryOn
from heelball.work.figures_json import json_line
from heelball.work.runs_file import kept_runs, read_runs
from heelball.work.runs_json import runs_record
from tests.fittings import alike, last, wearer

N7 = last(8, 12, -0.5, widths="B D EE", code="N7")
N8 = last(8, 12, widths="B D EE", code="N8", toe="pointed")
WHO = wearer(*alike("10", "10 1/2", "D", line="10 1/2"))


def _try_on(code: str, who: str = "W1") -> TryOn:
    return TryOn(
        who,
        code,
        Label(Fraction(10), "D"),
        {("left", "ball"): "much", ("right", "toe"): "right"},
        ordinary_state().sock,
        place=f"tried.csv, line {code}",
    )


@pytest.fixture(scope="module")
def runs() -> Runs:
    told = [_try_on("N7"), _try_on("N7", "W2"), _try_on("N8")]
    return learn([N7, N8], {"W1": WHO}, told)


@pytest.fixture(scope="module")
def record(runs: Runs) -> dict[str, Any]:
    return runs_record(runs, {"N7": N7, "N8": N8})


def test_what_is_written_is_read_back(runs: Runs, record: dict[str, Any], tmp_path: Path) -> None:
    path = tmp_path / "runs.json"
    path.write_text(json_line(record) + "\n", encoding="utf-8")
    known = read_runs(path).known
    assert known.keys() == {"N7", "N8"}
    for one in runs.lasts:
        kept = known[one.last]
        assert kept.pairs == one.pairs
        assert np.allclose(kept.belief.mean, one.belief.mean, atol=1e-8)
        assert np.allclose(kept.belief.cov, one.belief.cov, atol=1e-8)


def test_the_record_says_what_was_learned(runs: Runs, record: dict[str, Any]) -> None:
    assert record["schema"] == "heelball/runs/1"
    seven = record["lasts"][0]
    assert (seven["last"], seven["maker"], seven["pairs"]) == ("N7", "Northmoor", 2)
    assert list(seven["run"]) == ["ball", "toe", "breadth", "girth", "heel"]
    assert seven["run"]["ball"] == {
        "mean_mm": round(float(runs.lasts[0].run.mean[0]), 2),
        "sd_mm": round(float(runs.lasts[0].run.cov[0, 0]) ** 0.5, 2),
    }
    (maker,) = record["makers"]
    assert (maker["maker"], maker["lasts"]) == ("Northmoor", 2)
    measured = {one["wearer"]: one["measured"] for one in record["wearers"]}
    assert measured == {"W1": True, "W2": False}
    assert record["habits"]["lapse"] < 0.1
    json.dumps(record, allow_nan=False)


Change = Callable[[dict[str, Any]], Any]


def _set(name: str, value: object) -> Change:
    return lambda record: record["lasts"][0].__setitem__(name, value)


def _belief(name: str, value: object) -> Change:
    return lambda record: record["lasts"][0]["belief"].__setitem__(name, value)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda record: record.pop("schema"), 'r, schema: no schema; wanted "heelball/runs/1"'),
        (lambda record: record.update(schema="heelball/last/1"), "r, schema: schema 'heelball/last/1'"),
        (lambda record: record.update(lasts={}), "r, lasts: a table; wanted a list of lasts"),
        (lambda record: record.pop("lasts"), "r, lasts: nothing; wanted a list of lasts"),
        (lambda record: record["lasts"].append(record["lasts"][0]), "r, last 3: 'N7' again"),
        (lambda record: record["lasts"].insert(0, 7), "r, last 1: no code"),
        (_set("last", ""), "r, last 1: no code"),
        (_set("pairs", -1), "r, last 1, pairs: -1"),
        (_set("pairs", True), "r, last 1, pairs: true"),
        (_set("belief", None), "r, last 1, belief: no belief that could be"),
        (_belief("mean", [0.0] * 7), "r, last 1, belief: no belief that could be"),
        (_belief("mean", [1e6] * 8), "r, last 1, belief: no belief that could be"),
        (_belief("mean", ["x"] * 8), "r, last 1, belief: no belief that could be"),
        (_belief("cov", [[-1.0] * 8] * 8), "r, last 1, belief: no belief that could be"),
    ],
)
def test_what_cannot_be_runs(record: dict[str, Any], change: Change, said: str) -> None:
    copy = json.loads(json.dumps(record))
    change(copy)
    with pytest.raises(InputError) as refused:
        kept_runs(copy, "r")
    assert str(refused.value).startswith(said)
    assert len(refused.value.problems) == 1


@pytest.mark.parametrize("record", [None, [], "x", 4])
def test_what_is_no_record(record: object) -> None:
    with pytest.raises(InputError, match="no schema"):
        kept_runs(record, "r")


@pytest.mark.parametrize("text", ["", "{", "NaN", '{"schema": Infinity}', "[" * 20_000, "\N{SNOWMAN}"])
def test_a_file_that_is_not_json(tmp_path: Path, text: str) -> None:
    path = tmp_path / "runs.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=r"runs\.json"):
        read_runs(path)


def test_no_such_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        read_runs(tmp_path / "none.json")
