"""``heelball learn``, and choosing by what was learned, as a person runs them."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from heelball.cli.main import run
from tests.work.bench import lasts_folder, wearer_toml, write

Call = Callable[..., tuple[int, str, str]]

HEADER = "wearer,last,size,width,foot,ball,toe,breadth\n"
FAR = "".join(f"W{i},N7,10,D,both,much,right,right\n" for i in range(8))


@pytest.fixture
def heelball(capsys) -> Call:
    def call(*words: str | Path) -> tuple[int, str, str]:
        code = run([str(word) for word in words])
        printed = capsys.readouterr()
        assert "Traceback" not in printed.err
        return code, printed.out, printed.err

    return call


@pytest.fixture
def lasts(tmp_path: Path) -> Path:
    return lasts_folder(tmp_path / "lasts")


@pytest.fixture
def wearer(tmp_path: Path) -> Path:
    return write(tmp_path / "w1.toml", wearer_toml("W1"))


@pytest.fixture
def tried(tmp_path: Path) -> Path:
    return write(tmp_path / "tried.csv", HEADER + FAR)


def test_a_note_and_who_was_never_measured(heelball: Call, tried: Path, lasts: Path, wearer: Path) -> None:
    code, out, err = heelball("learn", tried, "--lasts", lasts, "--wearers", wearer)
    assert code == 0
    lines = out.splitlines()
    assert lines[0] == "How the lasts run, from 8 try-ons"
    assert "N7, Northmoor, from 8 pairs" in lines
    assert any("mm long in the ball, ±" in line for line in lines)
    assert max(map(len, lines)) <= 80
    assert err == "heelball: no readings of W0, W2, W3, W4, W5, W6, W7: taken as never measured\n"


def test_several_wearer_files_after_one_option(
    heelball: Call, tried: Path, lasts: Path, wearer: Path, tmp_path: Path
) -> None:
    second = write(tmp_path / "w2.toml", wearer_toml("W2"))
    code, _, err = heelball("learn", tried, "--lasts", lasts, "--wearers", wearer, second)
    assert code == 0
    assert err == "heelball: no readings of W0, W3, W4, W5, W6, W7: taken as never measured\n"
    code, out, err = heelball("learn", tried, tried, "--lasts", lasts)
    assert (code, out) == (2, "")
    assert err == f"heelball: Two files of try-ons, {tried.name} and {tried.name}. Put them into one.\n"


def test_choose_by_learned_runs(
    heelball: Call, tried: Path, lasts: Path, wearer: Path, tmp_path: Path
) -> None:
    """Eight wearers say that N7 bends far ahead of the joint: so it is expected to for this one too."""
    runs = tmp_path / "runs.json"
    assert heelball("learn", tried, "--lasts", lasts, "--out", runs)[0] == 0
    assert heelball("learn", tried, "--lasts", lasts, "--json")[1] == runs.read_text(encoding="utf-8")
    plain, learned = (
        json.loads(heelball("choose", wearer, "--lasts", lasts, "--json", *more)[1])["choices"]
        for more in ([], ["--runs", runs])
    )
    before, after = (next(one for one in said if one["last"] == "N7") for said in (plain, learned))
    assert before["order"] == {"size": "10", "width": "D"}
    assert after["order"] == before["order"]
    held, known = (one["by_place"]["left"]["ball"] for one in (before, after))
    assert known["mean_mm"] > held["mean_mm"] + 1.5
    assert known["sd_mm"] < held["sd_mm"]
    assert any("from 8 pairs tried on" in text for text in after["why"])
    note = heelball("choose", wearer, "--lasts", lasts, "--runs", runs)[1]
    assert "from 8 pairs tried on" in " ".join(note.split())


def test_a_wrong_row_is_left_out_or_refuses_all(
    heelball: Call, tried: Path, lasts: Path, tmp_path: Path
) -> None:
    write(tried, HEADER + FAR + "W9,N8,10,D,both,much,,\n")
    runs = tmp_path / "runs.json"
    code, _, err = heelball("learn", tried, "--lasts", lasts)
    assert code == 0
    assert "tried.csv, line 10, column last: an unknown last 'N8'; wanted N7; left out" in err
    code, out, err = heelball("learn", tried, "--lasts", lasts, "--out", runs, "--strict")
    assert (code, out) == (2, "")
    assert not runs.exists()


def test_nothing_to_learn_from(heelball: Call, tried: Path, lasts: Path) -> None:
    write(tried, HEADER)
    code, out, err = heelball("learn", tried, "--lasts", lasts)
    assert (code, out) == (2, "")
    assert "no try-on that can be used" in err


def test_a_file_of_runs_that_is_none(heelball: Call, wearer: Path, lasts: Path, tmp_path: Path) -> None:
    other = write(tmp_path / "other.json", '{"schema": "heelball/choice/1"}')
    code, out, err = heelball("choose", wearer, "--lasts", lasts, "--runs", other)
    assert (code, out) == (2, "")
    assert err.startswith("heelball: other.json, schema: schema 'heelball/choice/1'; wanted")
    assert err.count("\n") == 1
    assert heelball("foot", wearer, "--runs", other)[2].startswith("heelball: --runs goes with --lasts.")
