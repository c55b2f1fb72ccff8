"""The drawing on paper, measured back from the PDF with a ruler of 0.05 mm."""

from __future__ import annotations

import math
from typing import get_args

import pytest

from heelball.fit.wearer import Wearer
from heelball.foot.vector import Foot
from heelball.show.drawn import feet_in_boot
from heelball.show.figures import DrawnBoot, DrawnFoot
from heelball.show.paper import PaperSize, fit_card, made_pair_sheet
from heelball.show.paper.measures import bare_feet
from tests.fittings import last
from tests.show.paper import cases
from tests.show.paper.pages import ACCENT, INK, Pages, Stroke

#: What a mark may be off on paper [mm].
TRUE = 0.05

papers = pytest.mark.parametrize("paper", get_args(PaperSize))


class Plate:
    """What is drawn of each foot on a page, left before right."""

    def __init__(self, page: Pages) -> None:
        self.bar = next(
            s for s in page.strokes if s.colour == INK and s.straight and s.length == pytest.approx(50, abs=1)
        )
        self.feet = _by_place(s for s in page.strokes if s.colour == INK and len(s.spots) > 500)
        self.boots = _by_place(s for s in page.strokes if s.colour == ACCENT and len(s.spots) > 400)
        slanted = [s for s in page.strokes if s.straight and s.height > 10 and s.breadth > 10]
        self.foot_bends = _by_place(s for s in slanted if s.colour == INK)
        self.boot_bends = _by_place(s for s in slanted if s.colour == ACCENT)

    def base(self) -> float:
        return max(y for _, y in self.feet[0].spots)


def _by_place(strokes) -> list[Stroke]:
    return sorted(strokes, key=lambda stroke: min(x for x, _ in stroke.spots))


def joint(outline: Stroke, foot: Foot) -> tuple[float, float]:
    """Return the innermost point of an outline."""
    return max(outline.spots, key=lambda spot: spot[0] * (1 if foot == "left" else -1))


def level(line: Stroke, across: float) -> float:
    """Return how far down a straight line is at `across`."""
    (x1, y1), (x2, y2) = line.spots
    return y1 + (across - x1) / (x2 - x1) * (y2 - y1)


def card_plate(who: Wearer, paper: PaperSize) -> tuple[Plate, list[DrawnFoot], DrawnBoot]:
    found = cases.answered(who)
    feet, boot = feet_in_boot(found, found.choices[0], who)
    return Plate(Pages(fit_card(found, (), who, day=cases.DAY, paper=paper))), feet, boot


@papers
def test_the_bar_is_50_mm_on_paper(paper: PaperSize):
    plate, _, _ = card_plate(cases.ordinary(), paper)
    assert plate.bar.length == pytest.approx(50.0, abs=TRUE)


@papers
def test_feet_and_boot_are_drawn_at_half_their_size(paper: PaperSize):
    plate, feet, boot = card_plate(cases.ordinary(), paper)
    assert [len(each) for each in (plate.feet, plate.boots, plate.foot_bends, plate.boot_bends)] == [
        2,
        2,
        2,
        2,
    ]
    for place, foot in enumerate(feet):
        assert 2 * plate.feet[place].height == pytest.approx(foot.foot_length, abs=TRUE)
        assert 2 * plate.feet[place].breadth == pytest.approx(foot.foot_breadth, abs=TRUE)
        assert 2 * plate.boots[place].height == pytest.approx(boot.inside_length, abs=TRUE)
        assert 2 * plate.boots[place].breadth == pytest.approx(boot.built_for_breadth, abs=TRUE)


@papers
def test_both_bends_lie_where_they_are_from_the_heel(paper: PaperSize):
    plate, feet, boot = card_plate(cases.ordinary(), paper)
    for place, foot in enumerate(feet):
        across, _ = joint(plate.feet[place], foot.foot)
        for line, wanted in (
            (plate.foot_bends[place], foot.heel_to_ball),
            (plate.boot_bends[place], boot.flex_line),
        ):
            assert 2 * (plate.base() - level(line, across)) == pytest.approx(wanted, abs=TRUE)
            (x1, y1), (x2, y2) = line.spots
            assert math.degrees(math.atan2(abs(x2 - x1), abs(y2 - y1))) == pytest.approx(70, abs=0.05)
    assert all(bend.dashed for bend in plate.boot_bends)
    assert not any(bend.dashed for bend in plate.foot_bends)


def test_left_and_right_are_not_exchanged():
    plate, feet, _ = card_plate(cases.ordinary(), "a4")
    assert feet[1].foot_length - feet[0].foot_length > 1
    assert plate.feet[1].height > plate.feet[0].height
    left, right = (joint(outline, foot.foot)[0] for outline, foot in zip(plate.feet, feet, strict=True))
    assert left < right


@papers
def test_bare_feet_are_drawn_at_half_their_size(paper: PaperSize):
    who = cases.unserved()
    found = cases.answered(who, cases.NARROW)
    plate = Plate(Pages(made_pair_sheet(found, who, reference="M-7", day=cases.DAY, paper=paper)))
    assert plate.bar.length == pytest.approx(50.0, abs=TRUE)
    assert plate.boots == plate.boot_bends == []
    for place, foot in enumerate(bare_feet(found, who)):
        outline = plate.feet[place]
        assert 2 * outline.height == pytest.approx(foot.foot_length, abs=TRUE)
        assert 2 * outline.breadth == pytest.approx(foot.foot_breadth, abs=TRUE)
        across, _ = joint(outline, foot.foot)
        ball = 2 * (plate.base() - level(plate.foot_bends[place], across))
        assert ball == pytest.approx(foot.heel_to_ball, abs=TRUE)


@papers
def test_the_largest_feet_are_still_drawn(paper: PaperSize):
    who = cases.biggest()
    found = cases.answered(who, [last(10, 20)])
    feet, _ = feet_in_boot(found, found.choices[0], who)
    page = Pages(fit_card(found, (), who, day=cases.DAY, paper=paper))
    if page.said("the drawing of these feet leaves no room"):
        assert page.strokes
        assert not [stroke for stroke in page.strokes if stroke.colour == ACCENT and not stroke.straight]
        pytest.fail("feet of size 18 should find room")
    assert 2 * Plate(page).feet[0].height == pytest.approx(feet[0].foot_length, abs=TRUE)


def test_one_foot_read_is_one_foot_drawn():
    plate, feet, _ = card_plate(cases.one_foot(), "a4")
    (outline,) = plate.feet
    assert 2 * outline.height == pytest.approx(feet[0].foot_length, abs=TRUE)
