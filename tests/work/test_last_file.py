"""A last file is read as contracted: the offer, advice, terms and what was measured."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heelball.errors import InputError
from heelball.last.values import Advice, Label, Last, MeasuredPair, Terms
from heelball.scales.catalogue import size_scale
from heelball.units import format_fraction
from heelball.work.last_file import read_last, read_lasts
from heelball.work.offer_fields import label_scales
from tests.work.bench import write
from tests.work.written import file_of, last_problems, toml, words

#: The contract's own example.
CONTRACT = """\
schema = "heelball/last/1"
code = "N7"
maker = "Northmoor"
label_scale = "us-men"
sizes = "6-12 by 1/2, 13, 14"
widths = ["B", "D", "EE"]
width_scale = "us"
reference_width = "D"
stiffness = "stiff"
toe = "round"
closing = "lace"
heel_mm = 35
[advice]
order = -0.5
from = "ball"
[terms]
publishes_advice = true
exchange_days = 30
[[measured]]
size = "10"
width = "D"
inside_length_mm = 290.0
flex_line_mm = 205.0
ball_girth_mm = 254.0
"""


def last(**fields: object) -> str:
    """Return a small file with some of its fields written otherwise; None leaves a field out."""
    plain = {
        "schema": "heelball/last/1",
        "code": "N7",
        "maker": "Northmoor",
        "label_scale": "us-men",
        "sizes": "8-10",
    }
    return file_of(plain | fields)


def read(folder: Path, text: str) -> Last:
    return read_last(write(folder / "n7.toml", text))


def offer(folder: Path, **fields: object) -> list[str]:
    """Return the labels as they are stamped."""
    found = read(folder, last(**fields))
    scale = size_scale(found.label_scale)
    return [f"{scale.format(label.size)} {label.width or ''}".strip() for label in found.labels]


def test_the_contract_s_example(tmp_path: Path) -> None:
    sizes = [Fraction(12 + half, 2) for half in range(13)] + [Fraction(13), Fraction(14)]
    assert read(tmp_path, CONTRACT) == Last(
        code="N7",
        maker="Northmoor",
        label_scale="us-men",
        labels=tuple(Label(size, width) for size in sizes for width in ("B", "D", "EE")),
        width_scale="us",
        reference_width="D",
        stiffness="stiff",
        toe="round",
        closing="lace",
        heel_height=35.0,
        advice=(Advice("ball", Fraction(-1, 2)),),
        measured=(MeasuredPair(Fraction(10), "D", 290.0, 205.0, 254.0),),
        terms=Terms(True, 30),
    )


def test_what_is_left_out(tmp_path: Path) -> None:
    text = last(code=None)
    assert read(tmp_path, text) == Last(
        "n7",
        "Northmoor",
        "us-men",
        (Label(Fraction(8), None), Label(Fraction(9), None), Label(Fraction(10), None)),
    )


def test_terms_that_nobody_asked_for_are_not_known(tmp_path: Path) -> None:
    assert read(tmp_path, last(terms={"exchange_days": 0})).terms == Terms(None, 0)
    assert read(tmp_path, last(terms={"publishes_advice": False})).terms == Terms(False, None)


@pytest.mark.parametrize(
    ("fields", "labels"),
    [
        ({"widths": ["EE", "B"], "sizes": "9, 10"}, "9 B|9 EE|10 B|10 EE"),
        ({"widths": ["3E", "AA", "E"], "sizes": 9}, "9 AA|9 E|9 3E"),
        ({"sizes": None, "widths": {"D": "9-10 by 1/2", "B": "10"}}, "9 D|9 1/2 D|10 B|10 D"),
        ({"sizes": "9, 10", "widths": {"D": "9-10 by 1/2", "B": 10}}, "9 D|10 B|10 D"),
        ({"sizes": "9", "widths": {"D": "9", "B": "10"}}, "9 D"),
        ({"label_scale": "uk", "width_scale": "uk", "widths": ["H", "C", "F"], "sizes": "8"}, "8 C|8 F|8 H"),
        ({"label_scale": "uk", "width_scale": "uk", "widths": [6, 4.5, 5], "sizes": "8"}, "8 4.5|8 5|8 6"),
        (
            {
                "label_scale": "jis-women",
                "width_scale": "jis",
                "widths": ["F", "E", "3E", "G"],
                "sizes": "23.5",
            },
            "23.5 E|23.5 3E|23.5 F|23.5 G",
        ),
        (
            {"label_scale": "gost", "width_scale": "gost", "widths": ["10", "8", "9"], "sizes": 270},
            "270 8|270 9|270 10",
        ),
        ({"label_scale": "eu", "width_scale": "mm", "widths": [104, 98], "sizes": "43"}, "43 98|43 104"),
        ({"label_scale": "mondopoint", "sizes": "250-270"}, "250|260|270"),
        ({"label_scale": "kr", "sizes": "250-260 by 5"}, "250|255|260"),
        ({"label_scale": "jis-men", "sizes": "25-26 by 0.5"}, "25|25.5|26"),
        ({"label_scale": "uk-child", "sizes": "12-2"}, "12|13|1|2"),
    ],
)
def test_the_offer_by_size_then_from_narrow_to_wide(
    tmp_path: Path, fields: dict[str, object], labels: str
) -> None:
    assert "|".join(offer(tmp_path, **fields)) == labels


def test_children_s_scales_are_read_and_the_gauge_s_are_no_labels(tmp_path: Path) -> None:
    assert {"us-child", "uk-child", "eu-child", "jis-child"} <= set(label_scales())
    for name in label_scales():
        scale = size_scale(name)
        middle = scale.format(scale.nearest((scale.lowest + scale.highest) / 2))
        assert offer(tmp_path, label_scale=name, sizes=middle) == [middle]
    assert last_problems(write(tmp_path / "n7.toml", last(label_scale="gauge-men"))) == [
        "n7.toml, label_scale: 'gauge-men'; wanted us-men"
    ]


@given(
    st.sets(st.integers(8, 28), min_size=1).map(sorted),
    st.permutations(["AA", "B", "C", "D", "E", "EE", "EEEE"]),
    st.integers(1, 7),
)
def test_every_label_is_there_once_and_in_order(
    tmp_path_factory: pytest.TempPathFactory, halves: list[int], widths: list[str], count: int
) -> None:
    sizes = [Fraction(half, 2) for half in halves]
    text = last(sizes=", ".join(map(format_fraction, sizes)), widths=widths[:count])
    narrow_to_wide = sorted(widths[:count], key=["AA", "B", "C", "D", "E", "EE", "EEEE"].index)
    assert read(tmp_path_factory.getbasetemp(), text).labels == tuple(
        Label(size, width) for size in sizes for width in narrow_to_wide
    )


@pytest.mark.parametrize(
    ("written", "order"),
    [
        (-0.5, Fraction(-1, 2)),
        (-1, Fraction(-1)),
        (0, Fraction(0)),
        ("-1/2", Fraction(-1, 2)),
        ("-1 1/2", Fraction(-3, 2)),
        ("+1", Fraction(1)),
        ("−½", Fraction(-1, 2)),
    ],
)
def test_an_order_may_be_negative(tmp_path: Path, written: object, order: Fraction) -> None:
    assert read(tmp_path, last(advice={"order": written})).advice == (Advice("ball", order),)


def test_advice_in_each_of_its_forms(tmp_path: Path) -> None:
    several = [
        {"order": -0.5, "from": "length"},
        {"order": 1, "from": "label", "scale": "uk"},
        {"table": [["10 1/4", "10"], [9, 8.5]], "from": "ball"},
    ]
    assert read(tmp_path, last(advice=several)).advice == (
        Advice("length", Fraction(-1, 2)),
        Advice("label", Fraction(1), scale="uk"),
        Advice("ball", table=((Fraction(9), Fraction(17, 2)), (Fraction(41, 4), Fraction(10)))),
    )


def test_a_table_reads_the_gauge_of_the_label_s_population(tmp_path: Path) -> None:
    """Child's sizes start again at 1: only their own gauge tells 13 1/2 from what comes behind."""
    rows = {"table": [["1Y", "1Y"]], "from": "length"}
    text = last(label_scale="us-child", sizes="12-2Y", advice=rows)
    assert read(tmp_path, text).advice[0].table == ((Fraction(14), Fraction(14)),)
    text = last(label_scale="eu", sizes="41-44", advice={"table": [["10 1/4", "43 1/2"]], "from": "length"})
    assert read(tmp_path, text).advice[0].table == ((Fraction(41, 4), Fraction(87, 2)),)


def test_an_order_against_labels_is_a_difference_of_numbers(tmp_path: Path) -> None:
    """EU 43 and US 10 are near each other: 33 apart by number, and no slip."""
    text = last(label_scale="eu", sizes="42-44", advice={"order": 33, "from": "label", "scale": "us-men"})
    assert read(tmp_path, text).advice == (Advice("label", Fraction(33), scale="us-men"),)
    text = last(label_scale="eu", sizes="42-44", advice={"order": -1, "from": "label", "scale": "us-men"})
    assert last_problems(write(tmp_path / "n7.toml", text)) == [
        (
            "n7.toml, [advice], order: -1, by which label 43 is for the foot of us-men 44;"
            " wanted at most 5 sizes either way"
        )
    ]


def test_what_was_measured(tmp_path: Path) -> None:
    several = [
        {"size": 9, "flex_line_mm": 199.5, "sd_mm": 1},
        {"size": "10", "inside_length_mm": 290, "from": "drawing"},
    ]
    assert read(tmp_path, last(measured=several)).measured == (
        MeasuredPair(Fraction(9), None, flex_line=199.5, sd_mm=1.0),
        MeasuredPair(Fraction(10), None, inside_length=290.0, from_drawing=True),
    )


def test_a_folder_s_lasts_come_by_file_name(tmp_path: Path) -> None:
    for name in ("b.toml", "a.TOML", "c.toml"):
        write(tmp_path / name, last(code=None))
    write(tmp_path / "notes.txt", "not a last")
    assert [one.code for one in read_lasts(tmp_path)] == ["a", "b", "c"]


def test_every_problem_of_every_last_is_named_at_once(tmp_path: Path) -> None:
    write(tmp_path / "a.toml", last(maker=None, toe="square"))
    write(tmp_path / "b.toml", last(code="N7"))
    write(tmp_path / "c.toml", last(code="N7", sizes="9", widths={"D": "10"}))
    write(tmp_path / "d.toml", last(code="N7"))
    with pytest.raises(InputError) as refused:
        read_lasts(tmp_path)
    assert [problem.place for problem in refused.value.problems] == [
        "a.toml, maker",
        "a.toml, toe",
        "c.toml, widths",
        "d.toml, code",
    ]
    assert refused.value.problems[-1].found == "'N7', also in b.toml"


def test_lasts_of_one_offer_share_it(tmp_path: Path) -> None:
    """Ten thousand lasts stay small: their labels, most of what a last holds, are kept once."""
    for number in range(3):
        write(tmp_path / f"{number}.toml", last(code=None, widths=["B", "D"]))
    first, *others = read_lasts(tmp_path)
    assert all(other.labels is first.labels for other in others)


anything = st.recursive(
    st.one_of(
        st.booleans(),
        st.integers(),
        st.just(10**400),
        st.floats(),
        st.dates(),
        words,
        st.sampled_from(
            ["-0.5", "8-12", "12-8", "9,,10", "8-9 by 0", "us-men", "D", "EE", "label", "10", "1,000"]
        ),
    ),
    lambda some: st.lists(some, max_size=3) | st.dictionaries(words, some, max_size=2),
    max_leaves=5,
)


@given(st.data())
def test_nothing_in_a_file_ends_in_anything_but_a_last_or_sentences(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    table: dict[str, Any] = {
        "schema": "heelball/last/1",
        "maker": "Northmoor",
        "label_scale": data.draw(st.sampled_from(["us-men", "uk", "eu", "uk-child"])),
        "sizes": "9-10",
        "widths": data.draw(st.sampled_from([["B", "D"], {"D": "9-10 by 1/2"}])),
        "width_scale": data.draw(st.sampled_from(["us", "uk", "jis", "gost", "mm"])),
        "advice": {"order": -0.5},
        "terms": {},
        "measured": [{"size": "10", "width": "D", "flex_line_mm": 200}],
    }
    inner = [table, table["advice"], table["terms"], table["measured"][0]]
    where: dict[str, Any] = data.draw(st.sampled_from(inner))
    known = (
        "sizes",
        "widths",
        "advice",
        "terms",
        "measured",
        "order",
        "from",
        "table",
        "scale",
        "size",
        "heel_mm",
    )
    where[data.draw(st.sampled_from([*where, *known]) | words)] = data.draw(anything)
    text = "".join(f"{toml(key)} = {toml(value)}\n" for key, value in table.items())
    for problem in last_problems(write(tmp_path_factory.getbasetemp() / "n7.toml", text)):
        assert problem.startswith("n7.toml")
        assert "; wanted " in problem
        assert problem.isprintable()
        assert len(problem) < 600
