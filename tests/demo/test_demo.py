"""The demo runs, ends as it says, and each wearer and last shows what demo/README.md names it for."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import tempfile
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

REPOSITORY = Path(__file__).resolve().parents[2]
DEMO = REPOSITORY / "demo"
WEARERS = [str(path) for path in sorted((DEMO / "wearers").glob("*.toml"))] + [str(DEMO / "crew.csv")]


def heelball(*words: str) -> subprocess.CompletedProcess[str]:
    """Run the command of the tree under test."""
    return subprocess.run(
        [sys.executable, "-c", "from heelball.cli.main import main; main()", *words],
        cwd=REPOSITORY,
        capture_output=True,
        text=True,
    )


@cache
def answers() -> dict[str, Any]:
    """Return each wearer's line of ``choose --json``, by code."""
    told = heelball("choose", *WEARERS, "--lasts", str(DEMO / "lasts"), "--json")
    assert told.returncode == 1, told.stderr
    assert told.stderr == ""
    return {line["wearer"]: line for line in map(json.loads, told.stdout.splitlines())}


def environment() -> dict[str, str]:
    """Return an environment that finds the `heelball` of this interpreter where no .venv is built."""
    return os.environ | {"PATH": f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"}


@cache
def run_sh() -> subprocess.CompletedProcess[str]:
    """Run the script once, with a folder for passing files that must be empty afterwards."""
    with tempfile.TemporaryDirectory() as passing:
        ran = subprocess.run(
            ["sh", str(DEMO / "run.sh")],
            cwd=REPOSITORY.parent,
            env=environment() | {"TMPDIR": passing, "HEELBALL_DATA": str(Path(passing) / "a-fitters-own")},
            capture_output=True,
            text=True,
        )
        left = [path.name for path in Path(passing).iterdir()]
    assert left == [], "the script leaves something behind, or writes into a fitter's own records"
    return ran


def records_part() -> str:
    """Return what the script prints of keeping records."""
    return run_sh().stdout.partition("kept as records")[2]


def choice(wearer: str, last: str) -> dict[str, Any]:
    found: dict[str, Any] = next(one for one in answers()[wearer]["choices"] if one["last"] == last)
    return found


def reasons(wearer: str) -> set[str]:
    return {entry["reason"] for entry in answers()[wearer]["referral"]}


def note(wearer: str) -> str:
    """Return one wearer's part of the printed run, as one line of words."""
    printed = run_sh().stdout
    found = re.search(rf"(?ms)^{wearer}$(.*?)Not\s+medical\s+advice", printed)
    assert found, f"no note for {wearer}"
    return " ".join(found[1].split())


def test_the_script_ends_with_1_and_says_aside_only_who_was_never_measured() -> None:
    ran = run_sh()
    passers = r"passer-\d(, passer-\d)*"
    assert ran.returncode == 1
    assert re.fullmatch(rf"heelball: no readings of {passers}: taken as never measured\n", ran.stderr)
    notes = ran.stdout.partition("kept as records")[0].splitlines()
    assert max(len(line) for line in notes if not line.startswith("$ ")) <= 80


def test_a_failing_foot_ends_the_script(tmp_path: Path) -> None:
    copy = tmp_path / "demo"
    copy.mkdir()
    (copy / "run.sh").write_text((DEMO / "run.sh").read_text(encoding="utf-8"), encoding="utf-8")
    ran = subprocess.run(["sh", str(copy / "run.sh")], env=environment(), capture_output=True, text=True)
    assert ran.returncode == 2
    assert "records" not in ran.stdout


def test_the_crew_and_the_lasts_are_kept_and_taken_out() -> None:
    told = records_part()
    assert "8 lasts brought in.\n12 wearers brought in.\n" in told
    for code in ("carpenter", "cook"):
        assert f"Health answers of {code} were left out" in told, "nobody was asked for consent"
    assert "Nothing is wrong with the records." in told
    assert re.search(r"^Backed up to \S+\.sqlite3\.$", told, re.MULTILINE)
    assert re.search(r"^Exported \d{3} rows to \S+/taken-out\.$", told, re.MULTILINE)


def test_the_script_ends_with_how_to_open_the_bench_on_them() -> None:
    _before, _opens, words = records_part().partition("To open the bench on them")
    lines = [line.strip() for line in words.splitlines()]
    assert lines[-2:] == ["heelball records import demo/wearers demo/crew.csv demo/lasts", "heelball bench"]
    for page in (REPOSITORY / "README.md", DEMO / "README.md", REPOSITORY / "docs" / "bench.md"):
        text = page.read_text(encoding="utf-8")
        assert "\n".join(lines[-2:]) in text, f"{page.name} opens the bench in other words"


def test_a_dozen_wearers_and_eight_lasts_of_four_makers() -> None:
    assert len(answers()) == 12
    lasts = [tomllib.loads(path.read_text(encoding="utf-8")) for path in (DEMO / "lasts").glob("*.toml")]
    assert (len(lasts), len({last["maker"] for last in lasts})) == (8, 4)
    told = {(one["last"], one["maker"]) for one in answers()["lead"]["choices"]}
    assert told == {(last["code"], last["maker"]) for last in lasts}


def test_the_readme_names_every_wearer_and_last() -> None:
    rows = set(re.findall(r"^\| (\w+) \|", (DEMO / "README.md").read_text(encoding="utf-8"), re.MULTILINE))
    assert rows - {"wearer", "last"} == {*answers(), *(one["last"] for one in answers()["lead"]["choices"])}


def test_the_cook_is_sent_to_a_clinician_and_the_climber_to_the_gauge() -> None:
    assert reasons("cook") == {"diabetes-with-signs"}
    assert reasons("climber") == {"length-over-ball"}
    assert [code for code, line in answers().items() if line["referral"]] == ["cook", "climber"]
    cook = note("cook")
    assert "see a podiatrist or the diabetes foot clinic before ordering" in cook
    assert cook.index("podiatrist") < cook.index(": order ")


def test_the_drivers_slip_is_asked_about_and_not_repaired() -> None:
    assert [code for code, line in answers().items() if line["slips"]] == ["driver"]
    (slip,) = answers()["driver"]["slips"]
    assert "201" in slip["text"]
    assert slip["text"].rstrip(".").split("?")[0].startswith("Was left heel-to-ball 210 mm")
    left = answers()["driver"]["foot"]["left"]["ball"]["mean_mm"]
    assert left > 203, "the reading stands as it was written"
    assert "Was left heel-to-ball 210 mm 201, with two digits exchanged?" in note("driver")


def test_the_odd_pair_takes_the_larger_foot_and_names_both() -> None:
    rule = choice("mason", "Q1")["trade_rule"]
    assert rule["order"] == {"size": "10", "width": "D"}, "the right's 10 1/2, half down"
    assert rule["also"] == [{"size": "9", "width": "D"}]


def test_the_short_wide_foot_is_served_by_letters_alone() -> None:
    best = answers()["packer"]["choices"][0]
    assert best["order"]["width"] in ("EE", "EEE")
    assert choice("packer", "SF30")["order"] is None, "one width does not hold it"


def test_the_long_heel_to_ball_is_not_ordered_by_length() -> None:
    rule = choice("rigger", "Q1")["trade_rule"]
    assert rule["order"]["size"] == "11", "ball 11 1/2, half down; the length alone would have said 9 1/2"
    best = answers()["rigger"]["choices"][0]["order"]["size"]
    assert float(best.replace(" 1/2", ".5")) >= 10.5


def test_the_hot_afternoon_is_judged_beside_the_morning() -> None:
    states = answers()["sawyer"]["choices"][0]["by_state"]
    assert [(state["name"], state["share"]) for state in states] == [
        ("morning", 0.4),
        ("burn, afternoon", 0.6),
    ]
    cool, hot = (state["by_place"]["right"]["breadth"]["mean_mm"] for state in states)
    assert hot == pytest.approx(cool - (3 - 2) - (2.5 - 1.3), abs=0.02), "1 mm of sock and 1.2 mm of swelling"


def test_the_seated_foot_is_brought_to_standing() -> None:
    right = answers()["lookout"]["foot"]["right"]["length"]["mean_mm"]
    assert 242 < right < 246, "241 mm seated is near 244.6 standing"


def test_the_unstated_wearer_is_weighed_as_both(tmp_path: Path) -> None:
    text = (DEMO / "wearers" / "steward.toml").read_text(encoding="utf-8")
    stated = []
    for population in ("women", "men"):
        file = tmp_path / f"{population}.toml"
        file.write_text(text.replace('"unstated"', f'"{population}"').replace('"steward"', f'"{population}"'))
        stated.append(json.loads(heelball("foot", str(file), "--json").stdout)["right"]["girth"]["mean_mm"])
    women, men = stated
    assert women < answers()["steward"]["foot"]["right"]["girth"]["mean_mm"] < men


def test_the_checked_gauge_is_known_better() -> None:
    lead, sawyer = (answers()[code]["foot"]["right"]["ball"]["sd_mm"] for code in ("lead", "sawyer"))
    assert lead < sawyer - 0.5


def test_the_orthosis_is_to_be_tried_on_with() -> None:
    assert "Try the boot on with the orthosis in it" in note("carpenter")
    assert choice("carpenter", "Q1")["by_place"]["left"]["heel"] is not None, (
        "the heel was read, so it is judged"
    )
    assert choice("sawyer", "Q1")["by_place"]["left"]["heel"] is None


def test_makers_are_cautioned_about() -> None:
    cautions = {one["last"]: " ".join(one["cautions"]) for one in answers()["surveyor"]["choices"]}
    assert "takes no exchanges" in cautions["BK7"]
    assert "Pull-on" in cautions["BK9"]
    assert "Hard cap" in cautions["SF44"]
    assert "gives no advice" in cautions["TD2"]
    assert "measured pair speaks for it" in cautions["TD5"]
    assert "A question to Tarrowdene, drafted" in note("surveyor")


def test_the_measured_last_runs_as_measured() -> None:
    told = heelball("last", str(DEMO / "lasts" / "TD5.toml"), str(DEMO / "lasts" / "TD2.toml"), "--json")
    assert told.returncode == 0, told.stderr
    ball = {}
    for line in map(json.loads, told.stdout.splitlines()):
        label = next(one for one in line["labels"] if (one["size"], one["width"]) == ("10", "D"))
        ball[line["last"]] = label["built_for"]["ball"]
    assert ball["TD5"]["mean_mm"] == pytest.approx(204, abs=1)
    assert ball["TD5"]["sd_mm"] < 2.0 < ball["TD2"]["sd_mm"]


def test_the_readme_shows_what_the_program_draws_today(tmp_path: Path) -> None:
    drawn = tmp_path / "drawn.svg"
    lasts = str(DEMO / "lasts")
    told = heelball("choose", str(DEMO / "wearers" / "sawyer.toml"), "--lasts", lasts, "--svg", str(drawn))
    assert told.returncode == 0, told.stderr
    picture = "docs/pictures/foot-in-boot.svg"
    assert picture in (REPOSITORY / "README.md").read_text(encoding="utf-8")
    shown, now = (
        re.findall(r">([^<>]+)</t", path.read_text(encoding="utf-8"))
        for path in (REPOSITORY / picture, drawn)
    )
    assert "boot bends here" in now
    assert shown == now, "run `make picture`"


def test_the_try_ons_teach_and_a_pair_that_arrived_is_checked() -> None:
    printed = run_sh().stdout
    learned = printed.partition("How the lasts run, from 105 try-ons")[2].partition("kept as records")[0]
    assert "TD2, Tarrowdene, from 25 pairs" in learned
    assert "likely a" in learned
    checked = learned.partition("TD2 by Tarrowdene: exchange 10 D for ")[2]
    assert "12 days are left to send it back, today among them." in " ".join(checked.split())
    assert "What this pair teaches of TD2" in checked
