"""``heelball sheet read --bare`` as a fitter runs it: words, lines, points, refusals, a wearer's file."""

from __future__ import annotations

import json
from pathlib import Path

import cv2
import numpy as np
import pytest
from attrs import evolve

from heelball.cli.main import run
from heelball.errors import Problem
from heelball.work.sheet_file import read_sheet_lines
from tests.sheet.bare_rendering import Photograph, Scene, photograph

pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning")

#: From beside the heel; small, for it is the command that is looked at.
SCENE = Scene(tilt_deg=13.0, toward_deg=125.0, distance=1300.0, lens=40.0, size=(2400, 1800))


@pytest.fixture(scope="module")
def taken() -> Photograph:
    return photograph(SCENE, np.random.default_rng(5))


@pytest.fixture(scope="module")
def bare(taken: Photograph, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("post") / "bare.jpg"
    path.write_bytes(taken.content)
    return path


@pytest.fixture(scope="module")
def near(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("near") / "near.jpg"
    scene = evolve(SCENE, distance=700.0, lens=26.0)
    path.write_bytes(photograph(scene, np.random.default_rng(5)).content)
    return path


@pytest.fixture
def points(taken: Photograph) -> list[str]:
    inner, outer = (f"{one[0]:.0f},{one[1]:.0f}" for one in (taken.inner, taken.outer))
    return ["--inner", inner, "--outer", outer]


def test_length_and_breadth_are_told_and_the_ball_is_not_made_up(bare, capsys):
    assert run(["sheet", "read", "--bare", str(bare)]) == 0
    words = capsys.readouterr().out
    assert "bare.jpg: bare right foot" in words
    assert "breadth" in words
    assert "heel-to-ball   " not in words
    assert "Heel-to-ball is not read" in words
    assert "the line, mm" not in words
    assert all(len(line) <= 80 for line in words.splitlines())


@pytest.mark.parametrize(
    ("pointed", "known"), [(False, {"length", "breadth"}), (True, {"length", "ball", "breadth"})]
)
def test_the_line_of_json_reaches_a_wearers_file(bare, points, pointed, known, capsys):
    """With points every measure; without them only length and breadth, each with its own ±."""
    more = points if pointed else []
    assert run(["sheet", "read", "--bare", str(bare), "--json", "--load", "seated", *more]) == 0
    text = capsys.readouterr().out
    record = json.loads(text)
    assert record["bare"] is True
    assert record["drawn"] is None
    assert record["foot_mm"]["length"]["sd_mm"] >= 2.5
    problems: list[Problem] = []
    readings = read_sheet_lines(text, "bare.json", problems)
    assert not problems
    assert {one.what for one in readings} == known
    assert {(one.method, one.load, one.foot) for one in readings} == {("sheet", "seated", "right")}
    # The shared mesh's own, 264.0 and 194.3 mm.
    assert record["foot_mm"]["length"]["mean_mm"] == pytest.approx(264.0, abs=3.0)
    if pointed:
        assert record["foot_mm"]["ball"]["mean_mm"] == pytest.approx(194.3, abs=3.0)


def test_one_refused_of_several_ends_with_5_and_the_others_are_told_together(bare, near, capsys):
    assert run(["sheet", "read", "--bare", str(bare), str(near), str(bare), "--json"]) == 5
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert lines[1]["refused"]["reason"] == "oblique"
    assert [line.get("combined", False) for line in lines] == [False, False, False, True]
    # The edge's height is guessed alike in both: two photographs are no surer than one.
    one, both = (lines[k]["foot_mm"]["length"] for k in (0, 3))
    assert both == one


def test_photographs_of_two_feet_contradict_each_other(bare, tmp_path, capsys):
    other = tmp_path / "other.jpg"
    scene = evolve(SCENE, length=245.0, breadth=92.0)
    other.write_bytes(photograph(scene, np.random.default_rng(5)).content)
    assert run(["sheet", "read", "--bare", str(bare), str(other), "--json"]) == 5
    told = capsys.readouterr()
    assert len(told.out.splitlines()) == 2
    assert "do not agree: length is" in told.err


def test_the_overlay_holds_the_picture_and_nothing_else_of_the_file(bare, points, tmp_path):
    out = tmp_path / "seen.png"
    assert run(["sheet", "read", "--bare", str(bare), *points, "--overlay", str(out)]) == 0
    picture = cv2.imdecode(np.frombuffer(out.read_bytes(), np.uint8), cv2.IMREAD_COLOR)
    assert picture is not None
    assert b"Exif" in bare.read_bytes()
    assert b"Exif" not in out.read_bytes()
    colour = picture.astype(int)
    assert ((colour[..., 2] - colour[..., 0]) > 80).sum() > 500, "the edge"
    column, row = (round(float(part) * picture.shape[1] / SCENE.size[0]) for part in points[1].split(","))
    around = colour[row - 4 : row + 5, column - 4 : column + 5]
    assert (around[..., 1] - around[..., 2]).max() > 60, "the joint pointed at"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--inner", "5,5", "--outer", "9,9"], "add --bare"),
        (["--bare", "--inner", "5,5"], "--outer is missing"),
        (["--bare", "--outer", "5,5"], "--inner is missing"),
        (["--bare", "--inner", "5", "--outer", "5,x"], "--inner: 5; wanted X,Y"),
        (["--bare", "--inner", "5,6", "--outer", "-5,7"], "--outer: -5,7; wanted X,Y"),
        (["--bare", "--inner", "5,5", "--outer", "9,9", "{photo}"], "point into one photograph"),
        (["--bare", "--tool", "pen"], "--tool is of a drawn line"),
        (["--bare", "--calibration", "hand.json"], "--calibration is of a drawn line"),
    ],
)
def test_words_that_do_not_go_together_are_said_in_a_line(bare, words, said, capsys):
    assert run(["sheet", "read", str(bare), *(word.format(photo=bare) for word in words)]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert said in told.err
