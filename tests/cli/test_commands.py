"""The commands as a person runs them: what is printed where, and how they end."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest

from heelball import __version__
from heelball.cli.main import run
from heelball.errors import InternalFault
from heelball.work.many import WORTH_IT
from tests.work.bench import KESTREL, NORTHMOOR, SMALL, lasts_folder, readings, wearer_toml, write

STANDING = "Not medical advice. Where right ends and too little or too much begins is"


class Ran:
    """How a command went."""

    def __init__(self, code: int, out: str, err: str) -> None:
        self.code, self.out, self.err = code, out, err

    @property
    def records(self) -> list[dict]:
        return [json.loads(line) for line in self.out.splitlines()]


@pytest.fixture
def heelball(capsys):
    def call(*words: str | Path) -> Ran:
        code = run([str(word) for word in words])
        printed = capsys.readouterr()
        assert "Traceback" not in printed.err
        return Ran(code, printed.out, printed.err)

    return call


@pytest.fixture
def lasts(tmp_path: Path) -> Path:
    return lasts_folder(tmp_path / "lasts")


@pytest.fixture
def wearer(tmp_path: Path) -> Path:
    return write(tmp_path / "w1.toml", wearer_toml("W1"))


def test_version(heelball) -> None:
    ran = heelball("--version")
    assert (ran.code, ran.out) == (0, f"heelball {__version__}\n")


def test_help_names_every_command(heelball) -> None:
    ran = heelball("--help")
    assert ran.code == 0
    for command in ("choose", "foot", "last", "convert"):
        assert re.search(rf"^  {command} ", ran.out, re.MULTILINE)
        assert heelball(command, "--help").code == 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "heelball: Missing command."),
        (["chose"], "heelball: No such command 'chose'."),
        (["choose"], "heelball: Missing argument 'WEARER...'."),
        (["choose", "w.toml"], "heelball: Missing option '--lasts'."),
        (["choose", "w.toml", "--lasts", "x", "--all-labels"], "heelball: --all-labels goes with --json."),
        (["choose", "w.toml", "--lasts", "x", "--detail", "-1"], "heelball: Invalid value for '--detail'"),
        (["foot", "--last", "x"], "heelball: No such option"),
        (["convert", "10", "--to", "eu"], "heelball: Missing option '--from'."),
    ],
)
def test_words_that_do_not_go_together(heelball, words: list[str], said: str) -> None:
    ran = heelball(*words)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith(said)
    assert ran.err.count("\n") == 1


def test_a_bench_note(heelball, wearer: Path, lasts: Path) -> None:
    ran = heelball("choose", wearer, "--lasts", lasts)
    assert (ran.code, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert max(map(len, lines)) <= 80
    assert lines[0] == "W1"
    assert "T. Nobody" not in ran.out
    assert "1. N7 by Northmoor: order 10 D" in lines
    headline = lines.index("1. N7 by Northmoor: order 10 D")
    assert lines[headline + 1].startswith("   Doubtful "), "the doubtful place comes first"
    assert "computed 10 D; trade rule 10 D." in ran.out
    assert "%" not in lines[headline], "the chance belongs in the detail"
    assert STANDING in lines[-2]
    assert "A question to Kestrel Bench, drafted" in lines
    assert "Kestrel Bench takes no exchanges: settle that before ordering." in ran.out


def test_lasts_that_are_not_told_in_full_are_listed(heelball, wearer: Path, lasts: Path) -> None:
    ran = heelball("choose", wearer, "--lasts", lasts, "--detail", "1")
    assert "2. K2 by" not in ran.out
    listed = ran.out.split("Other lasts, the better first")[1]
    assert listed.index("K2") < listed.index("S1")
    assert max(map(len, ran.out.splitlines())) <= 80


def test_one_line_of_json_a_wearer(heelball, tmp_path: Path, wearer: Path, lasts: Path) -> None:
    other = write(tmp_path / "w2.toml", wearer_toml("W2", both=False))
    ran = heelball("choose", other, wearer, "--lasts", lasts, "--json")
    assert (ran.code, ran.err) == (0, "")
    assert [record["wearer"] for record in ran.records] == ["W2", "W1"]
    assert ran.records[1]["choices"][0]["last"] == "N7"
    assert "labels" not in ran.records[0]["choices"][0]
    listed = heelball("choose", wearer, "--lasts", lasts, "--json", "--all-labels")
    assert len(listed.records[0]["choices"][0]["labels"]) == 45


def test_detail_says_how_many_lasts_get_sentences(heelball, wearer: Path, lasts: Path) -> None:
    ran = heelball("choose", wearer, "--lasts", lasts, "--json", "--detail", "1")
    assert [bool(choice["why"]) for choice in ran.records[0]["choices"]] == [True, False, False]


def test_nothing_that_serves_ends_with_1(heelball, tmp_path: Path, wearer: Path) -> None:
    small = lasts_folder(tmp_path / "small", SMALL)
    ran = heelball("choose", wearer, "--lasts", small)
    assert ran.code == 1
    assert "1. S1 by Small & Sons: none serves, 6 is least wrong" in ran.out
    assert "No label of any last serves; a made pair would need" in ran.out
    assert heelball("choose", wearer, "--lasts", small, "--json").code == 1


def test_an_urgent_sign_stands_above_every_order(heelball, tmp_path: Path, lasts: Path) -> None:
    hurt = write(tmp_path / "hurt.toml", wearer_toml("W9", "[signs]\nurgent = true\n"))
    ran = heelball("choose", hurt, "--lasts", lasts)
    assert ran.code == 1
    assert ran.out.splitlines()[1].startswith("An urgent sign is told")
    assert ran.out.index("urgent medical help") < ran.out.index("order 10 D")
    record = heelball("choose", hurt, "--lasts", lasts, "--json").records[0]
    assert record["referral"][0]["reason"] == "urgent"
    assert heelball("foot", hurt).code == 1


def test_a_child_gets_a_sentence_and_no_boot(heelball, tmp_path: Path, lasts: Path) -> None:
    text = 'schema = "heelball/wearer/1"\ncode = "C1"\n' + readings(
        "left", ("12C", "12C", "D"), "gauge-child"
    )
    child = write(tmp_path / "child.toml", text)
    ran = heelball("choose", child, "--lasts", lasts, "--json")
    assert ran.code == 1
    assert ran.records[0]["choices"] == []
    assert "child" in ran.records[0]["referral"][0]["text"]
    note = heelball("choose", child, "--lasts", lasts)
    assert note.code == 1
    assert "order" not in note.out.replace("Before ordering", "")
    drawn = heelball("choose", child, "--lasts", lasts, "--svg", tmp_path / "child.svg")
    assert (drawn.code, drawn.out) == (2, "")
    assert not (tmp_path / "child.svg").exists()
    assert heelball("foot", child).code == 1


def test_the_drawing(heelball, tmp_path: Path, wearer: Path, lasts: Path) -> None:
    drawing = tmp_path / "w1.svg"
    ran = heelball("choose", wearer, "--lasts", lasts, "--svg", drawing, "--json")
    assert (ran.code, ran.err) == (0, "")
    root = ElementTree.fromstring(drawing.read_text(encoding="utf-8"))
    words = " ".join(root.itertext())
    assert "W1 in N7 by Northmoor: order 10 D" in words
    # Boot less foot, as drawn, is the margin the record tells.
    toe = ran.records[0]["choices"][0]["by_place"]["left"]["toe"]["mean_mm"]
    assert f"toe room {toe:.1f} mm" in words
    assert sorted(path.name for path in tmp_path.iterdir()) == ["lasts", "w1.svg", "w1.toml"]


def test_a_drawing_takes_one_wearer_and_a_folder_that_is_there(
    heelball, tmp_path: Path, wearer: Path, lasts: Path
) -> None:
    other = write(tmp_path / "w2.toml", wearer_toml("W2"))
    two = heelball("choose", wearer, other, "--lasts", lasts, "--svg", tmp_path / "two.svg")
    assert (two.code, two.out) == (2, "")
    assert two.err == "heelball: --svg draws exactly one wearer; here are 2. Name one wearer file.\n"
    astray = heelball("choose", wearer, "--lasts", lasts, "--svg", tmp_path / "missing" / "w1.svg")
    assert (astray.code, astray.out) == (2, "")
    assert "missing; wanted a file in a folder that is there" in astray.err
    folder = heelball("choose", wearer, "--lasts", lasts, "--svg", tmp_path)
    assert (folder.code, folder.out) == (2, "")
    assert not list(tmp_path.glob("*.svg"))


def test_every_problem_is_a_line_and_nothing_is_printed(
    heelball, tmp_path: Path, wearer: Path, lasts: Path
) -> None:
    wrong = write(
        tmp_path / "wrong.toml", wearer_toml("W3").replace('"10"', '"10 kg"').replace("code", "cod")
    )
    ran = heelball("choose", wearer, wrong, "--lasts", lasts, "--json", "--svg", tmp_path / "x.svg")
    assert (ran.code, ran.out) == (2, "")
    lines = ran.err.splitlines()
    assert len(lines) == 3
    assert all(line.startswith("heelball: ") and "wrong.toml" in line for line in lines)
    assert not (tmp_path / "x.svg").exists()


@pytest.mark.parametrize("command", ["foot", "choose", "last"])
def test_a_missing_file_is_a_sentence(heelball, tmp_path: Path, lasts: Path, command: str) -> None:
    more = ["--lasts", lasts] if command == "choose" else []
    ran = heelball(command, tmp_path / "nobody.toml", *more)
    assert (ran.code, ran.out) == (2, "")
    assert "nobody.toml" in ran.err


def test_a_child_s_last_is_refused(heelball, tmp_path: Path, wearer: Path) -> None:
    text = SMALL.replace('"uk"', '"uk-child"').replace("4-6", "10-12")
    ran = heelball("last", write(tmp_path / "child-last.toml", text))
    assert (ran.code, ran.out) == (2, "")
    assert "children's lasts are not judged" in ran.err
    ran = heelball("choose", wearer, "--lasts", lasts_folder(tmp_path / "small", text))
    assert (ran.code, ran.out) == (2, "")
    assert "children's lasts are not judged" in ran.err


def test_both_feet(heelball, tmp_path: Path, wearer: Path) -> None:
    ran = heelball("foot", wearer)
    assert (ran.code, ran.err) == (0, "")
    assert max(map(len, ran.out.splitlines())) <= 80
    assert "Each foot bends like a 10 1/2, measures a 10." in ran.out
    assert re.search(r"length +27\d\.\d ±\d\.\d  10 ", ran.out)
    assert heelball("foot", wearer, "--json").records[0]["schema"] == "heelball/foot/1"


def test_a_last(heelball, tmp_path: Path) -> None:
    files = [write(tmp_path / "n7.toml", NORTHMOOR), write(tmp_path / "k2.toml", KESTREL)]
    ran = heelball("last", *files)
    assert (ran.code, ran.err) == (0, "")
    assert max(map(len, ran.out.splitlines())) <= 80
    assert len(re.findall(r"^  10 1/2 D ", ran.out, re.MULTILINE)) == 1
    assert "All figures come from the size scale, US men and Northmoor's advice." in ran.out
    records = heelball("last", *files, "--json").records
    assert [record["last"] for record in records] == ["N7", "K2"]


def test_what_contradicts_is_told(heelball, tmp_path: Path) -> None:
    odd = NORTHMOOR + '[[measured]]\nsize = "10"\nwidth = "D"\nflex_line_mm = 240.0\n'
    ran = heelball("last", write(tmp_path / "odd.toml", odd))
    assert ran.code == 0
    assert "Does not agree" in ran.out
    assert "By the flex line of the 10 D N7 bends" in ran.out


def test_convert(heelball) -> None:
    ran = heelball("convert", "10 1/2", "--from", "gauge-men", "--to", "eu")
    assert (ran.code, ran.out.splitlines()[0]) == (0, "gauge-men 10 1/2 is eu 43 1/2 (falls at 43.28).")
    assert (
        heelball("convert", "10 1/2", "--from", "gauge-men", "--to", "eu", "--json").records[0]["high"]
        == "44 1/2"
    )
    refused = heelball("convert", "10 3/8", "--from", "gauge-men", "--to", "eu")
    assert (refused.code, refused.out) == (2, "")


def test_many_wearers_come_in_the_order_given(heelball, tmp_path: Path, lasts: Path) -> None:
    codes = [f"P{number:03d}" for number in range(WORTH_IT + 9)][::-1]
    rows = [
        f"{code},men,{foot},{what},gauge-men,{value}"
        for code in codes
        for foot in ("left", "right")
        for what, value in (("length", "10"), ("ball", "10 1/2"))
    ]
    file = write(tmp_path / "many.csv", "\n".join(["wearer,population,foot,what,scale,value", *rows]) + "\n")
    ran = heelball("choose", file, "--lasts", lasts, "--json")
    assert (ran.code, ran.err) == (0, "")
    assert [record["wearer"] for record in ran.records] == codes
    alone = write(
        tmp_path / "one.csv", "\n".join(["wearer,population,foot,what,scale,value", *rows[:4]]) + "\n"
    )
    assert heelball("choose", alone, "--lasts", lasts, "--json").records[0] == ran.records[0]


def test_a_fault_of_ours_is_one_line_and_70(heelball, monkeypatch, wearer: Path) -> None:
    def broken(*_args, **_named):
        raise ZeroDivisionError("a divisor\nof nought")

    monkeypatch.setattr("heelball.work.foot.describe", broken)
    ran = heelball("foot", wearer)
    assert (ran.code, ran.out) == (70, "")
    assert ran.err == "heelball: A fault of ours, not of your input: ZeroDivisionError: a divisor of nought\n"

    def at_fault(*_args, **_named):
        raise InternalFault("No words for it.")

    monkeypatch.setattr("heelball.work.foot.describe", at_fault)
    assert heelball("foot", wearer).code == 70


def test_stopping_it_is_130(heelball, monkeypatch, wearer: Path) -> None:
    def stopped(*_args, **_named):
        raise KeyboardInterrupt

    monkeypatch.setattr("heelball.work.foot.describe", stopped)
    ran = heelball("foot", wearer)
    assert (ran.code, ran.err) == (130, "")


def test_a_reader_that_has_seen_enough_is_no_fault(tmp_path: Path, wearer: Path, lasts: Path) -> None:
    script = "from heelball.cli.main import main; main()"
    words = [sys.executable, "-c", script, "last", *[str(lasts / "last-0.toml")] * 400]
    process = subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.readline()
    process.stdout.close()
    assert process.stderr.read() == b""
    process.stderr.close()
    assert process.wait() == 0


@pytest.mark.parametrize("encoding", ["ascii", "utf-8"])
def test_a_terminal_that_lacks_a_sign_still_gets_its_note(wearer: Path, lasts: Path, encoding: str) -> None:
    script = "from heelball.cli.main import main; main()"
    ran = subprocess.run(
        [sys.executable, "-c", script, "foot", str(wearer)],
        capture_output=True,
        env={"PYTHONIOENCODING": encoding, "PYTHONPATH": ":".join(sys.path)},
    )
    assert (ran.returncode, ran.stderr) == (0, b"")
    assert ("±" if encoding == "utf-8" else "?") in ran.stdout.decode(encoding)
