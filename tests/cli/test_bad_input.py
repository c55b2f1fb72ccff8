"""Every bad input of issue 3, through the command: exit 2, one sentence a problem, nothing else."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from attrs import frozen
from hypothesis import given
from hypothesis import strategies as st

from heelball.cli.main import run
from heelball.errors import InputError
from heelball.work.last_file import read_last
from heelball.work.wearer_file import read_wearers
from tests.work.bench import KESTREL, NORTHMOOR, lasts_folder, readings, wearer_toml, write

WEARER = 'schema = "heelball/wearer/1"\n'
LENGTH = '[[reading]]\nfoot = "left"\nwhat = "length"\nscale = "mm"\nvalue = "270"\n'
HEADER = "wearer,population,foot,what,scale,value\n"
LAST = 'schema = "heelball/last/1"\ncode = "N7"\nmaker = "Northmoor"\nlabel_scale = "us-men"\n'


def one(**fields: str) -> str:
    """Return a file of one reading, a length in mm but for the fields given as TOML."""
    told = {"foot": '"left"', "what": '"length"', "scale": '"mm"', "value": '"270"'} | fields
    return WEARER + "[[reading]]\n" + "".join(f"{name} = {value}\n" for name, value in told.items())


def row(*cells: str) -> str:
    """Return a file of one row, a length in mm but for its last cells."""
    return HEADER + ",".join((*("W1", "men", "left", "length", "mm", "270")[: 6 - len(cells)], *cells)) + "\n"


def last(sizes: str = '"8-12"', more: str = "") -> str:
    """Return a last file with an offer as TOML."""
    return f"{LAST}sizes = {sizes}\n{more}"


def day(*shares: str) -> str:
    """Return a wearer whose day has these shares."""
    states = (f'[[day]]\nname = "part {i}"\nshare = {share}\n' for i, share in enumerate(shares))
    return WEARER + LENGTH + "".join(states)


@frozen
class Bad:
    """One bad file and what its sentence says: its place in full, and parts of the rest."""

    file: str
    text: str | bytes
    place: str
    found: str
    wanted: str


IN_MM = "a length in mm"
VALUE = "w.toml, reading 1, value"
TOML = "w.toml"

CASES: dict[str, Bad] = {
    # The file as a whole.
    "empty": Bad(TOML, "", TOML, "empty", "something in it"),
    "blank": Bad(TOML, " \n\t\n", TOML, "empty", "something in it"),
    "empty readings": Bad("w.csv", "", "w.csv", "empty", "something in it"),
    "empty last": Bad("lasts/l.toml", "", "l.toml", "empty", "something in it"),
    "wrong schema": Bad(TOML, NORTHMOOR, "w.toml, schema", "'heelball/last/1'", '"heelball/wearer/1"'),
    "wrong schema of a last": Bad("lasts/l.toml", wearer_toml("W"), "l.toml, schema", "wearer", "last/1"),
    "later schema": Bad(TOML, 'schema = "heelball/wearer/2"', "w.toml, schema", "wearer/2", "wearer/1"),
    "schema of a wrong kind": Bad(TOML, "schema = [1]", "w.toml, schema", "a list", "wearer/1"),
    "no schema": Bad(TOML, LENGTH, "w.toml, schema", "no schema", '"heelball/wearer/1"'),
    "no reading": Bad(TOML, WEARER, TOML, "no reading", "[[reading]]"),
    "not UTF-8": Bad(TOML, WEARER.encode() + b'code = "\xe9"', "w.toml, line 2", "not UTF-8", "UTF-8"),
    "UTF-16": Bad(TOML, (WEARER + LENGTH).encode("utf-16"), "w.toml, line 1", "not UTF-8", "UTF-8"),
    "readings not UTF-8": Bad("w.csv", HEADER.encode() + b"\xff", "w.csv, line 2", "not UTF-8", "UTF-8"),
    "null byte": Bad(TOML, WEARER + "\0", "w.toml, line 2", "null byte", "plain text"),
    "null byte in readings": Bad("w.csv", row("27\0"), "w.csv, line 2", "null byte", "plain text"),
    "null byte escaped": Bad(TOML, one(value=r'"27\u0000"'), VALUE, "null byte", ""),
    "TOML syntax": Bad(TOML, WEARER + "code = = 1\n", "w.toml, line 2, column 8", "not TOML", "a TOML file"),
    "TOML cut off": Bad(TOML, WEARER + "code = [", "w.toml, at its end", "not TOML", "a TOML file"),
    "key twice": Bad(TOML, WEARER + 'code="a"\ncode="b"\n', "w.toml, line 3, column 9", "overwrite", "TOML"),
    "deep nesting": Bad(TOML, WEARER + "code = " + "[" * 100_000, TOML, "nested too deep", "TOML"),
    "deep tables": Bad(TOML, WEARER + "a = " + "{a=" * 50_000, TOML, "nested too deep", "TOML"),
    "a number of thousands of digits": Bad(TOML, one(value="9" * 6000), TOML, "thousands of digits", "TOML"),
    "a .txt": Bad("w.txt", WEARER + LENGTH, "w.txt", "ending in .txt", ".toml or .csv"),
    "no ending": Bad("w", WEARER + LENGTH, "w", "without an ending", ".toml or .csv"),
    # Fields.
    "unknown field": Bad(
        TOML, WEARER + 'populaton = "men"\n' + LENGTH, "w.toml, populaton", "unknown", "population"
    ),
    "unknown field of a reading": Bad(TOML, one(vlaue='"3"'), "w.toml, reading 1, vlaue", "unknown", "value"),
    "unknown field of a last": Bad(
        "lasts/l.toml", last(more='stifness = "soft"'), "l.toml, stifness", "unknown", "stiffness"
    ),
    "unknown word": Bad(TOML, one(foot='"lefft"'), "w.toml, reading 1, foot", "'lefft'", "left"),
    "unknown scale": Bad(
        TOML, one(scale='"gauge-mens"'), "w.toml, reading 1, scale", "'gauge-mens'", "gauge-men"
    ),
    "missing field": Bad(
        TOML,
        WEARER + LENGTH.replace('what = "length"\n', ""),
        "w.toml, reading 1, what",
        "nothing",
        "length, ball",
    ),
    "a table for a list": Bad(
        TOML, WEARER + "[reading]\nfoot = 1", "w.toml, reading", "a table [reading]", "[[reading]]"
    ),
    "a number for a list": Bad(TOML, WEARER + "reading = 3", "w.toml, reading", "3", "[[reading]]"),
    # Numbers.
    "negative": Bad(TOML, one(value='"-270"'), VALUE, "'-270'", IN_MM),
    "negative number": Bad(TOML, one(value="-270"), VALUE, "'-270'", IN_MM),
    "negative size": Bad(TOML, one(scale='"gauge-men"', value='"-3"'), VALUE, "'-3'", "gauge-men"),
    "zero": Bad(TOML, one(value='"0"'), VALUE, "0 mm", "10 to 1000 mm"),
    "zero in readings": Bad("w.csv", row("0"), "w.csv, line 2, column value", "0 mm", "10 to 1000 mm"),
    "NaN": Bad(TOML, one(value="nan"), VALUE, "nan", ""),
    "NaN as text": Bad(TOML, one(value='"NaN"'), VALUE, "'NaN'", IN_MM),
    "NaN in readings": Bad("w.csv", row("nan"), "w.csv, line 2, column value", "'nan'", IN_MM),
    "infinite": Bad(TOML, one(value="-inf"), VALUE, "-inf", ""),
    "infinite as text": Bad(TOML, one(value='"inf"'), VALUE, "'inf'", IN_MM),
    "too large for a float": Bad(TOML, one(value='"1e999"'), VALUE, "'1e999'", IN_MM),
    "sd NaN": Bad(TOML, one(sd_mm="nan"), "w.toml, reading 1, sd_mm", "nan", "more than 0"),
    "sd infinite": Bad(TOML, one(sd_mm="inf"), "w.toml, reading 1, sd_mm", "inf", "at most 100 mm"),
    "sd zero": Bad(TOML, one(sd_mm="0"), "w.toml, reading 1, sd_mm", "0", "more than 0"),
    "sd of text": Bad(TOML, one(sd_mm='"wide"'), "w.toml, reading 1, sd_mm", "'wide'", "mm"),
    "huge integer": Bad(TOML, one(sd_mm="9" * 400), "w.toml, reading 1, sd_mm", "too many digits", "mm"),
    "a 10 kg foot": Bad(TOML, one(value='"10 kg"'), VALUE, "'10 kg'", IN_MM),
    "another unit": Bad(TOML, one(value='"27 cm"'), VALUE, "'27 cm'", IN_MM),
    "a giant's foot": Bad(TOML, one(value='"2700"'), VALUE, "2700 mm", "10 to 1000 mm"),
    "thousands or decimals": Bad(TOML, one(value='"2,700"'), VALUE, "thousands or decimals", "2700"),
    "true for a size": Bad(TOML, one(value="true"), VALUE, "true", ""),
    "a date that is none": Bad(
        TOML, one(date='"2026-02-30"'), "w.toml, reading 1, date", "'2026-02-30'", "2026-05-03"
    ),
    # Sizes and letters.
    "letter without a line": Bad(
        TOML,
        one(what='"breadth"', scale='"gauge-men"', value='"C"'),
        "w.toml, reading 1, line",
        "letter C without a line",
        '"10 1/2"',
    ),
    "letter in readings": Bad(
        "w.csv",
        row("breadth", "gauge-men", "C"),
        "w.csv, line 2, column line",
        "letter C without a line",
        '"10 1/2"',
    ),
    "no such half size": Bad(
        TOML, one(scale='"cn-old"', value='"40 1/2"'), VALUE, "cn-old has no 40 1/2", "whole size"
    ),
    "no such third": Bad(
        TOML, one(scale='"gauge-men"', value='"10 1/3"'), VALUE, "gauge-men has no 10 1/3", "quarter"
    ),
    "no such mm": Bad(TOML, one(scale='"mondopoint"', value='"272"'), VALUE, "mondopoint has no 272", "5 mm"),
    "size off its scale": Bad(
        TOML, one(scale='"gauge-men"', value='"40"'), VALUE, "40 is off gauge-men", "to 20"
    ),
    "size that stands twice": Bad(TOML, one(scale='"gauge-child"', value='"2"'), VALUE, "twice", "2C"),
    "a quarter of more than one": Bad(
        TOML,
        one(what='"breadth"', scale='"gauge-men"', value='"C 5/4"', line='"10"'),
        VALUE,
        "'C 5/4'",
        "3/4",
    ),
    "no such letter": Bad(
        TOML,
        one(what='"breadth"', scale='"gauge-men"', value='"Q"', line='"10"'),
        VALUE,
        "'Q'",
        "width letter",
    ),
    "a girth in sizes": Bad(
        TOML,
        one(what='"girth"', scale='"gauge-men"', value='"10"'),
        "w.toml, reading 1, scale",
        "girth on gauge-men",
        "mm, cm or in",
    ),
    # A day.
    "shares below one": Bad(TOML, day("0.5", "0.4"), "w.toml, [[day]]", "sum to 0.9", "sum to 1"),
    "shares above one": Bad(TOML, day("0.5", "0.502"), "w.toml, [[day]]", "sum to 1.002", "sum to 1"),
    "share NaN": Bad(TOML, day("nan"), "w.toml, day 1, share", "nan", "at most 1"),
    "share below zero": Bad(TOML, day("1.0", "-0.1"), "w.toml, day 2, share", "-0.1", "more than 0"),
    # A crew.
    "no rows": Bad("w.csv", HEADER, "w.csv", "no reading", "one row"),
    "unknown column": Bad("w.csv", HEADER.replace("value", "value,lode"), "w.csv, line 1", "'lode'", "load"),
    "missing column": Bad(
        "w.csv", "wearer,foot,what,scale,value\n", "w.csv, line 1", "no column population", "population"
    ),
    "column twice": Bad(
        "w.csv", HEADER.replace("value", "value,foot"), "w.csv, line 1", "'foot' twice", "once"
    ),
    "semicolons": Bad("w.csv", HEADER.replace(",", ";"), "w.csv, line 1", "semicolons", "commas"),
    "too few cells": Bad("w.csv", HEADER + "W1,men,left\n", "w.csv, line 2", "3 cells", "6"),
    "too many cells": Bad(
        "w.csv", row("270", "9", "9").replace("left", "left,left", 1), "w.csv, line 2", "cells", "6"
    ),
    "unterminated quote": Bad("w.csv", row('"270'), "w.csv, line 2", "never closed", "one reading a row"),
    "quote within a cell": Bad("w.csv", row('"27"0'), "w.csv, line 2", "not CSV", "one reading a row"),
    "a very long cell": Bad("w.csv", row('"' + "2" * 200_000 + '"'), "w.csv, line 2", "long cell", ""),
    "two populations": Bad(
        "w.csv",
        row("270") + "W1,women,left,ball,mm,200\n",
        "w.csv, line 3, column population",
        "women",
        "one population",
    ),
    "no wearer": Bad(
        "w.csv", HEADER + ",men,left,length,mm,270\n", "w.csv, line 2, column wearer", "nothing", "code"
    ),
    # Codes.
    "code with a line break": Bad(
        TOML, WEARER + 'code = "a\\nb"\n' + LENGTH, "w.toml, code", "control character", "code"
    ),
    "code in readings with a line break": Bad(
        "w.csv",
        HEADER + '"a\nb",men,left,length,mm,270\n',
        "w.csv, line 2, column wearer",
        "control character",
        "code",
    ),
    "code of 10 kB": Bad(TOML, WEARER + f'code = "{"x" * 10_240}"\n' + LENGTH, "w.toml, code", "x", "64"),
    "code of 65": Bad(TOML, WEARER + f'code = "{"x" * 65}"\n' + LENGTH, "w.toml, code", "x", "64"),
    "code in readings of 65": Bad(
        "w.csv", row("270").replace("W1", "x" * 65), "w.csv, line 2, column wearer", "x", "64"
    ),
    "code of a last of 65": Bad("lasts/l.toml", last().replace("N7", "x" * 65), "l.toml, code", "x", "64"),
    "code that turns text round": Bad(
        TOML, WEARER + 'code = "a\\u202eb"\n' + LENGTH, "w.toml, code", "u202e", "64"
    ),
    # Lasts.
    "offer goes backwards": Bad(
        "lasts/l.toml", last('"8-10, 9"'), "l.toml, sizes", "backwards at '9'", "above 10"
    ),
    "range goes backwards": Bad(
        "lasts/l.toml", last('"12-8"'), "l.toml, sizes", "backwards in '12-8'", "smaller size first"
    ),
    "range of a width goes backwards": Bad(
        "lasts/l.toml",
        last('"6-12"', 'widths = { B = "9-8" }'),
        "l.toml, widths, B",
        "backwards",
        "smaller size first",
    ),
    "no offer": Bad("lasts/l.toml", LAST, "l.toml, sizes", "nothing", "6-12"),
    "no width": Bad("lasts/l.toml", last(more="widths = []"), "l.toml, widths", "list", '["B", "D"]'),
    "width twice": Bad(
        "lasts/l.toml", last(more='widths = ["EE", "2E"]'), "l.toml, widths", "one width", "once"
    ),
    "no such width": Bad(
        "lasts/l.toml", last(more='widths = ["B", "Q"]'), "l.toml, widths", "'Q'", "width letter"
    ),
    "a very long width": Bad(
        "lasts/l.toml", last(more=f'widths = ["{"B" * 5000}"]'), "l.toml, widths", "'B", "width letter"
    ),
    "no label": Bad(
        "lasts/l.toml", last('"8-9"', 'widths = { B = "10-11" }'), "l.toml, widths", "no size", "offered"
    ),
    "label on the gauge": Bad(
        "lasts/l.toml", last().replace("us-men", "gauge-men"), "l.toml, label_scale", "'gauge-men'", "us-men"
    ),
    "advice NaN": Bad(
        "lasts/l.toml", last(more="[advice]\norder = nan"), "l.toml, [advice], order", "nan", "sizes"
    ),
    "advice infinite": Bad(
        "lasts/l.toml", last(more='[advice]\norder = "inf"'), "l.toml, [advice], order", "'inf'", "number"
    ),
    "advice of many sizes": Bad(
        "lasts/l.toml", last(more="[advice]\norder = 9"), "l.toml, [advice], order", "9", "5 sizes"
    ),
    "advice by an unknown scale": Bad(
        "lasts/l.toml",
        last(more='[advice]\norder = 1\nfrom = "label"\nscale = "us-man"'),
        "l.toml, [advice], scale",
        "'us-man'",
        "us-men",
    ),
    "flex line of zero": Bad(
        "lasts/l.toml",
        last(more='[[measured]]\nsize = "10"\nflex_line_mm = 0'),
        "l.toml, measured 1, flex_line_mm",
        "0",
        "50 to 400 mm",
    ),
    "measured on no label": Bad(
        "lasts/l.toml",
        last(more='[[measured]]\nsize = "14"\nflex_line_mm = 200'),
        "l.toml, measured 1, size",
        "14",
        "offered",
    ),
    "exchange days below zero": Bad(
        "lasts/l.toml",
        last(more="[terms]\nexchange_days = -1"),
        "l.toml, [terms], exchange_days",
        "-1",
        "0 to 3650",
    ),
}


def refused(
    folder: Path, capsys: pytest.CaptureFixture[str], wearers: list[Path], lasts: Path | None = None
) -> list[str]:
    """Run the command, hold it to its promises of bad input, and return its sentences."""
    if lasts is None:
        lasts = folder / "lasts"
        if not lasts.exists():
            lasts_folder(lasts, NORTHMOOR)
    before = sorted(folder.rglob("*"))
    drawing = folder / "drawing.svg"
    code = run(["choose", *map(str, wearers), "--lasts", str(lasts), "--svg", str(drawing)])
    told = capsys.readouterr()
    assert code == 2
    assert told.out == ""
    assert sorted(folder.rglob("*")) == before
    lines = told.err.removesuffix("\n").split("\n")
    assert all(line.startswith("heelball: ") and line.isprintable() for line in lines)
    assert all(len(line) < 400 for line in lines)
    return [line.removeprefix("heelball: ") for line in lines]


def laid_out(folder: Path, bad: Bad) -> Path:
    """Write the bad file, with a good wearer beside it where it is a last; return the wearer."""
    path = folder / bad.file
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(bad.text if isinstance(bad.text, bytes) else bad.text.encode())
    return path if path.parent == folder else write(folder / "good.toml", wearer_toml("W1"))


@pytest.mark.parametrize(
    "bad",
    [
        pytest.param(
            bad,
            id=name,
        )
        for name, bad in CASES.items()
    ],
)
def test_one_sentence_names_place_found_and_wanted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], bad: Bad
) -> None:
    wearer = laid_out(tmp_path, bad)
    lines = refused(tmp_path, capsys, [wearer])
    assert len(lines) == 1, lines
    place, _, rest = lines[0].partition(": ")
    found, _, wanted = rest.rpartition("; wanted ")
    assert place == bad.place
    assert bad.found in found
    assert bad.wanted in wanted
    assert wanted


def test_nothing_is_wrong_with_what_the_cases_start_from(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write(tmp_path / "w.toml", one())
    write(tmp_path / "w.csv", row("270").replace("W1", "W2"))
    write(tmp_path / "day.toml", day("0.4", "0.6"))
    lasts = lasts_folder(tmp_path / "lasts", last())
    wearers = [str(tmp_path / name) for name in ("w.toml", "w.csv", "day.toml")]
    assert run(["choose", *wearers, "--lasts", str(lasts), "--json"]) in (0, 1)
    assert len(capsys.readouterr().out.splitlines()) == 3


@pytest.mark.parametrize(
    ("file", "limit", "said"),
    [("w.toml", 1_000_000, "1 MB"), ("w.csv", 50_000_000, "50 MB"), ("lasts/l.toml", 1_000_000, "1 MB")],
)
def test_a_file_over_its_limit_is_refused_with_the_limit(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], file: str, limit: int, said: str
) -> None:
    wearer = laid_out(tmp_path, Bad(file, "", "", "", ""))
    with (tmp_path / file).open("r+b") as sparse:
        sparse.truncate(limit + 1)
    (line,) = refused(tmp_path, capsys, [wearer])
    assert line.startswith(f"{Path(file).name}: ")
    assert f"at most {limit} bytes ({said})" in line


def test_a_file_at_its_limit_is_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = WEARER + LENGTH
    padded = text + "#" + "x" * (1_000_000 - len(text) - 2) + "\n"
    path = write(tmp_path / "w.toml", padded)
    assert path.stat().st_size == 1_000_000
    assert run(["foot", str(path)]) in (0, 1)


def _no_lasts(folder: Path) -> None:
    (folder / "lasts").mkdir()


def _lasts_that_are_none(folder: Path) -> None:
    _no_lasts(folder)
    write(folder / "lasts" / "read-me.txt", "none here")


def _a_file_for_a_folder(folder: Path) -> None:
    write(folder / "lasts", NORTHMOOR)


def _two_of_one_code(folder: Path) -> None:
    lasts_folder(folder / "lasts", NORTHMOOR, KESTREL.replace("K2", "N7"))


def _a_directory_for_a_last(folder: Path) -> None:
    lasts_folder(folder / "lasts", NORTHMOOR)
    (folder / "lasts" / "l.toml").mkdir()


def _nothing(folder: Path) -> None:
    """Leave out the folder."""


@pytest.mark.parametrize(
    ("lay", "place", "found", "wanted"),
    [
        (_no_lasts, "lasts", "no lasts", "at least one last file"),
        (_lasts_that_are_none, "lasts", "no lasts", "at least one last file"),
        (_a_file_for_a_folder, "lasts", "a file", "a folder"),
        (_nothing, "lasts", "no such folder", "a folder"),
        (_two_of_one_code, "last-1.toml, code", "'N7', also in last-0.toml", "a code of its own"),
        (_a_directory_for_a_last, "l.toml", "a directory", "a file"),
    ],
)
def test_a_folder_without_lasts_to_choose_from(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    lay: Callable[[Path], None],
    place: str,
    found: str,
    wanted: str,
) -> None:
    lay(tmp_path)
    wearer = write(tmp_path / "w.toml", wearer_toml("W1"))
    (line,) = refused(tmp_path, capsys, [wearer], tmp_path / "lasts")
    assert line.partition(": ")[0].endswith(place)
    assert found in line.partition("; wanted ")[0]
    assert wanted in line.partition("; wanted ")[2]


@pytest.mark.parametrize("name", ["w.toml", "w.csv", "folder"])
def test_a_directory_for_a_wearer(tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str) -> None:
    (tmp_path / name).mkdir()
    (line,) = refused(tmp_path, capsys, [tmp_path / name])
    assert line.startswith(f"{name}: a directory; wanted a ")


@pytest.mark.parametrize("name", ["w.toml", "w.csv", "w.txt", "x" * 300 + ".toml"])
def test_a_file_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str) -> None:
    folder = tmp_path / "f"
    folder.mkdir()
    lasts = lasts_folder(tmp_path / "lasts", NORTHMOOR)
    code = run(["choose", str(folder / name), "--lasts", str(lasts)])
    told = capsys.readouterr()
    assert (code, told.out) == (2, "")
    (line,) = told.err.splitlines()
    assert name in line
    assert "; wanted " in line


@pytest.mark.skipif(os.geteuid() == 0, reason="everything may be read by root")
@pytest.mark.parametrize("name", ["w.toml", "w.csv"])
def test_a_file_that_may_not_be_read(tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str) -> None:
    path = write(tmp_path / name, WEARER)
    path.chmod(0)
    (line,) = refused(tmp_path, capsys, [path])
    assert line.endswith("Permission denied; wanted a file that can be read")


def test_every_problem_of_every_wearer_file_comes_at_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    first = write(tmp_path / "a.toml", one(foot='"lefft"', value='"-1"', colour='"red"'))
    second = write(tmp_path / "b.csv", row("0") + "W1,men,right,length,mm,nan\nW1,men\n")
    third = write(tmp_path / "c.toml", "")
    lines = refused(tmp_path, capsys, [first, second, third])
    assert sorted(line.partition(": ")[0] for line in lines) == [
        "a.toml, reading 1, colour",
        "a.toml, reading 1, foot",
        "a.toml, reading 1, value",
        "b.csv, line 2, column value",
        "b.csv, line 3, column value",
        "b.csv, line 4",
        "c.toml",
    ]


def test_every_problem_of_every_last_comes_at_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    wearer = write(tmp_path / "w.toml", one())
    lasts = lasts_folder(tmp_path / "lasts", last('"12-8"', "heel_mm = -1"), last().replace("maker", "mkaer"))
    lines = refused(tmp_path, capsys, [wearer], lasts)
    assert sorted(line.partition(": ")[0] for line in lines) == [
        "last-0.toml, heel_mm",
        "last-0.toml, sizes",
        "last-1.toml, maker",
        "last-1.toml, mkaer",
    ]


def test_problems_of_wearers_and_of_lasts_come_together(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    wearer = write(tmp_path / "w.toml", "")
    lasts = lasts_folder(tmp_path / "lasts", last('"12-8"'))
    lines = refused(tmp_path, capsys, [wearer], lasts)
    assert [line.partition(": ")[0] for line in lines] == ["w.toml", "last-0.toml, sizes"]


def test_two_wearers_of_one_code(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    first = write(tmp_path / "a.toml", wearer_toml("W1"))
    second = write(tmp_path / "b.csv", row("270"))
    (line,) = refused(tmp_path, capsys, [first, second])
    assert line == "b.csv, column wearer: 'W1', also in a.toml; wanted a code of its own"


def test_files_of_one_name_are_told_apart(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    paths = [tmp_path / folder / "w.toml" for folder in ("a", "b")]
    for path in paths:
        path.parent.mkdir()
        write(path, "")
    lines = refused(tmp_path, capsys, paths)
    assert [line.partition(": ")[0] for line in lines] == list(map(str, paths))


def sentences(path: Path) -> list[str]:
    """Return what reading a file is refused with; nothing where it is read."""
    try:
        if path.name == "l.toml":
            read_last(path)
        else:
            read_wearers([path])
    except InputError as error:
        return [str(problem) for problem in error.problems] or ["no sentence"]
    return []


@given(
    st.sampled_from([("w.toml", wearer_toml("W1")), ("w.csv", row("270") * 2), ("l.toml", NORTHMOOR)]),
    st.integers(0, 600),
    st.integers(0, 12),
    st.binary(max_size=40) | st.sampled_from([b'"', b"\r", b"[", b"\xef\xbb\xbf", b"=", b"nan", b"9" * 5000]),
)
def test_any_bytes_in_a_file_are_read_or_refused(
    tmp_path_factory: pytest.TempPathFactory, good: tuple[str, str], at: int, cut: int, bytes_in: bytes
) -> None:
    name, text = good
    whole = text.encode()
    path = tmp_path_factory.getbasetemp() / name
    path.write_bytes(whole[:at] + bytes_in + whole[at + cut :])
    for sentence in sentences(path):
        assert sentence.isprintable()
        assert sentence.startswith(name)
        assert "; wanted " in sentence


def test_the_command_as_it_is_run_by_hand(tmp_path: Path) -> None:
    wearer = write(tmp_path / "w.toml", wearer_toml("W1") + readings("lefft"))
    lasts = lasts_folder(tmp_path / "lasts", NORTHMOOR)
    program = "from heelball.cli.main import main; main()"
    ended = subprocess.run(
        [sys.executable, "-c", program, "choose", wearer, "--lasts", lasts, "--json"],
        capture_output=True,
        text=True,
        cwd=tmp_path,
    )
    assert ended.returncode == 2
    assert ended.stdout == ""
    # Three readings of a foot that is none.
    assert ended.stderr.count("\n") == 3
    assert "Traceback" not in ended.stderr
    assert {path.name for path in tmp_path.iterdir()} == {"w.toml", "lasts"}
