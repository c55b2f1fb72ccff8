"""``heelball check`` as a person runs it."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from heelball.cli.main import run
from tests.work.bench import lasts_folder, wearer_toml, write

Check = Callable[..., tuple[int, str, str]]


@pytest.fixture
def lasts(tmp_path: Path) -> Path:
    return lasts_folder(tmp_path / "lasts")


@pytest.fixture
def check(tmp_path: Path, lasts: Path, capsys) -> Check:
    wearer = write(tmp_path / "w1.toml", wearer_toml("W1"))

    def call(*words: str | Path, who: Path = wearer, last: str = "N7", size: str = "10", width: str = "D"):
        label = [
            word for name, word in (("--size", size), ("--width", width)) if word for word in (name, word)
        ]
        named = ["check", who, "--last", last, *label, "--lasts", lasts, *words]
        code = run([str(word) for word in named])
        printed = capsys.readouterr()
        assert "Traceback" not in printed.err
        return code, printed.out, printed.err

    return call


FAR = ("--left", "ball=much", "--right", "ball=much")
RIGHT = "ball=right,toe=right,breadth=right,girth=right"


def test_a_note(check: Check) -> None:
    code, out, err = check(*FAR, "--flex-line", "210", "--days-left", "6")
    assert (code, err) == (0, "")
    lines = out.splitlines()
    assert max(map(len, lines)) <= 80
    assert lines[0] == "W1"
    assert "N7 by Northmoor: exchange 10 D for 9 1/2 D" in lines
    said = " ".join(out.split())
    assert "6 days are left to send it back, today among them." in said
    assert "Left foot, ball: bends ahead of the joint by chance" in said or "Right foot, ball:" in said
    assert "Flex line 7.2 mm further forward than expected" in said
    assert "long in the ball, ±" in out.split("What this pair teaches of N7")[1]
    assert "never in length or where it bends" in said
    assert "Not medical advice." in said


def test_a_pair_called_right_is_kept(check: Check) -> None:
    code, out, _ = check("--left", RIGHT, "--right", RIGHT)
    assert code == 0
    assert "N7 by Northmoor: keep 10 D" in out.splitlines()
    assert "called right" in " ".join(out.split())


def test_the_record(check: Check) -> None:
    code, out, _ = check(*FAR, "--flex-line", "8 1/8 in", "--inside-length", "29 cm", "--json")
    assert out.count("\n") == 1
    record = json.loads(out)
    assert list(record)[:6] == ["schema", "wearer", "last", "maker", "size", "width"]
    assert (record["schema"], record["say"], record["wearer"]) == ("heelball/check/1", "exchange", "W1")
    assert record["to"] == {"size": "9 1/2", "width": "D"}
    assert record["chance"] == record["other"]["chance"]
    assert [one["what"] for one in record["measured"]] == ["flex_line", "inside_length"]
    assert record["measured"][0]["found_mm"] == 206.38
    run_ = record["run"]["ball"]
    assert run_["after"]["sd_mm"] < run_["before"]["sd_mm"]
    assert run_["after"]["mean_mm"] > run_["before"]["mean_mm"]
    assert code == 0


def test_an_urgent_sign_stands_above_every_step(check: Check, tmp_path: Path) -> None:
    hurt = write(tmp_path / "hurt.toml", wearer_toml("W9", "[signs]\nurgent = true\n"))
    code, out, _ = check("--left", RIGHT, who=hurt)
    assert code == 1
    assert out.splitlines()[1].startswith("An urgent sign is told")
    assert out.index("urgent medical help") < out.index("10 D")
    _, line, _ = check("--left", RIGHT, "--json", who=hurt)
    assert list(json.loads(line)).index("referral") < list(json.loads(line)).index("say")


def test_the_pair_among_the_wearers_own_is_not_counted_twice(check: Check, tmp_path: Path) -> None:
    pair = '[[pair]]\nlast = "N7"\nsize = "10"\nwidth = "D"\n'
    words = 'left = { ball = "much" }\nright = { ball = "much" }\n'
    bare = json.loads(check(*FAR, "--json")[1])
    owns = write(tmp_path / "w2.toml", wearer_toml("W1", pair + words))
    assert json.loads(check(*FAR, "--json", who=owns)[1]) == bare
    assert json.loads(check("--json", who=owns)[1]) == bare, "its words count where none are typed"


def test_learned_runs_are_used(check: Check, lasts: Path, tmp_path: Path) -> None:
    rows = "".join(f"W{i},N7,10,D,both,much,right,right\n" for i in range(8))
    tried = write(tmp_path / "tried.csv", "wearer,last,size,width,foot,ball,toe,breadth\n" + rows)
    runs = tmp_path / "runs.json"
    assert run(["learn", str(tried), "--lasts", str(lasts), "--out", str(runs)]) == 0
    before = json.loads(check("--json")[1].splitlines()[-1])
    learned = json.loads(check("--json", "--runs", runs)[1])
    ball, plain = learned["run"]["ball"]["before"], before["run"]["ball"]["before"]
    assert ball["mean_mm"] > plain["mean_mm"] + 2
    measured = json.loads(check("--json", "--runs", runs, "--flex-line", "200")[1])
    assert measured["run"]["ball"]["after"]["sd_mm"] < 2


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--left", "bal=right"], "--left: an unknown place 'bal'; wanted ball"),
        (["--right", "ball"], "--right: 'ball'; wanted places and words such as ball=right,toe=little"),
        (["--right", "ball=rigth"], "--right, ball: 'rigth'; wanted right"),
        (["--left", "toe=right,toe=much"], "--left: toe twice; wanted each place once"),
        (["--left", ""], "--left: ''; wanted places and words such as ball=right,toe=little"),
        (["--flex-line", "8 1/8"], "--flex-line: '8 1/8'; wanted 50 to 400 mm"),
        (["--flex-line", "long"], "--flex-line: 'long'; wanted a length in mm"),
        (["--flex-line", "-5"], "--flex-line: '-5'; wanted a length in mm"),
        (
            ["--flex-line", "290", "--inside-length", "280"],
            "--flex-line: 290 mm in a boot 280 mm long; wanted a line inside the boot",
        ),
        (["--days-left", "-1"], "--days-left: -1; wanted 0 (it cannot go back) or more days"),
        (["--days-left", "x"], "Invalid value for '--days-left'"),
    ],
)
def test_what_is_typed_wrong(check: Check, words: list[str], said: str) -> None:
    code, out, err = check(*words)
    assert (code, out) == (2, "")
    assert said in err
    assert err.count("\n") == 1


def test_a_last_or_label_that_is_not_there(check: Check) -> None:
    assert "--last: an unknown last 'N8'; wanted N7" in check(last="N8")[2]
    assert "--size: '10x'; wanted a size on us-men" in check(size="10x")[2]
    code, _, err = check(width="QQ")
    assert code == 2
    assert "--size, --width: no label '10 QQ' of N7; wanted " in err


def test_every_problem_is_told(check: Check) -> None:
    _, _, err = check("--left", "bal=right,toe=wide", "--days-left", "-1", "--flex-line", "5", last="N8")
    assert err.count("\n") == 5


def test_one_wearer_and_an_adult(check: Check, tmp_path: Path) -> None:
    rows = "".join(f"{who},men,left,length,mm,27{i}\n" for i, who in enumerate(("A", "B")))
    crew = write(tmp_path / "crew.csv", "wearer,population,foot,what,scale,value\n" + rows)
    code, _, err = check(who=crew)
    assert (code, err) == (2, "heelball: check is for one wearer; crew.csv has 2. Name one.\n")
    reading = '[[reading]]\nfoot = "left"\nwhat = "length"\nscale = "gauge-child"\nvalue = "12"\n'
    child = write(tmp_path / "c1.toml", f'schema = "heelball/wearer/1"\n{reading}')
    code, _, err = check(who=child)
    assert code == 2
    assert "children's feet are not judged" in err
