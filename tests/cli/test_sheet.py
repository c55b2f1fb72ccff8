"""``heelball sheet`` as a fitter runs it: print, read, calibrate."""

from __future__ import annotations

import json
from pathlib import Path

import cv2
import numpy as np
import pytest

from heelball.cli.main import run
from tests.sheet.photographs import take

pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning")


@pytest.fixture(scope="module")
def photograph(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("post") / "left.jpg"
    path.write_bytes(take(0).content)
    return path


@pytest.fixture
def blank(tmp_path: Path) -> Path:
    path = tmp_path / "blank.png"
    path.write_bytes(cv2.imencode(".png", np.full((1200, 1600), 200, np.uint8))[1].tobytes())
    return path


def test_a_photograph_is_told_in_words_and_as_a_line(photograph, capsys):
    assert run(["sheet", "read", str(photograph), "--tool", "pencil", "--girth", "250"]) == 0
    words = capsys.readouterr().out
    assert "heel-to-ball" in words
    assert "±" in words
    assert all(len(line) <= 80 for line in words.splitlines())
    assert run(["sheet", "read", str(photograph), "--json"]) == 0
    record = json.loads(capsys.readouterr().out)
    assert record["schema"] == "heelball/sheet-reading/1"
    assert set(record["foot_mm"]) == {"length", "ball", "outer_ball", "breadth"}
    sds = [record["foot_mm"][what]["sd_mm"] for what in ("length", "ball", "breadth")]
    assert np.sqrt(np.diag(record["covariance"])) == pytest.approx(np.array(sds), abs=0.01)


def test_one_refused_of_several_ends_with_5_and_the_others_are_told(photograph, blank, capsys):
    assert run(["sheet", "read", str(blank), str(photograph), "--json"]) == 5
    first, second = map(json.loads, capsys.readouterr().out.splitlines())
    assert first["refused"]["reason"] == "no_sheet"
    assert first["refused"]["remedy"]
    assert second["foot_mm"]["length"]["mean_mm"] > 200


def test_two_photographs_of_one_foot_are_told_together_too(photograph, capsys):
    assert run(["sheet", "read", str(photograph), str(photograph), "--json"]) == 0
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [line.get("combined", False) for line in lines] == [False, False, True]
    # The hand drew once: a second photograph takes away only what a photograph adds.
    one, both = (line["foot_mm"]["length"]["sd_mm"] for line in (lines[0], lines[2]))
    assert 0.8 * one < both <= one


def test_the_overlay_holds_the_picture_and_nothing_else_of_the_file(photograph, tmp_path):
    out = tmp_path / "seen.jpg"
    assert run(["sheet", "read", str(photograph), "--overlay", str(out)]) == 0
    written = out.read_bytes()
    assert b"Exif" not in written
    picture = cv2.imdecode(np.frombuffer(written, np.uint8), cv2.IMREAD_COLOR)
    assert picture is not None
    assert ((picture[..., 2].astype(int) - picture[..., 0]) > 80).sum() > 500


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["missing.jpg"], "missing.jpg: no such file"),
        (["{photo}", "--bar", "ten"], "--bar"),
        (["{photo}", "--card", "20"], "--card: 20 %"),
        (["{photo}", "--overlay", "seen.gif"], "--overlay: a file ending in .gif"),
        (["{photo}", "{photo}", "--overlay", "seen.jpg"], "exactly one photograph"),
    ],
)
def test_what_is_wrong_with_the_command_is_said_in_a_line(photograph, words, said, capsys):
    assert run(["sheet", "read", *(word.format(photo=photograph) for word in words)]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert said in told.err


def test_a_sheet_is_printed_for_a_foot_or_described(tmp_path, capsys):
    out = tmp_path / "sheet.pdf"
    assert run(["sheet", "print", "--paper", "a4", "--out", str(out)]) == 0
    assert out.read_bytes().startswith(b"%PDF")
    capsys.readouterr()
    assert (
        run(["sheet", "print", "--paper", "a4", "--foot", "left", "--foot-length", "310", "--describe"]) == 0
    )
    told = json.loads(capsys.readouterr().out)
    assert [page["part"] for page in told["pages"]] == ["heel", "toes", "proof", "how"]
    assert run(["sheet", "print", "--paper", "a4", "--foot-length", "400", "--describe"]) == 2
    assert run(["sheet", "print", "--paper", "a4"]) == 2


def test_pairs_teach_the_hand(photograph, tmp_path, capsys):
    pairs = tmp_path / "pairs.csv"
    rows = "".join(f"W{i},left,length,{270 + i},{268 + i}\n" for i in range(12))
    pairs.write_text("wearer,foot,what,sheet_mm,gauge_mm\n" + rows)
    learnt = tmp_path / "hand.json"
    assert run(["sheet", "calibrate", str(pairs), "--out", str(learnt)]) == 0
    assert "from 12 pairs" in capsys.readouterr().out
    lengths = []
    for more in ([], ["--calibration", str(learnt)]):
        assert run(["sheet", "read", str(photograph), "--json", *more]) == 0
        lengths.append(json.loads(capsys.readouterr().out)["foot_mm"]["length"]["mean_mm"])
    # 2 mm more on the sheet in twelve pairs, held back by the ten that judgement counts as.
    assert lengths[0] - lengths[1] == pytest.approx(2 * 12 / 22, abs=0.05)
