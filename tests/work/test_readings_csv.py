"""Many wearers from one CSV: rows and columns in any order say the same."""

from __future__ import annotations

from collections import Counter
from datetime import date
from pathlib import Path
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heelball.fit.wearer import Wearer
from heelball.foot.reading import Reading
from heelball.work.readings_csv import REQUIRED
from heelball.work.wearer_file import read_wearers
from tests.work.bench import write
from tests.work.written import COLUMNS, crews, csv_of, rows_of, wearer_problems

HEADER = ",".join(REQUIRED)


def read(folder: Path, text: str) -> list[Wearer]:
    return read_wearers([write(folder / "readings.csv", text)])


def told(wearers: list[Wearer]) -> dict[str, tuple[str, Counter[Reading]]]:
    """Return what is known of each wearer, whatever the order it was told in."""
    return {one.code: (one.population, Counter(one.readings)) for one in wearers}


def test_the_columns_of_the_contract(tmp_path: Path) -> None:
    text = (
        "wearer,population,foot,what,scale,value,line,load,method,fitter,date,sitting,sd_mm\n"
        "W1,women,left,length,gauge-women,8 1/2,,,,,,,\n"
        "W2,,right,breadth,gauge-men,C 3/4,10 1/2,seated,ruler,A,2026-05-03,first,1.5\n"
        "W1,,left,girth,mm,241.5,,one,,,,,\n"
    )
    assert read(tmp_path, text) == [
        Wearer(
            "W1",
            "women",
            (
                Reading("left", "length", "gauge-women", "8 1/2"),
                Reading("left", "girth", "mm", "241.5", load="one", method="tape"),
            ),
        ),
        Wearer(
            "W2",
            "unstated",
            (
                Reading(
                    "right", "breadth", "gauge-men", "C 3/4", "10 1/2", "seated", "ruler", "A",
                    date(2026, 5, 3), "first", 1.5,
                ),
            ),
        ),
    ]  # fmt: skip


def test_the_last_columns_may_be_missing_and_rows_may_be_blank(tmp_path: Path) -> None:
    text = f"{HEADER}\n\n,,,,,\nW1, men ,left,length,mm, 271 \n  ,\n"
    assert read(tmp_path, text) == [
        Wearer("W1", "men", (Reading("left", "length", "mm", "271", method="ruler"),))
    ]


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_what_spreadsheets_put_around_it(tmp_path: Path, ending: str) -> None:
    text = "\ufeff" + f'{HEADER}\n"W, 1",men,left,length,mm,"27,1"\n'.replace("27,1", "271,5").replace(
        "\n", ending
    )
    (tmp_path / "readings.csv").write_bytes(text.encode())
    (found,) = read_wearers([tmp_path / "readings.csv"])
    assert (found.code, found.readings[0].value) == ("W, 1", "271,5")


def test_a_reading_knows_its_line(tmp_path: Path) -> None:
    text = f'{HEADER}\n\nW1,men,left,length,mm,270\n"W 2",men,left,length,mm,271\nW1,,left,ball,mm,200\n'
    first, second = read(tmp_path, text)
    assert [one.place for one in (*first.readings, *second.readings)] == [
        "readings.csv, line 3",
        "readings.csv, line 5",
        "readings.csv, line 4",
    ]


@given(crews)
def test_written_wearers_are_read_as_they_were(
    tmp_path_factory: pytest.TempPathFactory, crew: list[Wearer]
) -> None:
    assert read(tmp_path_factory.getbasetemp(), csv_of(rows_of(crew))) == crew


@given(crews, st.permutations(COLUMNS), st.randoms(use_true_random=False))
def test_rows_and_columns_come_in_any_order(
    tmp_path_factory: pytest.TempPathFactory, crew: list[Wearer], columns: list[str], chance: Random
) -> None:
    rows = rows_of(crew)
    chance.shuffle(rows)
    assert told(read(tmp_path_factory.getbasetemp(), csv_of(rows, columns))) == told(crew)


@given(crews, st.data())
def test_population_is_said_once_or_always(
    tmp_path_factory: pytest.TempPathFactory, crew: list[Wearer], data: st.DataObject
) -> None:
    rows = rows_of(crew)
    for code in {row["wearer"] for row in rows}:
        own = [row for row in rows if row["wearer"] == code]
        for row in data.draw(st.permutations(own))[1:]:
            row["population"] = data.draw(st.sampled_from(["", row["population"]]))
    assert told(read(tmp_path_factory.getbasetemp(), csv_of(rows))) == told(crew)


#: What may stand in a cell by mistake; only a tab is as good as a blank.
slips = st.sampled_from(
    [
        "",
        " ",
        "\t",
        "nan",
        "-3",
        "10 5/4",
        "C",
        "mm",
        "é",
        "\x07",
        "10\x0b1/2",
        "1e3",
        "10kg",
        "men",
        "right",
        "ball",
    ]
) | st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=5)


@given(crews, st.data())
def test_a_slip_in_any_cell_is_taken_or_refused_alike_wherever_its_row_stands(
    tmp_path_factory: pytest.TempPathFactory, crew: list[Wearer], data: st.DataObject
) -> None:
    """What is known again from earlier rows must never let a wrong row pass, or refuse a right one."""
    rows = rows_of(crew)
    wrong = dict(data.draw(st.sampled_from(rows)))
    wrong[data.draw(st.sampled_from(COLUMNS))] = data.draw(slips)
    folder = tmp_path_factory.getbasetemp()
    alone = wearer_problems(write(folder / "readings.csv", csv_of([wrong])))
    among = wearer_problems(write(folder / "readings.csv", csv_of([*rows, wrong, *rows])))
    own = [problem.replace("line 2,", f"line {len(rows) + 2},") for problem in alone]
    # Only what the other rows of the wearer say may make a difference.
    decided_by_others = ("one population", "the line it was read at, such as")
    assert [one for one in among if decided_by_others[0] not in one] == [
        one for one in own if decided_by_others[1] not in one
    ]


def test_a_row_like_the_one_before_is_looked_at_all_the_same(tmp_path: Path) -> None:
    rows = "W1,men,left,length,gauge-men,10\nW1,men,left,length,gauge-men,10\x0b1/2\n"
    assert wearer_problems(write(tmp_path / "readings.csv", f"{HEADER}\n{rows}")) == [
        (
            "readings.csv, line 3, column value: a control character in '10\\x0b1/2';"
            " wanted what the gauge or tape said"
        )
    ]


def test_every_wrong_cell_of_every_row_is_named(tmp_path: Path) -> None:
    rows = [
        ",men,left,length,mm,270",
        "W1,man,lft,length,mm,27 kg",
        "W1,,left,length,uk,9 1/4",
        "W1,,left,length,uk,9 1/3",
    ]
    assert wearer_problems(write(tmp_path / "readings.csv", "\n".join([HEADER, *rows]))) == [
        "readings.csv, line 2, column wearer: nothing; wanted the wearer's code",
        "readings.csv, line 3, column population: 'man'; wanted men",
        "readings.csv, line 3, column foot: 'lft'; wanted left",
        "readings.csv, line 3, column value: '27 kg'; wanted a length in mm, such as 271",
        "readings.csv, line 5, column value: uk has no 9 1/3; wanted a whole, half or quarter size",
    ]


def test_letters_find_their_size_in_any_row(tmp_path: Path) -> None:
    rows = "W1,men,left,breadth,gauge-men,D\nW2,men,left,breadth,gauge-men,C\nW1,men,left,ball,uk,9\n"
    assert wearer_problems(write(tmp_path / "readings.csv", f"{HEADER}\n{rows}")) == [
        (
            "readings.csv, line 3, column line: letter C without a line or a size of the left foot;"
            ' wanted the line it was read at, such as "10 1/2"'
        )
    ]


def test_one_wearer_in_two_files_is_refused(tmp_path: Path) -> None:
    text = f"{HEADER}\nW1,men,left,length,mm,270\n"
    files = [write(tmp_path / name, text) for name in ("a.csv", "b.csv")]
    assert wearer_problems(*files) == ["b.csv, column wearer: 'W1', also in a.csv; wanted a code of its own"]
