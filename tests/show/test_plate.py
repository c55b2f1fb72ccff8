"""The drawing for paper: the marks of the page's drawing, the bar, and room for every word."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heelball.show.drawing import draw
from heelball.show.figures import DrawnFoot
from heelball.show.plate import BAR, REDUCTION, plate_in_boot, plate_of_feet
from tests.show.golden_drawing import BOOT, FEET
from tests.show.marks import Drawing, apart, within
from tests.show.test_drawing import HOSTILE, feet_and_boots

LINES = ("foot-bend", "boot-bend", "axis", "witness", "dimension", "bar")


def marks(drawing: Drawing) -> list[float]:
    """Return every mark of a foot in its boot, counted from the heel and the axis."""
    axis = drawing.lines("axis")[0][0][0]
    base = max(y for _, y in drawing.outline("foot"))
    spots = [spot for kind in ("boot", "foot") for spot in drawing.outline(kind, steps=8)]
    for kind in ("foot-bend", "boot-bend", "axis", "dimension"):
        spots += [spot for line in drawing.lines(kind) for spot in line]
    return [value for x, y in spots for value in (x - axis, y - base)]


@pytest.mark.parametrize("foot", ["left", "right"])
def test_page_and_paper_are_one_drawing(foot: str):
    page = Drawing(draw(FEET, BOOT, title="W12"), foot)
    paper = Drawing(plate_in_boot(FEET, BOOT, title="W12").svg, foot)
    # Coordinates are written to 0.01.
    assert marks(page) == pytest.approx(marks(paper), abs=0.021)
    assert page.texts() == paper.texts()


def test_the_bar_is_50_mm_when_reduced():
    for plate in (plate_in_boot(FEET, BOOT, title=""), plate_of_feet(FEET, title="")):
        whole, *ends = Drawing(plate.svg).lines("bar")
        assert (whole[1][0] - whole[0][0]) / REDUCTION == BAR == 50.0
        assert {start[0] for start, _ in ends} == {whole[0][0], whole[1][0]}


def test_paper_has_no_ground_and_no_table():
    svg = plate_in_boot(FEET, BOOT, title="W12").svg
    assert "<rect" not in svg
    assert 'class="ledger"' not in svg


def test_in_inches_no_figure_is_in_mm():
    for plate in (plate_in_boot(FEET, BOOT, title="", units="in"), plate_of_feet(FEET, title="", units="in")):
        drawing = Drawing(plate.svg)
        assert [words for words in drawing.texts() if "mm" in words] == ["50 mm by a ruler"]
        assert "mm" not in plate.words
        assert any(" in" in words for words in drawing.texts())


def test_bare_feet_say_their_measures():
    drawing = Drawing(plate_of_feet(FEET, title="").svg, "left")
    said = " ".join(drawing.texts())
    for words in ("heel-to-ball", "201.0 mm", "99.8 mm", "67.9 mm", "length", "271.3 mm", "left foot"):
        assert words in said
    assert "boot" not in said


def test_bare_dimensions_end_where_they_say():
    for foot in FEET:
        part = Drawing(plate_of_feet(FEET, title="").svg, foot.foot)
        base = max(y for _, y in part.outline("foot"))
        tips = part.arrow_tips()
        length, ball, breadth, heel = (tips[start : start + 2] for start in range(0, 8, 2))
        assert sorted(base - y for _, y in length) == pytest.approx([0, foot.foot_length], abs=0.05)
        assert sorted(base - y for _, y in ball) == pytest.approx([0, foot.heel_to_ball], abs=0.05)
        assert abs(breadth[0][0] - breadth[1][0]) == pytest.approx(foot.foot_breadth, abs=0.05)
        assert abs(heel[0][0] - heel[1][0]) == pytest.approx(foot.heel_breadth, abs=0.05)


def test_a_heel_that_was_not_read_is_not_measured():
    foot = DrawnFoot("left", 271.3, 201.0, 99.8, 67.9, heel_judged=False)
    plate = plate_of_feet([foot], title="")
    assert "67.9" not in plate.svg
    assert len(Drawing(plate.svg).arrow_tips()) == 6


@given(feet_and_boots(), st.sampled_from([0, 1, None]), st.booleans())
@settings(max_examples=60)
def test_no_word_stands_on_another_or_on_a_line_or_off_the_plate(case, alone, bare):
    feet, boot = case
    chosen = feet if alone is None else [feet[alone]]
    plate = plate_of_feet(chosen, title="") if bare else plate_in_boot(chosen, boot, title="")
    drawing = Drawing(plate.svg)
    boxes = drawing.boxes()
    for words, corners in boxes:
        assert all(0 < x < plate.width and 0 < y < plate.height for x, y in corners), words
    for (words, one), (others, other) in combinations(boxes, 2):
        assert apart(one, other), (words, others)
    lines = [(kind, line) for kind in LINES for line in drawing.lines(kind)]
    for words, corners in boxes:
        for kind, line in lines:
            assert apart(corners, line), (words, kind)
    for foot in chosen:
        part = Drawing(plate.svg, foot.foot)
        kinds = ("foot",) if bare else ("foot", "boot")
        outlines = [spot for kind in kinds for spot in part.outline(kind, steps=40)]
        for words, corners in part.boxes():
            assert not any(within(spot, corners) for spot in outlines), words


def test_any_text_can_be_a_title():
    for plate in (plate_in_boot(FEET, BOOT, title=HOSTILE), plate_of_feet(FEET, title=HOSTILE)):
        assert list(Drawing(plate.svg).svg.iter("{*}script")) == []
