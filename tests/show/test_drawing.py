"""The drawing of feet in a boot: marks measured back, words, and room for every word."""

from __future__ import annotations

import math
from itertools import combinations, pairwise
from typing import get_args

import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from heelball.errors import InternalFault
from heelball.last.values import Toe
from heelball.show.drawing import STYLE, DrawnBoot, DrawnFoot, draw, figures
from tests.show.golden_drawing import BOOT, FEET, GOLDEN, drawn
from tests.show.marks import Drawing, Spot, apart, width_at, within

#: What a mark may be off on paper [mm].
TRUE = 0.05

LEFT, RIGHT = FEET
TOES: tuple[Toe, ...] = get_args(Toe)


@st.composite
def feet_and_boots(draw_from) -> tuple[list[DrawnFoot], DrawnBoot]:
    """Two unequal feet within and beyond what a bench meets, and a boot that may suit neither."""
    length = draw_from(st.floats(210, 325))
    ball = length * draw_from(st.floats(0.67, 0.79))
    breadth = max(80.0, length * draw_from(st.floats(0.31, 0.46)))
    heel = max(52.0, breadth * draw_from(st.floats(0.60, 0.74)))
    left = DrawnFoot("left", length, ball, breadth, heel)
    right = DrawnFoot(
        "right",
        length + draw_from(st.floats(-12, 12)),
        ball + draw_from(st.floats(-9, 9)),
        breadth + draw_from(st.floats(-7, 7)),
        heel + draw_from(st.floats(-4, 4)),
    )
    model = draw_from(st.sampled_from([left, right]))
    toe: Toe = draw_from(st.sampled_from(TOES))
    deduction = {"round": 0.0, "almond": 5.0, "pointed": 12.0, "hard-cap": 0.0}[toe]
    boot = DrawnBoot(
        "N7",
        "10 1/2 EEE",
        model.foot_length + draw_from(st.floats(-12, 40)) + deduction,
        model.heel_to_ball + draw_from(st.floats(-20, 20) | st.floats(-0.5, 0.5)),
        model.foot_breadth + draw_from(st.floats(-12, 12)),
        max(48.0, model.heel_breadth + draw_from(st.floats(-8, 8))),
        toe,
        deduction,
    )
    # A heel nearly as broad as the ball is no heel.
    widest_heel = 0.84 * boot.built_for_breadth
    boot = evolve(boot, built_for_heel_breadth=min(boot.built_for_heel_breadth, widest_heel))
    feet = [
        evolve(foot, heel_breadth=min(foot.heel_breadth, 0.84 * foot.foot_breadth)) for foot in (left, right)
    ]
    return feet, boot


def test_the_golden_drawing_has_not_changed():
    assert drawn().encode() == GOLDEN.read_bytes(), "look at the new one, then keep it: see golden_drawing.py"


def test_the_same_values_in_any_order_give_the_same_bytes():
    assert draw([RIGHT, LEFT], BOOT, title="W12") == draw([LEFT, RIGHT], BOOT, title="W12")


# ---- true to scale


def test_one_unit_is_one_millimetre():
    svg = Drawing(drawn()).svg
    _, _, width, height = svg.get("viewBox", "").split()
    assert (svg.get("width"), svg.get("height")) == (f"{width}mm", f"{height}mm")
    whole, *ends = Drawing(drawn()).lines("bar")
    assert whole[1][0] - whole[0][0] == 50
    assert {start[0] for start, _ in ends} == {whole[0][0], whole[1][0]}
    assert "50 mm" in Drawing(drawn()).texts()


def base_of(drawing: Drawing) -> float:
    """Return the level of the heels: the line that runs across the whole page."""
    return max(start[1] for start, end in drawing.lines("witness") if end[0] - start[0] > 200)


@pytest.mark.parametrize("foot", FEET, ids=lambda foot: foot.foot)
@pytest.mark.parametrize("toe", TOES)
def test_outlines_measure_what_they_are_given(foot: DrawnFoot, toe: Toe):
    boot = evolve(BOOT, toe=toe)
    assert_true(foot, boot, draw(FEET, boot, title=""))


@given(feet_and_boots())
@settings(max_examples=30)
def test_outlines_measure_what_they_are_given_whatever_it_is(case):
    feet, boot = case
    svg = draw(feet, boot, title="")
    for foot in feet:
        assert_true(foot, boot, svg)


def assert_true(foot: DrawnFoot, boot: DrawnBoot, svg: str) -> None:
    base = base_of(Drawing(svg))
    part = Drawing(svg, foot.foot)
    # A boot's heel stands where that of a common foot bending with it is measured.
    measures = {
        "foot": (foot.foot_length, foot.foot_breadth, foot.heel_breadth, 0.16 * foot.foot_length),
        "boot": (
            boot.inside_length,
            boot.built_for_breadth,
            boot.built_for_heel_breadth,
            0.16 / 0.74 * boot.flex_line,
        ),
    }
    for kind, (length, breadth, heel, heel_level) in measures.items():
        outline = part.outline(kind)
        across, along = [x for x, _ in outline], [base - y for _, y in outline]
        assert min(along) == pytest.approx(0, abs=TRUE)
        assert max(along) == pytest.approx(length, abs=TRUE)
        # The gauge's slide: square to the axis, from the innermost to the outermost point.
        assert max(across) - min(across) == pytest.approx(breadth, abs=TRUE)
        assert width_at(outline, base - heel_level) == pytest.approx(heel, abs=TRUE)


@given(feet_and_boots())
@settings(max_examples=30)
def test_outlines_are_smooth_and_never_cross_themselves(case):
    feet, boot = case
    svg = draw(feet, boot, title="")
    for foot in feet:
        for kind in ("foot", "boot"):
            part = Drawing(svg, foot.foot)
            curves = part.curves(kind)
            for before, after in pairwise([*curves, curves[0]]):
                assert before.points[3] == after.points[0]
                assert turn_deg(before.points[2:], after.points[:2]) < 2
            sides = list(pairwise([*(spots := part.outline(kind, steps=6)), spots[0]]))
            for (place, one), (other, two) in combinations(enumerate(sides), 2):
                if 1 < other - place < len(sides) - 1:
                    assert apart(one, two)


def turn_deg(one: tuple[Spot, ...], other: tuple[Spot, ...]) -> float:
    angles = [math.atan2(end[1] - start[1], end[0] - start[0]) for start, end in (one, other)]
    return abs(math.degrees(math.remainder(angles[1] - angles[0], math.tau)))


@pytest.mark.parametrize("foot", FEET, ids=lambda foot: foot.foot)
def test_the_ball_joint_lies_on_the_inner_side_and_the_longest_toe_too(foot: DrawnFoot):
    svg = drawn()
    base, part = base_of(Drawing(svg)), Drawing(svg, foot.foot)
    inner = 1 if foot.foot == "left" else -1
    (axis,) = {x for line in part.lines("axis") for x, _ in line}
    spots = part.outline("foot")
    innermost = max(spots, key=lambda spot: inner * spot[0])
    outermost = min(spots, key=lambda spot: inner * spot[0])
    longest = min(spots, key=lambda spot: spot[1])
    assert base - innermost[1] == pytest.approx(foot.heel_to_ball, abs=1)
    assert innermost[1] < outermost[1]
    assert inner * (longest[0] - axis) > 10
    # The axis halves the heel and ends on the second toe, which is on the outline.
    heel = [x for x, y in spots if abs(base - y - 0.16 * foot.foot_length) < 0.2]
    assert (max(heel) + min(heel)) / 2 == pytest.approx(axis, abs=TRUE)
    second_toe = min(y for line in part.lines("axis") for _, y in line)
    assert min(math.dist((axis, second_toe), spot) for spot in spots) < TRUE


def test_left_stands_on_the_left():
    axes = [Drawing(drawn(), side).lines("axis")[0][0][0] for side in ("left", "right")]
    assert axes[0] < axes[1]


@given(feet_and_boots())
@settings(max_examples=30)
def test_both_bend_lines_lie_at_70_degrees_and_as_far_apart_as_they_are(case):
    feet, boot = case
    svg = draw(feet, boot, title="")
    base = base_of(Drawing(svg))
    for foot in feet:
        part = Drawing(svg, foot.foot)
        inner = 1 if foot.foot == "left" else -1
        joint = max(part.outline("foot"), key=lambda spot: inner * spot[0])
        levels = {}
        for kind, level in (("foot", foot.heel_to_ball), ("boot", boot.flex_line)):
            (((x1, y1), (x2, y2)),) = part.lines(f"{kind}-bend")
            assert math.degrees(math.atan2(abs(x2 - x1), abs(y2 - y1))) == pytest.approx(70, abs=0.05)
            # Forward on the inner side.
            assert (y2 - y1) * (x2 - x1) * inner < 0
            levels[kind] = base - (y1 + (joint[0] - x1) / (x2 - x1) * (y2 - y1))
            assert levels[kind] == pytest.approx(level, abs=TRUE)
        assert levels["boot"] - levels["foot"] == pytest.approx(boot.flex_line - foot.heel_to_ball, abs=TRUE)


@given(feet_and_boots())
@settings(max_examples=30)
def test_dimensions_end_where_they_say(case):
    feet, boot = case
    svg = draw(feet, boot, title="")
    base = base_of(Drawing(svg))
    for foot in feet:
        part = Drawing(svg, foot.foot)
        bend_foot, bend_boot, usable_tip, toe_tip, *level = in_pairs(part, base, foot, boot)
        assert abs(bend_foot - bend_boot) == pytest.approx(abs(boot.flex_line - foot.heel_to_ball), abs=TRUE)
        assert usable_tip == pytest.approx(boot.inside_length - boot.toe_deduction, abs=TRUE)
        assert toe_tip == pytest.approx(foot.foot_length, abs=TRUE)
        assert level == pytest.approx(
            [foot.foot_breadth, boot.built_for_breadth, foot.heel_breadth], abs=TRUE
        )


def in_pairs(part: Drawing, base: float, foot: DrawnFoot, boot: DrawnBoot) -> list[float]:
    """Return what the arrows enclose: levels of bend and toe, then three breadths."""
    tips = part.arrow_tips()
    assert len(tips) == 10
    upright = sorted((base - y for _, y in tips[:4]))
    toe = sorted(upright[2:], reverse=boot.inside_length - boot.toe_deduction > foot.foot_length)
    breadths = [abs(one[0] - other[0]) for one, other in zip(tips[4::2], tips[5::2], strict=True)]
    return [*upright[:2], *toe, *breadths]


def test_toes_differ_to_the_eye():
    widths = []
    for toe in ("pointed", "almond", "round", "hard-cap"):
        svg = draw([RIGHT], evolve(BOOT, toe=toe), title="")
        level = base_of(Drawing(svg)) - BOOT.inside_length + 8
        widths.append(width_at(Drawing(svg, "right").outline("boot"), level))
    assert all(wider - narrower > 5 for narrower, wider in pairwise(widths))


@pytest.mark.parametrize("toe", TOES)
def test_a_foot_that_the_boot_is_built_for_lies_within_it(toe: Toe):
    deduction = {"almond": 5.0, "pointed": 12.0}.get(toe, 0.0)
    # The common foot of a men's 10 (MODEL 1), with the toe room that scales build in.
    foot = DrawnFoot("left", 271.0, 201.0, 100.0, 68.0)
    boot = DrawnBoot("N7", "10 D", 271.0 + 16.9 + deduction, 202.0, 102.0, 69.0, toe, deduction)
    part = Drawing(draw([foot], boot, title=""), "left")
    boundary = part.outline("boot")
    # At the rearmost heel the two meet.
    outside = [spot for spot in part.outline("foot", steps=40) if not within(spot, boundary)]
    assert all(min(math.dist(spot, edge) for edge in boundary) < TRUE for spot in outside)


# ---- words


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"flex_line": 205.1}, "boot bends 2.1 mm ahead of the joint"),
        ({"flex_line": 199.0}, "boot bends 4 mm behind the joint"),
        ({"flex_line": 203.04}, "boot bends at the joint"),
        ({"inside_length": 291.3, "toe_deduction": 5.0}, "toe room 15.3 mm"),
        ({"inside_length": 267.8}, "3.2 mm short at the toe"),
        ({"inside_length": 270.97}, "no toe room"),
        ({"built_for_breadth": 101.2}, "1.2 mm wide at the ball"),
        ({"built_for_breadth": 98.0}, "2 mm narrow at the ball"),
        ({"built_for_breadth": 100.02}, "even at the ball"),
        ({"built_for_heel_breadth": 66.75}, "1.2 mm narrow at the heel"),
        ({"built_for_heel_breadth": 71.0}, "3 mm wide at the heel"),
    ],
)
def test_a_figure_says_it_as_a_bench_ledger_would(change, words):
    foot = DrawnFoot("right", 271.0, 203.0, 100.0, 68.0)
    boot = evolve(DrawnBoot("N7", "10 D", 288.0, 203.0, 100.0, 68.0, "round", 0.0), **change)
    assert words in [figure.words for figure in figures([foot], boot)]
    # Drawing, table and the words for those who listen say the same.
    drawing = Drawing(draw([foot], boot, title=""))
    assert words in drawing.texts("entry")
    assert words in (drawing.svg.findtext("{*}desc") or "")
    lettered = " ".join(Drawing(draw([foot], boot, title=""), "plan").texts())
    assert words.removeprefix("boot bends ") in lettered


def test_figures_compare_place_by_place_from_left_to_right():
    rows = figures([RIGHT, LEFT], BOOT)
    assert [(row.foot, row.place) for row in rows] == [
        (side, place) for side in ("left", "right") for place in ("ball", "toe", "breadth", "heel")
    ]
    assert [(row.of_boot, row.of_foot) for row in rows[:4]] == [
        (203.1, 201.0),
        (288.4, 271.3),
        (101.2, 99.8),
        (69.2, 67.9),
    ]
    assert [round(row.difference, 6) for row in rows[:4]] == [2.1, 17.1, 1.4, 1.3]


def test_the_table_holds_every_figure():
    table = Drawing(drawn(), "ledger").texts("entry")
    rows = [tuple(table[start : start + 6]) for start in range(6, len(table), 6)]
    assert rows[0] == ("left", "ball", "203.1", "201.0", "+2.1", "boot bends 2.1 mm ahead of the joint")
    assert rows[6] == ("right", "breadth", "101.2", "102.0", "−0.8", "0.8 mm narrow at the ball")
    assert [row[5] for row in rows] == [figure.words for figure in figures(FEET, BOOT)]


def test_both_bends_are_named_and_told_apart_without_colour():
    for side in ("left", "right"):
        names = Drawing(drawn(), side).texts()
        assert {"foot bends here", "boot bends here", f"{side} foot"} <= set(names)
    assert ".boot-bend{stroke-width:.6;stroke-dasharray:" in STYLE
    assert ".foot-bend{stroke-width:.5}" in STYLE


def test_who_cannot_see_it_hears_it():
    svg = Drawing(drawn()).svg
    assert svg.get("role") == "img"
    named = [svg.find(f"*[@id='{name}']") for name in svg.get("aria-labelledby", "").split()]
    title, told = [element.text for element in named if element is not None]
    assert title == "W12 in N7, 10 1/2 D"
    assert all(figure.words in (told or "") for figure in figures(FEET, BOOT))


def test_two_drawings_on_one_page_keep_their_names_apart():
    names = [Drawing(draw([foot], BOOT, title="")).svg.get("aria-labelledby") for foot in FEET]
    assert names[0] != names[1]
    # Nothing in the style sheet reaches beyond the drawing.
    selectors = [rule.split("{")[0] for rule in STYLE.replace("@media", "}").split("}") if "{" in rule]
    assert selectors
    assert all(
        part.startswith(".heelball-drawing ")
        for selector in selectors
        for part in selector.split(",")
        if "prefers-color-scheme" not in part
    )


HOSTILE = "<&\"'>]]> \x00\x1b\ud800\ufffe <script>alert(1)</script>"


def test_any_text_can_be_a_title_or_a_name():
    svg = draw(FEET, evolve(BOOT, last=HOSTILE, label=HOSTILE), title=HOSTILE)
    drawing = Drawing(svg)
    assert svg.encode()
    unwritable = dict.fromkeys((0, 0x1B, 0xD800, 0xFFFE), "\N{REPLACEMENT CHARACTER}")
    assert drawing.svg.findtext("{*}title") == HOSTILE.translate(unwritable)
    assert list(drawing.svg.iter("{*}script")) == []


def test_a_long_title_is_cut_on_the_page_but_not_for_those_who_listen():
    title = "W12 " * 60
    drawing = Drawing(draw(FEET, BOOT, title=title))
    (shown,) = drawing.texts("title")
    assert shown.endswith("…")
    assert drawing.svg.findtext("{*}title") == title


# ---- room


@given(feet_and_boots(), st.sampled_from([0, 1, None]))
@settings(max_examples=100)
def test_no_word_stands_on_another_or_on_a_line_or_off_the_page(case, alone):
    feet, boot = case
    chosen = feet if alone is None else [feet[alone]]
    drawing = Drawing(draw(chosen, boot, title="A title of the common length, 10 1/2 D"))
    boxes = drawing.boxes()
    _, _, width, height = map(float, drawing.svg.get("viewBox", "").split())
    for words, corners in boxes:
        assert all(0 < x < width and 0 < y < height for x, y in corners), words
    for (words, one), (others, other) in combinations(boxes, 2):
        assert apart(one, other), (words, others)
    kinds = ("foot-bend", "boot-bend", "axis", "witness", "dimension", "bar", "rule", "faint-rule")
    lines = [(kind, line) for kind in kinds for line in drawing.lines(kind)]
    for words, corners in boxes:
        for kind, line in lines:
            assert apart(corners, line), (words, kind)
    for foot in chosen:
        part = Drawing(draw(chosen, boot, title=""), foot.foot)
        outlines = [spot for kind in ("foot", "boot") for spot in part.outline(kind, steps=40)]
        for words, corners in part.boxes():
            assert not any(within(spot, corners) for spot in outlines), words


def test_one_foot_is_drawn_alone():
    drawing = Drawing(draw([LEFT], BOOT, title="W12"))
    assert "right foot" not in drawing.texts()
    assert {figure.foot for figure in figures([LEFT], BOOT)} == {"left"}


@pytest.mark.parametrize("feet", [[], [LEFT, LEFT], [LEFT, RIGHT, RIGHT]])
def test_feet_that_are_nobody_s_are_our_own_fault(feet):
    with pytest.raises(InternalFault):
        draw(feet, BOOT, title="")


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_a_measure_that_is_no_number_is_our_own_fault(value):
    with pytest.raises(InternalFault):
        draw([evolve(LEFT, heel_breadth=value)], BOOT, title="")


def test_a_heel_that_was_not_read_is_neither_measured_nor_tabled() -> None:
    read = DrawnFoot("right", 271.0, 201.0, 100.0, 68.0)
    unread = DrawnFoot("right", 271.0, 201.0, 100.0, 68.0, heel_judged=False)
    boot = DrawnBoot("N7", "10 D", 287.5, 199.0, 101.2, 68.0, "round", 0.0)
    assert [row.place for row in figures([unread], boot)] == ["ball", "toe", "breadth"]
    drawn, silent = draw([read], boot, title="N7"), draw([unread], boot, title="N7")
    assert "at the heel" in drawn
    assert "at the heel" not in silent
    assert "No heel read: it is not judged." in silent
