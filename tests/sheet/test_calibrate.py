"""The hand learnt from pairs of sheet and gauge readings; a wrong row is refused by its line."""

from __future__ import annotations

import json

import numpy as np
import pytest

from heelball.errors import InputError, UnreadableText
from heelball.sheet.calibration import (
    Calibration,
    HandOf,
    Pair,
    applied,
    as_dict,
    calibration_from,
    from_dict,
)
from heelball.sheet.hand import judged_sd
from heelball.work.sheet_calibrate import calibrate_sheets, read_calibration

GAUGE_SD = 1.5
HEADER = "wearer,foot,what,sheet_mm,gauge_mm\n"


def pairs_of(offset: float, hand_sd: float, count: int, *, what="ball", seed=3) -> list[Pair]:
    chance = np.random.default_rng(seed)
    true = chance.normal(195, 10, count)
    sheet = true + offset + hand_sd * chance.standard_normal(count)
    gauge = true + GAUGE_SD * chance.standard_normal(count)
    return [Pair(what, float(a), float(b)) for a, b in zip(sheet, gauge, strict=True)]


def test_many_pairs_teach_the_hands_bias_and_scatter():
    learnt = calibration_from(pairs_of(2.5, 1.2, 4000), judged_sd()).measures["ball"]
    assert learnt.offset == pytest.approx(2.5, abs=0.1)
    assert learnt.hand_sd == pytest.approx(1.2, abs=0.1)
    assert learnt.offset_sd < 0.05


def test_judgement_counts_as_ten_pairs():
    judged = judged_sd()["ball"]
    learnt = calibration_from([Pair("ball", 198.0, 195.0)] * 10, judged_sd()).measures["ball"]
    # Ten pairs 3 mm apart beside ten imagined ones at 0.
    assert learnt.offset == pytest.approx(1.5)
    variance = (10 * (judged**2 + GAUGE_SD**2) + 10 * 10 / 20 * 9) / 20
    assert learnt.hand_sd == pytest.approx(np.sqrt(variance - GAUGE_SD**2))
    assert learnt.offset_sd == pytest.approx(np.sqrt(variance / 20))


def test_pairs_that_agree_better_than_the_gauge_repeats_do_not_make_a_hand_without_scatter():
    learnt = calibration_from([Pair("length", 260.0, 260.0)] * 500, judged_sd()).measures["length"]
    assert learnt.hand_sd == pytest.approx(0.25 * judged_sd()["length"])


def test_the_stated_offset_is_as_sure_as_it_says():
    chance = np.random.default_rng(8)
    hits = []
    for seed in range(400):
        offset = chance.normal(scale=np.hypot(judged_sd()["ball"], GAUGE_SD) / np.sqrt(10))
        pairs = pairs_of(offset, judged_sd()["ball"], 12, seed=seed)
        learnt = calibration_from(pairs, judged_sd()).measures["ball"]
        hits.append(abs(learnt.offset - offset) < 1.645 * learnt.offset_sd)
    assert 0.86 < np.mean(hits) < 0.94


def test_only_measures_that_were_paired_are_replaced_and_what_goes_together_stays():
    hand_cov = np.array([[1.0, 0.2, 0.2, 0.8], [0.2, 4, 0.2, 0], [0.2, 0.2, 4, 0], [0.8, 0, 0, 2.25]])
    learnt = Calibration({"length": HandOf(30, -0.7, 0.2, 2.0)})
    mean, cov = applied(learnt, np.array([265.0, 196.0, 168.0, 101.0]), hand_cov)
    np.testing.assert_allclose(mean, [265.7, 196.0, 168.0, 101.0])
    assert cov[0, 0] == pytest.approx(4.0 + 0.04)
    assert cov[0, 3] == pytest.approx(1.6)
    np.testing.assert_allclose(cov[1:, 1:], hand_cov[1:, 1:])


def test_a_calibration_written_is_read_again():
    learnt = calibration_from([*pairs_of(1, 1, 9), *pairs_of(0, 1, 5, what="breadth")], judged_sd())
    again = from_dict(json.loads(json.dumps(as_dict(learnt))))
    assert list(again.measures) == ["ball", "breadth"]
    assert again.measures["ball"].pairs == 9
    assert again.measures["ball"].offset == pytest.approx(learnt.measures["ball"].offset, abs=6e-4)


@pytest.mark.parametrize(
    ("change", "found"),
    [
        (lambda d: d.update(schema="heelball/sheet-calibration/2"), "another kind"),
        (lambda d: d.update(measures={}), "no measures"),
        (lambda d: d["measures"].update(girth={}), "unknown measure 'girth'"),
        (lambda d: d["measures"].update(ball=3), "without its numbers"),
        (lambda d: d["measures"]["ball"].update(pairs=0), "0 pairs"),
        (lambda d: d["measures"]["ball"].update(hand_sd_mm=-1.0), "hand_sd_mm -1.0"),
        (lambda d: d["measures"]["ball"].update(offset_mm="1"), "offset_mm '1'"),
        (lambda d: d["measures"]["ball"].update(offset_sd_mm=float("nan")), "offset_sd_mm nan"),
        (lambda d: d["measures"]["ball"].pop("offset_mm"), "offset_mm None"),
    ],
)
def test_what_is_no_calibration_is_refused(change, found):
    written = as_dict(calibration_from(pairs_of(1, 1, 9), judged_sd()))
    change(written)
    with pytest.raises(UnreadableText, match=found):
        from_dict(written)


def test_pairs_in_a_file_become_a_calibration_in_a_file(tmp_path):
    path, out = tmp_path / "pairs.csv", tmp_path / "hand.json"
    path.write_text(HEADER + "w-1,left,ball,197.5,195\nw-1,right,ball,198,196\n\nw-2,left,length,262,262\n")
    learnt = calibrate_sheets(path, out)
    assert learnt.measures["ball"].pairs == 2
    assert json.loads(out.read_text())["schema"] == "heelball/sheet-calibration/1"
    assert read_calibration(out).measures.keys() == {"length", "ball"}


def test_every_wrong_row_is_named_by_its_line_and_nothing_is_written(tmp_path):
    path, out = tmp_path / "pairs.csv", tmp_path / "hand.json"
    rows = [
        "w-1,left,ball,197.5,195",
        "w-1,left,ball,196,195",
        "w-1,middle,ball,196,195",
        "w-2,left,girth,240,241",
        "w-3,left,length,26.2,262",
        "w-4,left,length,262",
        "w-5,left,breadth,,101",
        "w-6,left,length,262,225",
        '"w-7\n",left,length,262,262',
        "w-8,left,length,none,262",
    ]
    path.write_text(HEADER + "\n".join(rows) + "\n")
    with pytest.raises(InputError) as refused:
        calibrate_sheets(path, out)
    lines = [problem.place.split(",")[1].strip() for problem in refused.value.problems]
    assert lines == ["line 3", "line 4", "line 5", "line 6", "line 7", "line 8", "line 9", "line 12"]
    assert "see line 2" in refused.value.problems[0].wanted
    assert not out.exists()


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", "an empty file"),
        (HEADER, "no pair"),
        ("wearer;foot;what;sheet_mm;gauge_mm\n", "an unknown column"),
        ("wearer,foot,what,sheet_mm\n", "no column gauge_mm"),
        ("wearer,foot,what,what,sheet_mm,gauge_mm\n", "twice"),
        (HEADER + 'w-1,left,"ball,197,195\n', "not CSV"),
    ],
)
def test_a_file_without_pairs_is_refused(tmp_path, text, found):
    path = tmp_path / "pairs.csv"
    path.write_text(text)
    with pytest.raises(InputError, match=found):
        calibrate_sheets(path, tmp_path / "hand.json")


def test_where_it_cannot_be_written_is_said_before_the_pairs_are_read(tmp_path):
    with pytest.raises(InputError, match="no folder"):
        calibrate_sheets(tmp_path / "missing.csv", tmp_path / "nowhere" / "hand.json")


@pytest.mark.parametrize("text", ["not json", "[" * 100_000, "[]", "{}"])
def test_a_file_that_is_no_calibration_is_refused(tmp_path, text):
    path = tmp_path / "hand.json"
    path.write_text(text)
    with pytest.raises(InputError, match=r"hand\.json"):
        read_calibration(path)
