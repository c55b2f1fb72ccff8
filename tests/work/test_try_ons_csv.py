"""Files of try-ons: what is joined, what is left out with its line and reason, and that nothing is lost."""

from __future__ import annotations

import tracemalloc
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
LAST = Last("N7", "Northmoor", "us-men", tuple(Label(Fraction(size, 2), "D") for size in (20, 21, 24)))
ONCE = "one report of a foot, label and day"
MORE_HOURS = "more hours on a later day, or the day another pair arrived"
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
            "tries.csv, line 2, column size: no label '11 D' of N7; wanted 10 1/2 or 12, of 10 to 12, D",
        ),
        (
            ROW.replace(",10,D", ",10,E"),
            "tries.csv, line 2, column size: no label '10 E' of N7; wanted 10 D, of 10 to 12, D",
        ),
        (
            ROW.replace(",10,D", ",10 1/4,D"),
            "line 2, column size: us-men has no 10 1/4; wanted a whole or half size",
        ),
        (ROW.replace("little", "litle"), "tries.csv, line 2, column toe: 'litle'; wanted little"),
        (
            ROW.replace("2026-05-01", "2026-05-04"),
            "line 2, column date: 2026-05-04, which is still to come; wanted a day up to 2026-05-03",
        ),
        (ROW.replace("2026-05-01", "May"), "line 2, column date: 'May'; wanted a date such as 2026-05-03"),
        (ROW.replace(",left,", ",lefty,"), "line 2, column foot: 'lefty'; wanted left"),
        (ROW.replace("thick", "wool"), "line 2, column sock: 'wool'; wanted thin, medium, thick"),
        (ROW.replace("hot", "warm"), "line 2, column swelling: 'warm'"),
        (ROW.replace(",12", ",-1"), "line 2, column hours: '-1'"),
        (ROW.replace("W1", ""), "line 2, column wearer: nothing; wanted the wearer's code"),
        (ROW[:30], "line 2: 7 cells at the end of the file: was it cut short?; wanted 14 cells"),
        (ROW.replace("W1", '"W1'), "line 2: quotation marks that do not close round a cell; wanted"),
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
    with pytest.raises(
        InputError, match="line 2, column wearer: 'W2', without readings; wanted a wearer among"
    ):
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
    assert "7 more rows" in str(found.problems[-1])


def test_rows_are_joined_by_what_they_mean_however_written(tmp_path: Path) -> None:
    text = (
        "date,wearer,last,size,width,foot,ball,sock,insole,arrived\n"
        "2026-05-01,W1,N7,10 1/2,D,right,much,thick,3,\n"
        "2026-05-02,W1,N7,10,D,left,right,,,\n"
        "20260501, W1,N7,10.5,D ,left,little,3,3.0,2026-04-30\n"
    )
    found = read(tmp_path, text)
    assert found.problems == ()
    first, second = found.try_ons
    assert first.verdicts == {("left", "ball"): "little", ("right", "ball"): "much"}
    assert (first.label, first.sock, first.insole) == (Label(Fraction(21, 2), "D"), 3.0, 3.0)
    assert (first.place, second.place) == ("tries.csv, line 2", "tries.csv, line 3")


def test_feet_told_in_unlike_states_are_two_try_ons(tmp_path: Path) -> None:
    thin = ROW.replace("left", "right").replace("thick", "thin")
    left, right = read(tmp_path, HEADER + ROW + thin).try_ons
    assert (left.sock, right.sock) == (3.0, 1.0)
    assert {foot for foot, _ in left.verdicts} == {"left"}
    assert {foot for foot, _ in right.verdicts} == {"right"}
    assert (left.place, right.place) == ("tries.csv, line 2", "tries.csv, line 3")


def test_both_feet_after_one_of_them_is_told_twice(tmp_path: Path) -> None:
    found = read(tmp_path, HEADER + ROW + ROW.replace("left", "both"))
    assert [str(problem) for problem in found.problems] == [
        "tries.csv, line 3: the left foot again, told in tries.csv, line 2; wanted " + ONCE
    ]
    assert (found.rows, found.kept) == (2, 1)


@pytest.mark.parametrize(("first", "second"), [("05-01", "04-20"), ("04-20", "05-01")])
def test_hours_that_fall_from_one_day_to_a_later_are_dated_wrongly(
    tmp_path: Path, first: str, second: str
) -> None:
    hours = {"04-20": 40, "05-01": 8}
    rows = [
        ROW.replace("05-01", "03-01").replace(",12", ",2"),
        *(ROW.replace("05-01", day).replace(",12", f",{hours[day]}") for day in (first, second)),
        ROW.replace("05-01", "05-02").replace(",12", ",40"),
    ]
    found = read(tmp_path, HEADER + "".join(rows))
    other = f"{hours[first]} by 2026-{first} in tries.csv, line 3"
    assert [str(problem) for problem in found.problems] == [
        f"tries.csv, line 4, column hours: {hours[second]} by 2026-{second}, but {other}; wanted {MORE_HOURS}"
    ]
    assert found.kept == 3


def test_another_pair_of_the_label_begins_its_hours_anew(tmp_path: Path) -> None:
    text = (
        "date,arrived,wearer,last,size,width,foot,ball,hours\n"
        "2026-03-01,2026-02-01,W1,N7,10,D,both,right,300\n"
        "2026-04-01,2026-03-20,W1,N7,10,D,both,right,8\n"
    )
    assert read(tmp_path, text).kept == 2


@pytest.mark.parametrize(
    ("cut", "said"),
    [
        (ROW[:35], "8 cells at the end of the file: was it cut short?; wanted 14 cells, as in the header"),
        (
            ROW[:11] + '"W',
            "quotation marks that do not close round a cell at the end of the file: was it cut",
        ),
        (ROW.replace("W1", "W\u00e9")[:13].encode()[:-1], "bytes that are not UTF-8 at the end of the file"),
    ],
)
def test_a_file_cut_short_loses_its_last_line_alone(tmp_path: Path, cut: str | bytes, said: str) -> None:
    tail = cut if isinstance(cut, bytes) else cut.encode()
    found = read(tmp_path, HEADER.encode() + ROW.encode() + tail)
    assert len(found.try_ons) == 1
    assert f"tries.csv, line 3: {said}" in str(found.problems[0])
    with pytest.raises(InputError, match="line 3"):
        read(tmp_path, HEADER.encode() + ROW.encode() + tail, strict=True)


def test_a_line_without_end_costs_one_row(tmp_path: Path) -> None:
    found = read(tmp_path, HEADER + ROW + "W1," * 100_000 + "\n" + ROW.replace("left", "right"))
    assert [str(problem) for problem in found.problems] == [
        "tries.csv, line 3: more than 10000 letters; wanted a line for each foot of a report"
    ]
    assert (found.rows, found.kept, len(found.try_ons)) == (3, 2, 1)


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_a_spreadsheets_file_reads_the_same(tmp_path: Path, end: str) -> None:
    text = HEADER + '"2026-05-01","W1",' + ROW[14:] + "," * 13 + "\n\n" + ROW.replace("left", "right")
    found = read(tmp_path, b"\xef\xbb\xbf" + text.replace("\n", end).encode())
    assert found.problems == ()
    assert (found.rows, found.kept, len(found.try_ons)) == (2, 2, 1)


def test_unknown_lasts_are_not_looked_for_among_thousands_without_end(tmp_path: Path) -> None:
    found = read(tmp_path, HEADER + "".join(ROW.replace("N7", f"N7{i}") for i in range(300)))
    wanted = [problem.wanted for problem in found.problems]
    assert wanted[0] == "N7"
    assert wanted[-1] == "a last among the last files"


@pytest.mark.parametrize("wrong", [ROW.replace("N7", "X{}"), ROW.replace("much", "mutch{}")])
def test_memory_does_not_grow_with_what_is_refused(tmp_path: Path, wrong: str) -> None:
    def peak(rows: int) -> int:
        path = tmp_path / "tries.csv"
        path.write_text(HEADER + "".join(wrong.format(i) for i in range(rows)))
        tracemalloc.start()
        try:
            read_try_ons(path, "tries.csv", [LAST], wearers=set(), strict=False, today=TODAY)
            return tracemalloc.get_traced_memory()[1]
        finally:
            tracemalloc.stop()

    # A problem kept for each row would be six times this.
    assert peak(8 * LISTED) - peak(2 * LISTED) < 6 * LISTED * 50


PIECES = [
    *HEADER.encode().split(b","), *ROW.encode().split(b","),
    b",", b"\n", b"\r", b'"', b"\0", b"\xff", b"\xef\xbb\xbf", b" ", b"1e9", b"10,D,both,much", "½".encode(),
]  # fmt: skip

ROWS = st.builds(
    lambda *cells: ",".join(cells) + "\n",
    st.sampled_from(["2026-05-01", "2026-04-01", "", "2027-01-01", "x"]),
    st.sampled_from(["W1", "W2", "", '"W3"', '"W']),
    st.sampled_from(["N7", "N8", ""]),
    st.sampled_from(["10", "10.5", "11", "9" * 50]),
    st.sampled_from(["D", "E", ""]),
    st.sampled_from(["left", "right", "both", "l"]),
    *[st.sampled_from(["little", "right", "much", "", "no"])] * 2,
    st.just(",,,,"),
    st.sampled_from(["", "1", "8", "40", "-1", "1,0"]),
)


@given(st.lists(ROWS | st.sampled_from(["\n", ROW[:20], "," * 13 + "\n", "\0\n"])))
def test_no_row_is_lost_in_silence(tmp_path_factory: pytest.TempPathFactory, rows: list[str]) -> None:
    found = read(tmp_path_factory.mktemp("tries"), HEADER + "".join(rows))
    said = {problem.place.split(",")[1] for problem in found.problems}
    # A piece without an end runs on in the next, and commas alone are no row.
    lines = [line for line in "".join(rows).split("\n") if line.strip(", ")]
    assert found.rows == len(lines)
    assert found.kept + len(said) == found.rows
    told = sum(len({foot for foot, _ in one.verdicts}) for one in found.try_ons)
    assert found.kept <= told <= 2 * found.kept


@given(
    st.binary(max_size=300) | st.lists(st.sampled_from(PIECES)).map(b"".join), st.booleans(), st.booleans()
)
def test_whatever_the_bytes_nothing_else_is_raised(
    tmp_path_factory: pytest.TempPathFactory, raw: bytes, headed: bool, strict: bool
) -> None:
    with suppress(InputError):
        read(tmp_path_factory.mktemp("tries"), HEADER.encode() * headed + raw, strict=strict)
