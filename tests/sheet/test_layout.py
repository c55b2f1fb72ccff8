"""Where everything stands: markers clear of the paper's edge and of the longest foot, the fold, the angle."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from heelball.errors import InputError
from heelball.foot.vector import FEET
from heelball.sheet.layout import HOLDS, SIZES, SPARE, TWO_PAGES_HOLD, pages_of
from heelball.sheet.marking import PAPERS, VERSION, Marking, marking_of
from heelball.sheet.values import Array
from heelball.work.sheet_print import two_pages_for
from tests.sheet.photographs.outlines import mesh_foot

KINDS = [
    pytest.param(paper, foot, two, id=f"{paper}-{foot}-{'two' if two else 'one'}")
    for paper, foot, two in product(PAPERS, FEET, (False, True))
]


def longest_outline(length: float) -> Array:
    """Return the shared mesh's outline made that long: along from its heel, across to its inner side."""
    outline = mesh_foot().outline
    outline = outline - [outline[:, 0].min(), 0.0]
    return np.asarray(outline * (length / outline[:, 0].max()))


def between(points: Array, corners: Array) -> Array:
    """Return how far points lie out of an upright square [mm]."""
    least, most = corners.min(axis=0), corners.max(axis=0)
    out = np.maximum(np.maximum(least - points, points - most), 0.0)
    return np.asarray(np.hypot(out[:, 0], out[:, 1]))


@pytest.mark.parametrize(("paper", "foot", "two"), KINDS)
def test_markers_are_of_their_size_and_enough_of_them_on_every_page(paper, foot, two):
    for page in pages_of(paper, foot, two=two):
        assert len(page.markers) >= (6 if two else 8)
        for marker in page.markers:
            first, second, third, fourth = marker.corners
            side = second[0] - first[0]
            assert 14.0 <= side <= 20.0
            # Clockwise from the top left, upright and square.
            np.testing.assert_allclose(
                [second, third, fourth], first + np.array([[side, 0], [side, side], [0, side]])
            )


@pytest.mark.parametrize(("paper", "foot", "two"), KINDS)
def test_markers_keep_from_the_papers_edge(paper, foot, two):
    for page in pages_of(paper, foot, two=two):
        corners = np.concatenate([marker.corners for marker in page.markers])
        assert corners.min() >= 7.0
        assert (np.array(page.size) - corners).min() >= 7.0


@pytest.mark.parametrize(("paper", "foot", "two"), KINDS)
def test_markers_keep_from_the_longest_foot_and_from_where_the_ticks_go(paper, foot, two):
    for page in pages_of(paper, foot, two=two):
        outline = longest_outline(page.holds)
        where = page.frame.to_page(outline)
        share = outline[:, 0] / page.holds
        ticks = (share >= 0.48) & (share <= 0.86)
        for marker in page.markers:
            away = between(where, marker.corners)
            assert away.min() >= 11.0
            assert away[ticks].min() >= 20.0


@pytest.mark.parametrize(("paper", "foot", "two"), KINDS)
def test_markers_stand_on_both_sides_of_the_foot(paper, foot, two):
    for page in pages_of(paper, foot, two=two):
        middles = np.array([marker.corners.mean(axis=0) for marker in page.markers])
        across = page.frame.to_foot(middles)[:, 1]
        assert (across > 0).sum() >= 3
        assert (across < 0).sum() >= 3


@pytest.mark.parametrize(("paper", "foot", "two"), KINDS)
def test_the_longest_foot_leaves_8_mm_of_paper_all_round(paper, foot, two):
    pages = pages_of(paper, foot, two=two)
    outline = longest_outline(pages[0].holds)
    # Two pages are one paper: in the first one's frame.
    where = pages[0].frame.to_page(outline)
    rim = np.array(pages[-1].size) + pages[-1].offset
    assert SPARE == 8.0
    assert where.min() >= SPARE - 1e-6
    assert (rim - where).min() >= SPARE - 1e-6


@pytest.mark.parametrize("paper", PAPERS)
def test_what_a_page_holds(paper):
    assert HOLDS[paper] == {"a4": 297.0, "letter": 285.0}[paper]
    assert two_pages_for(paper, HOLDS[paper], "--foot-length") is False
    assert two_pages_for(paper, HOLDS[paper] + 0.1, "--foot-length") is True
    assert two_pages_for(paper, TWO_PAGES_HOLD, "--foot-length") is True
    with pytest.raises(InputError, match="340"):
        two_pages_for(paper, TWO_PAGES_HOLD + 0.1, "--foot-length")


@pytest.mark.parametrize(("paper", "foot", "two"), KINDS)
def test_the_heel_edge_is_long_square_to_the_axis_and_the_heel_lies_on_it(paper, foot, two):
    page, *rest = pages_of(paper, foot, two=two)
    assert page.heel_edge is not None
    assert all(other.heel_edge is None for other in rest)
    edge = page.heel_edge[1] - page.heel_edge[0]
    axis = page.axis[1] - page.axis[0]
    assert np.linalg.norm(edge) >= 50.0
    assert abs(edge @ axis) < 1e-9 * np.linalg.norm(edge) * np.linalg.norm(axis)
    # The axis starts on it and runs toward the toes.
    ends = page.frame.to_foot(page.heel_edge)
    np.testing.assert_allclose(ends[:, 0], 0.0, atol=1e-9)
    assert ends[:, 1].min() < 0.0 < ends[:, 1].max()
    np.testing.assert_allclose(page.axis[0], page.frame.origin)
    assert axis @ page.frame.along > 0.0


@pytest.mark.parametrize("foot", FEET)
@pytest.mark.parametrize(("paper", "turn_deg"), [("a4", 30.0), ("letter", 34.0)])
def test_one_page_turns_the_foot_and_two_lay_it_straight(paper, turn_deg, foot):
    (page,) = pages_of(paper, foot)
    along = page.axis[1] - page.axis[0]
    assert along[1] < 0.0
    toward = 1.0 if foot == "left" else -1.0
    assert np.degrees(np.arctan2(toward * along[0], -along[1])) == pytest.approx(turn_deg, abs=1.0)
    for part in pages_of(paper, foot, two=True):
        np.testing.assert_allclose(part.axis[1, 1], part.axis[0, 1])


@pytest.mark.parametrize("two", [False, True])
@pytest.mark.parametrize("paper", PAPERS)
def test_the_left_foots_page_is_the_right_ones_mirrored(paper, two):
    side = 1 if two else 0
    for left, right in zip(pages_of(paper, "left", two=two), pages_of(paper, "right", two=two), strict=True):
        size = SIZES[paper]
        assert left.size == right.size == size
        for mine, other in zip(left.markers, right.markers, strict=True):
            flipped = other.corners.mean(axis=0)
            flipped[side] = size[side] - flipped[side]
            np.testing.assert_allclose(mine.corners.mean(axis=0), flipped)
        # The inner side of a left foot seen from above is at its right.
        turn = np.array([[0.0, -1.0], [1.0, 0.0]])
        np.testing.assert_allclose(left.frame.inner, turn @ left.frame.along, atol=1e-12)
        np.testing.assert_allclose(right.frame.inner, -turn @ right.frame.along, atol=1e-12)


def test_every_markers_number_says_where_it_stands_and_stands_nowhere_else():
    seen = set()
    for paper, foot, two in product(PAPERS, FEET, (False, True)):
        for page in pages_of(paper, foot, two=two):
            for place, marker in enumerate(page.markers):
                assert marking_of(marker.id) == Marking(VERSION, paper, page.part, foot, place)
                assert marker.id not in seen
                seen.add(marker.id)
    assert max(seen) < 1000


def test_another_edition_has_other_numbers():
    others = {marking_of(number) for number in range(1000)} - {None}
    assert {one.version for one in others if one is not None} == {1, 2, 3, 4, 5}
    assert len(others) == len([number for number in range(1000) if marking_of(number) is not None])
