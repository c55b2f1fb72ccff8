"""Readings that a wearer file takes from lines of ``heelball sheet read --json``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from heelball.errors import InputError
from heelball.foot.posterior import feet_posterior
from heelball.work.wearer_file import read_wearers

COVARIANCE = [[1.3, 0.2, 1.9], [0.2, 4.4, 0.05], [1.9, 0.05, 4.7]]


def line(foot: str = "left", **more: Any) -> dict[str, Any]:
    sds = [round(COVARIANCE[i][i] ** 0.5, 2) for i in range(3)]
    return {
        "schema": "heelball/sheet-reading/1",
        "photo": "left.jpg",
        "foot": foot,
        "foot_mm": {
            "length": {"mean_mm": 268.1, "sd_mm": sds[0]},
            "ball": {"mean_mm": 198.3, "sd_mm": sds[1]},
            "outer_ball": {"mean_mm": 175.0, "sd_mm": 2.1},
            "breadth": {"mean_mm": 101.2, "sd_mm": sds[2]},
        },
        "covariance": COVARIANCE,
        "load": "standing",
        "tape": {"girth": {"mean_mm": 251.0, "sd_mm": 2.6}, "instep": None},
        **more,
    }


def read(folder: Path, *lines: Any, text: str | None = None):
    (folder / "sheet.json").write_text(text or "".join(json.dumps(one) + "\n" for one in lines))
    wearer = folder / "W1.toml"
    wearer.write_text('schema = "heelball/wearer/1"\npopulation = "men"\n[[sheet]]\nfile = "sheet.json"\n')
    return read_wearers([wearer])[0]


def refused(folder: Path, *lines: Any, text: str | None = None) -> str:
    with pytest.raises(InputError) as error:
        read(folder, *lines, text=text)
    return str(error.value)


def test_a_sheet_gives_three_readings_with_their_covariance_and_the_tape(tmp_path):
    readings = read(tmp_path, line()).readings
    assert [(one.what, one.method, one.value) for one in readings] == [
        ("length", "sheet", "268.1"),
        ("ball", "sheet", "198.3"),
        ("breadth", "sheet", "101.2"),
        ("girth", "tape", "251"),
    ]
    names = sorted({name for one in readings for name, _ in one.shared_errors})
    rows = np.array([[dict(one.shared_errors).get(name, 0.0) for name in names] for one in readings[:3]])
    own = np.diag([one.sd_mm**2 for one in readings[:3]])
    assert rows @ rows.T + own == pytest.approx(np.array(COVARIANCE), abs=1e-9)


def test_a_sheet_tells_the_foot_as_surely_as_it_says(tmp_path):
    wearer = read(tmp_path, line())
    known = feet_posterior(wearer.readings, (), "men").measure("left", "length")
    assert known is not None
    # The method's own bias, sd 1, comes on top of the sheet's 1.14, and the survey below it.
    assert known[0] == pytest.approx(268.1, abs=0.4)
    assert 1.3 < known[1] < 1.14 + 0.4


def test_the_line_of_photographs_read_together_stands_for_each_of_them(tmp_path):
    lengths = [one.value for one in read(tmp_path, line(), line(), line(combined=True)).readings]
    assert lengths.count("268.1") == 1


def test_a_bare_foot_without_ball_points_gives_length_and_breadth(tmp_path):
    bare = line(bare=True, tape=None, covariance=None)
    bare["foot_mm"]["ball"] = bare["foot_mm"]["outer_ball"] = None
    assert [one.what for one in read(tmp_path, bare).readings] == ["length", "breadth"]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"foot": "both"}, "foot: 'both'; wanted left or right"),
        ({"load": "lying"}, "load: 'lying'"),
        ({"schema": "heelball/sheet-reading/9"}, "wanted heelball/sheet-reading/1"),
        ({"covariance": [[1.0, 2.0], [2.0, 1.0]]}, "wanted 3 × 3 numbers"),
        ({"covariance": [[1.3, 9.0, 0.0], [9.0, 4.4, 0.0], [0.0, 0.0, 4.7]]}, "no covariance of anything"),
        (
            {"covariance": [[2.6, 0.2, 1.9], [0.2, 4.4, 0.0], [1.9, 0.0, 4.7]]},
            "another sd than foot_mm tells",
        ),
        ({"foot_mm": {"length": {"mean_mm": 2680.0, "sd_mm": 1.1}}}, "mean_mm 40 to 400"),
        ({"foot_mm": {}}, "no length"),
        (
            {"refused": {"reason": "dark", "text": "It is too dark.", "remedy": ""}},
            "refused: It is too dark;",
        ),
    ],
)
def test_a_line_that_says_no_foot_is_refused_with_its_place(tmp_path, change, said):
    sentence = refused(tmp_path, line(**change))
    assert said in sentence
    assert sentence.startswith("sheet.json, line 1")


def test_a_file_that_is_not_lines_of_json_is_refused_and_a_missing_one_named(tmp_path):
    assert refused(tmp_path, text="{\n").startswith("sheet.json, line 1: not JSON")
    (tmp_path / "W2.toml").write_text('schema = "heelball/wearer/1"\n[[sheet]]\nfile = "none.json"\n')
    with pytest.raises(InputError, match=r"none\.json: no such file"):
        read_wearers([tmp_path / "W2.toml"])
