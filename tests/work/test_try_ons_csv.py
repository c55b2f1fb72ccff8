"""Files of try-ons: what is joined, what is left out with its line and reason, and that nothing is lost."""

from __future__ import annotations

from contextlib import suppress
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heelball.errors import InputError
from heelball.last.values import Label, Last
from heelball.work.try_on_rows import LISTED
from heelball.work.try_ons_csv import ReadTryOns, read_try_ons

HEADER = "date,wearer,last,size,width,foot,ball,toe,breadth,girth,heel,sock,swelling,hours\n"
TODAY = date(2026, 5, 3)
LAST = Last("N7", "Northmoor", "us-men", (Label(Fraction(10), "D"), Label(Fraction(21, 2), "D")))
ROW = "2026-05-01,W1,N7,10,D,left,right,little,right,right,much,thick,hot,12\n"


def read(folder: Path, text: str | bytes, *, strict: bool = False) -> ReadTryOns:
    path = folder / "tries.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_try_ons(path, "tries.csv", [LAST], wearers={"W1"}, strict=strict, today=TODAY)


def problems(folder: Path, text: str | bytes) -> list[str]:
    return [str(problem) for problem in read(folder, text).problems]


def test_a_report_of_both_feet_is_one_try_on(tmp_path: Path) -> None:
    other = "2026-05-01,W1,N7,10,D,right,,much,,,,thick,hot,12\n"
    (one,) = read(tmp_path, HEADER + ROW + other).try_ons
    assert (one.wearer, one.last, one.label) == ("W1", "N7", Label(Fraction(10), "D"))
    assert one.verdicts == {
        ("left", "ball"): "right",
        ("left", "toe"): "little",
        ("left", "breadth"): "right",
        ("left", "girth"): "right",
        ("left", "heel"): "much",
        ("right", "toe"): "much",
    }
    assert (one.sock, one.swelling, one.hours, one.day) == (3.0, "hot", 12, date(2026, 5, 1))
    assert one.place == "tries.csv, line 2"


def test_what_is_blank_or_missing_is_ordinary(tmp_path: Path) -> None:
    (one,) = read(tmp_path, "wearer,last,size,width,foot,ball\nW9,N7,10 1/2,D,both,little\n").try_ons
    assert (one.sock, one.swelling, one.hours, one.day, one.insole) == (2.0, "ordinary", None, None, 0.0)
    assert one.verdicts == {("left", "ball"): "little", ("right", "ball"): "little"}


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (ROW.replace("N7", "N8"), "tries.csv, line 2, column last: an unknown last 'N8'; wanted N7"),
        (
            ROW.replace(",10,D", ",11,D"),
            "tries.csv, line 2, column size: no label '11 D'; wanted ",
        ),
        (ROW.replace("little", "litle"), "tries.csv, line 2, column toe: 'litle'; wanted little"),
        (ROW.replace("2026-05-01", "2026-05-04"), "line 2, column date: 2026-05-04, still to come"),
        (ROW.replace("2026-05-01", "May"), "line 2, column date: 'May'; wanted a date such as 2026-05-03"),
        (ROW.replace(",left,", ",lefty,"), "line 2, column foot: 'lefty'; wanted left"),
        (ROW.replace("thick", "wool"), "line 2, column sock: 'wool'; wanted thin, medium, thick"),
        (ROW.replace("hot", "warm"), "line 2, column swelling: 'warm'"),
        (ROW.replace(",12", ",-1"), "line 2, column hours: '-1'"),
        (ROW.replace("W1", ""), "line 2, column wearer: nothing; wanted the wearer's code"),
        (ROW[:30], "line 2: 7 cells at the end of the file: was it cut short?; wanted 14 cells"),
        (ROW.replace("W1", '"W1'), "line 2: a quotation mark that is never closed"),
        (ROW.replace("W1", "W\0"), "line 2: a null byte"),
        ("2026-05-01,W1,N7,10,D,left,,,,,,,,\n", "line 2: nothing told of any place; wanted one place"),
    ],
)
def test_a_wrong_row_is_left_out_with_its_line_and_reason(tmp_path: Path, row: str, said: str) -> None:
    good = "2026-05-02,W1,N7,10,D,left,right,,,,,,,\n"
    found = read(tmp_path, HEADER + row + (good if row.endswith("\n") else ""))
    assert said in str(found.problems[0])
    assert len(found.try_ons) == (1 if row.endswith("\n") else 0)
    with pytest.raises(InputError, match="line 2"):
        read(tmp_path, HEADER + row, strict=True)


def test_a_report_told_twice_counts_once(tmp_path: Path) -> None:
    found = read(tmp_path, HEADER + ROW + ROW.replace("little", "right"))
    assert len(found.try_ons) == 1
    assert found.try_ons[0].verdicts["left", "toe"] == "little"
    assert "line 3: the left foot again, told in tries.csv, line 2" in str(found.problems[0])


def test_a_report_from_before_the_pair_came(tmp_path: Path) -> None:
    text = "date,arrived,wearer,last,size,width,foot,ball\n2026-04-01,2026-04-02,W1,N7,10,D,left,right\n"
    assert problems(tmp_path, text) == [
        "tries.csv, line 2, column date: 2026-04-01, before the pair arrived; wanted 2026-04-02 or later"
    ]


def test_bytes_that_are_not_utf_8_cost_one_row(tmp_path: Path) -> None:
    found = read(tmp_path, HEADER.encode() + ROW.encode().replace(b"W1", b"W\xff") + ROW.encode())
    assert len(found.try_ons) == 1
    assert "line 2: bytes that are not UTF-8" in str(found.problems[0])


def test_who_has_no_readings_is_no_error_unless_strict(tmp_path: Path) -> None:
    text = HEADER + ROW.replace("W1", "W2")
    assert read(tmp_path, text).unmeasured == ("W2",)
    with pytest.raises(InputError, match="wearer 'W2' without readings"):
        read(tmp_path, text, strict=True)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "an empty file"),
        ("wearer;last;size;foot;ball\n", "semicolons between the columns"),
        ("wearer,last,size,ball\n", "no column foot"),
        ("wearer,last,size,foot\n", "no column of a place"),
        ("wearer,last,size,foot,bal\n", "an unknown column 'bal'; wanted ball"),
    ],
)
def test_a_header_that_does_not_serve(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        read(tmp_path, text)


def test_many_wrong_rows_are_counted_not_kept(tmp_path: Path) -> None:
    found = read(tmp_path, HEADER + ROW.replace("N7", "N8") * (LISTED + 7))
    assert len(found.problems) == LISTED + 1
    assert "7 rows more" in str(found.problems[-1])


@given(st.lists(st.sampled_from([ROW, ROW[:20], "\n", ROW.replace("W1", "W2"), ROW.replace("10,D", "10,E")])))
def test_no_row_is_lost_in_silence(tmp_path_factory: pytest.TempPathFactory, rows: list[str]) -> None:
    found = read(tmp_path_factory.mktemp("tries"), HEADER + "".join(rows))
    assert found.kept + len({problem.place.split(",")[1] for problem in found.problems}) == found.rows


@given(st.binary(max_size=300))
def test_whatever_the_bytes_nothing_else_is_raised(
    tmp_path_factory: pytest.TempPathFactory, raw: bytes
) -> None:
    with suppress(InputError):
        read(tmp_path_factory.mktemp("tries"), HEADER.encode() + raw)
