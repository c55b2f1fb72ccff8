"""A wearer file is read as contracted, and every value of it arrives."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from heelball.errors import InputError
from heelball.fit.wearer import DayState, OwnedPair, Signs, Wearer
from heelball.foot.reading import GaugeMark, Reading
from heelball.work.wearer_file import read_wearers
from tests.work.bench import write
from tests.work.written import csv_of, file_of, rows_of, said, wearer_problems, wearer_table, wearers

#: The contract's own example, with what it says is optional; the sheet has a test of its own.
CONTRACT = """\
schema = "heelball/wearer/1"
code = "W12"
name = "T. Wearer"
population = "men"
[[reading]]
foot = "right"
what = "length"
scale = "gauge-men"
value = "10"
load = "standing"
method = "gauge"
fitter = "A"
date = 2026-05-03
sitting = "first"
sd_mm = 1.25
[[reading]]
foot = "right"
what = "breadth"
scale = "gauge-men"
value = "C 3/4"
line = "10 1/2"
[[gauge]]
scale = "gauge-men"
what = "ball"
mark = "10"
measured_mm = 199.0
[[gauge]]
scale = "gauge-women"
what = "breadth"
mark = "B"
line = "8"
measured_mm = 92
[[day]]
name = "morning"
share = 0.25
[[day]]
name = "evening"
share = 0.75
sock = "thick"
swelling = "hot"
insole_mm = 3
[[pair]]
last = "N7"
size = "10"
width = "D"
left = { ball = "right", toe = "little", breadth = "right", girth = "right", heel = "much" }
[signs]
urgent = false
diabetes = true
numbness = true
wound = true
circulation = true
deformity = true
orthosis = true
changed = true
pain_weeks = 2
"""


def reading(**fields: object) -> str:
    """Return a file with one reading of fields as TOML would write them."""
    known = {"foot": "left", "what": "length", "scale": "gauge-men", "value": "10"} | fields
    return file_of({"schema": "heelball/wearer/1", "reading": [said(known)]})


def read(folder: Path, text: str) -> Wearer:
    (found,) = read_wearers([write(folder / "w12.toml", text)])
    return found


def test_the_contract_s_example(tmp_path: Path) -> None:
    assert read(tmp_path, CONTRACT) == Wearer(
        code="W12",
        population="men",
        readings=(
            Reading(
                "right", "length", "gauge-men", "10", None, "standing", "gauge", "A", date(2026, 5, 3),
                "first", 1.25,
            ),
            Reading("right", "breadth", "gauge-men", "C 3/4", line="10 1/2"),
        ),
        gauge_marks=(
            GaugeMark("gauge-men", "ball", "10", 199.0),
            GaugeMark("gauge-women", "breadth", "B", 92.0, line="8"),
        ),
        day=(
            DayState("morning", 0.25, 2.0, "ordinary", 0.0),
            DayState("evening", 0.75, 3.0, "hot", 3.0),
        ),
        pairs=(
            OwnedPair(
                "N7",
                Fraction(10),
                "D",
                {
                    ("left", "ball"): "right",
                    ("left", "toe"): "little",
                    ("left", "breadth"): "right",
                    ("left", "girth"): "right",
                    ("left", "heel"): "much",
                },
            ),
        ),
        signs=Signs(False, True, True, True, True, True, True, True, 2.0),
    )  # fmt: skip


def test_what_is_left_out(tmp_path: Path) -> None:
    found = read(tmp_path, reading())
    assert found == Wearer("w12", "unstated", (Reading("left", "length", "gauge-men", "10"),))


def test_a_reading_knows_where_it_stands(tmp_path: Path) -> None:
    assert [one.place for one in read(tmp_path, CONTRACT).readings] == [
        "w12.toml, reading 1",
        "w12.toml, reading 2",
    ]


@pytest.mark.parametrize(
    ("what", "scale", "value", "method"),
    [
        ("length", "gauge-men", "10", "gauge"),
        ("breadth", "gauge-child", "D", "gauge"),
        ("length", "uk", "9", "ruler"),
        ("breadth", "mm", "101", "ruler"),
        ("heel", "cm", "6.7", "ruler"),
        ("girth", "mm", "251", "tape"),
        ("instep", "in", "10 1/4", "tape"),
    ],
)
def test_how_it_was_measured_where_nothing_is_said(
    tmp_path: Path, what: str, scale: str, value: str, method: str
) -> None:
    text = reading(what=what, scale=scale, value=value, line="10" if value == "D" else None)
    assert read(tmp_path, text).readings[0].method == method


@pytest.mark.parametrize(
    ("value", "kept"), [(10, "10"), (10.5, "10.5"), (" 10 1/2 ", "10 1/2"), ("10½", "10½")]
)
def test_a_number_is_taken_as_it_is_written(tmp_path: Path, value: object, kept: str) -> None:
    assert read(tmp_path, reading(value=value)).readings[0].value == kept


@pytest.mark.parametrize("written", ["2026-05-03", date(2026, 5, 3)])
def test_a_date_is_text_or_toml_s_own(tmp_path: Path, written: object) -> None:
    assert read(tmp_path, reading(date=written)).readings[0].date == date(2026, 5, 3)


@pytest.mark.parametrize(
    ("sock", "thickness"),
    [("thin", 1), ("medium", 2), ("thick", 3), (2.5, 2.5), ("4 mm", 4), (0, 0), ("1/2", 0.5)],
)
def test_a_sock_is_a_word_or_mm(tmp_path: Path, sock: object, thickness: float) -> None:
    table = {
        "schema": "heelball/wearer/1",
        "pair": [{"last": "N7", "size": 10}],
        "day": [{"share": 1, "sock": sock}],
    }
    (state,) = read(tmp_path, file_of(table)).day
    assert state == DayState("day 1", 1.0, thickness, "ordinary", 0.0)


@pytest.mark.parametrize("size_is_read_in", ["gauge-men", "mm", "uk"])
def test_a_letter_may_stand_at_its_foot_s_size(tmp_path: Path, size_is_read_in: str) -> None:
    value = "271" if size_is_read_in == "mm" else "9"
    size = {"foot": "left", "what": "ball", "scale": size_is_read_in, "value": value}
    letter = {"foot": "left", "what": "breadth", "scale": "gauge-men", "value": "D"}
    text = file_of({"schema": "heelball/wearer/1", "reading": [letter, size]})
    assert read(tmp_path, text).readings[0].line is None
    size["foot"] = "right"
    text = file_of({"schema": "heelball/wearer/1", "reading": [letter, size]})
    assert wearer_problems(write(tmp_path / "w12.toml", text)) == [
        (
            "w12.toml, reading 1, line: letter D without a line or a size of the left foot;"
            ' wanted the line it was read at, such as "10 1/2"'
        )
    ]


@pytest.mark.parametrize("size", [{"what": "ball", "value": "10 kg"}, {"what": "bal"}, {"foot": "lef"}])
def test_a_size_that_is_refused_costs_its_letter_nothing(tmp_path: Path, size: dict[str, str]) -> None:
    plain = {"foot": "left", "what": "length", "scale": "gauge-men", "value": "10"}
    letter = {"foot": "left", "what": "breadth", "scale": "gauge-men", "value": "D"}
    text = file_of({"schema": "heelball/wearer/1", "reading": [letter, plain | size]})
    (problem,) = wearer_problems(write(tmp_path / "w12.toml", text))
    assert problem.startswith("w12.toml, reading 2, ")


def test_wearers_come_in_the_order_of_their_files(tmp_path: Path) -> None:
    toml = write(tmp_path / "b.toml", reading())
    crew = write(
        tmp_path / "a.CSV",
        "wearer,population,foot,what,scale,value\nZ,men,left,length,mm,270\nY,,left,length,mm,271\n",
    )
    assert [wearer.code for wearer in read_wearers([toml, crew])] == ["b", "Z", "Y"]
    assert [wearer.code for wearer in read_wearers([crew, toml])] == ["Z", "Y", "b"]


def test_files_of_one_name_are_told_apart(tmp_path: Path) -> None:
    (tmp_path / "bench").mkdir()
    (tmp_path / "post").mkdir()
    files = [write(tmp_path / folder / "w.toml", reading(load="sitting")) for folder in ("bench", "post")]
    assert [problem.split(", reading")[0] for problem in wearer_problems(*files)] == [
        str(file) for file in files
    ]


def test_every_problem_of_every_file_is_named_at_once(tmp_path: Path) -> None:
    one = write(tmp_path / "one.toml", reading(foot="lft", value="10 kg", lod="one") + 'population = "man"\n')
    two = write(tmp_path / "two.csv", "wearer,population,foot,what,scale,value\nA,men,left,length,mm,-1\n")
    three = write(tmp_path / "three.toml", "schema = 3\n")
    with pytest.raises(InputError) as refused:
        read_wearers([one, two, tmp_path / "four.toml", three])
    assert [problem.place for problem in refused.value.problems] == [
        "one.toml, population",
        "one.toml, reading 1, foot",
        "one.toml, reading 1, lod",
        "one.toml, reading 1, value",
        "two.csv, line 2, column value",
        str(tmp_path / "four.toml"),
        "three.toml, schema",
    ]


@given(wearers)
def test_a_written_wearer_is_read_as_it_was(tmp_path_factory: pytest.TempPathFactory, wearer: Wearer) -> None:
    file = tmp_path_factory.getbasetemp() / "w.toml"
    assert read_wearers([write(file, file_of(wearer_table(wearer)))]) == [wearer]


@given(wearers)
def test_a_csv_says_what_a_wearer_file_says(tmp_path_factory: pytest.TempPathFactory, wearer: Wearer) -> None:
    folder = tmp_path_factory.getbasetemp()
    plain = evolve(wearer, gauge_marks=(), day=(), pairs=(), signs=Signs())
    toml = write(folder / "w.toml", file_of(wearer_table(plain)))
    assert read_wearers([write(folder / "w.csv", csv_of(rows_of([plain])))]) == read_wearers([toml])


#: Anything TOML can hold, most of it absurd.
anything = st.recursive(
    st.one_of(
        st.none().map(lambda _: {}),
        st.booleans(),
        st.integers(),
        st.sampled_from([10**400, -(10**60), 0]),
        st.floats(),
        st.dates(),
        st.text(st.characters(exclude_categories=["Cs"])),
        st.sampled_from(["10", "1e3", "nan", "-1", "10 5/4", "gauge-men", "C", "mm", "\0", "½", "1,000"]),
    ),
    lambda some: st.lists(some, max_size=2) | st.dictionaries(st.text("ab\n. é"), some, max_size=2),
    max_leaves=4,
)


@given(st.data())
def test_nothing_in_a_file_ends_in_anything_but_a_wearer_or_sentences(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    table = wearer_table(data.draw(wearers))
    where: dict = table
    while True:
        field = data.draw(st.sampled_from(sorted(where)) if where else st.just("code"))
        inner = where.get(field)
        if isinstance(inner, list) and inner and data.draw(st.booleans()):
            inner = inner[0]
        if not isinstance(inner, dict) or data.draw(st.booleans()):
            break
        where = inner
    where[field] = data.draw(anything)
    for problem in wearer_problems(write(tmp_path_factory.getbasetemp() / "w.toml", file_of(table))):
        assert problem.startswith("w.toml")
        assert "; wanted " in problem
        assert problem.isprintable()
        assert len(problem) < 500
