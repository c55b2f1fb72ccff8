"""The plan shows the paper from straight above in the foot's own directions, print masked."""

import cv2
import numpy as np
import pytest

from heelball.foot.vector import FEET
from heelball.sheet.layout import pages_of
from heelball.sheet.marking import PAPERS
from heelball.sheet.plan import make_plan
from heelball.sheet.plane import fit_plane
from tests.sheet.scene import Shot, photographed, placed

PHONE = Shot(size=(2400, 1800), focal_px=2200, height=430, tilt_deg=20, toward_deg=35, turn_deg=95, bend=0.02)
TWO = Shot(
    size=(2400, 3200), focal_px=2400, height=430, tilt_deg=10, middle=(210, 148.5), join=(2.5, -1.5, 2)
)


def planned(pages, shot, grey=None):
    """Plan a photograph, its plane laid through the markers' true corners."""
    grey = photographed(pages, shot) if grey is None else grey
    corners = {
        one.id: shot.picture_of(placed(page, shot, one.corners)) for page in pages for one in page.markers
    }
    return make_plan(grey, fit_plane(corners, pages, shot.size, None), pages)


def at(plan, along, across):
    return round((across - plan.across_from) * plan.px_per_mm), round(
        (along - plan.along_from) * plan.px_per_mm
    )


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("foot", FEET)
def test_a_dot_on_the_inner_side_stands_there_for_either_foot(paper, foot):
    pages = pages_of(paper, foot)
    grey = photographed(pages, PHONE)
    places = [(60.0, 25.0), (180.0, 40.0), (240.0, -30.0)]
    for place in places:
        dot = PHONE.picture_of(pages[0].frame.to_page(np.array([place])))[0]
        cv2.circle(grey, np.round(dot * 16).astype(int).tolist(), 6 * 16, 20, -1, cv2.LINE_AA, 4)
    plan = planned(pages, PHONE, grey)
    for along, across in places:
        row, column = at(plan, along, across)
        near = 255.0 - plan.grey[row - 12 : row + 13, column - 12 : column + 13]
        near[near < 100] = 0
        rows, columns = np.mgrid[-12:13, -12:13]
        seen = np.array([(near * columns).sum(), (near * rows).sum()]) / near.sum() / plan.px_per_mm
        # Within a quarter of a pixel of the plan of the point itself.
        exact = np.array([along - plan.along_from, across - plan.across_from])
        off = seen + np.array([column, row]) / plan.px_per_mm - exact
        assert np.abs(off).max() < 0.07


@pytest.mark.parametrize(("paper", "two"), [("a4", False), ("letter", False), ("a4", True), ("letter", True)])
@pytest.mark.parametrize("foot", FEET)
def test_what_is_free_is_bare_paper(paper, two, foot):
    pages = pages_of(paper, foot, two=two)
    shot = TWO if two else PHONE
    plan = planned(pages, shot)
    assert plan.grey[plan.free].min() > shot.paper - 25
    assert plan.grey[~plan.free].min() < shot.paper - 100
    assert not (plan.free & ~plan.on_paper).any()


@pytest.mark.parametrize("two", [False, True])
@pytest.mark.parametrize("foot", FEET)
def test_nearly_all_that_a_foot_can_stand_on_is_free(two, foot):
    pages = pages_of("a4", foot, two=two)
    plan = planned(pages, TWO if two else PHONE)
    rows, columns = plan.free.shape
    along = plan.along_from + np.arange(columns) / plan.px_per_mm
    across = plan.across_from + np.arange(rows) / plan.px_per_mm
    oval = ((along - 140) / 140) ** 2 + (across[:, None] / 48) ** 2 < 1
    assert plan.on_paper[oval].mean() > 0.99
    assert plan.free[oval].mean() > 0.93


def test_it_reaches_behind_the_heel_and_beyond_the_longest_foot():
    pages = pages_of("a4", "left")
    plan = planned(pages, PHONE)
    rows, columns = plan.grey.shape
    assert plan.along_from <= -15
    assert plan.along_from + columns / plan.px_per_mm >= pages[0].holds + 25
    assert plan.across_from >= -95
    assert plan.across_from + rows / plan.px_per_mm <= 95


def test_outside_the_photograph_is_no_paper():
    pages = pages_of("a4", "right")
    near = Shot(size=(1600, 1200), focal_px=1500, height=450, middle=(105, 260))
    plan = planned(pages, near)
    rows, columns = plan.on_paper.shape
    row, column = np.mgrid[0:rows:7, 0:columns:7]
    foot = np.stack([plan.along_from + column / 4, plan.across_from + row / 4], axis=-1).reshape(-1, 2)
    px = near.picture_of(pages[0].frame.to_page(foot))
    outside = ((px < -1) | (px > np.array([1200, 1600]))).any(axis=1)
    assert outside.any()
    assert not plan.on_paper[::7, ::7].ravel()[outside].any()


def test_fewest_pixels_to_a_millimetre():
    shot = Shot(size=(1600, 1200), focal_px=1500, height=450)
    assert planned(pages_of("a4", "right"), shot).seen_px_per_mm == pytest.approx(1500 / 450, rel=0.01)


def test_a_heel_edge_that_curl_moved_is_masked_where_it_is_seen():
    pages = pages_of("a4", "left")
    frame = pages[0].frame
    heel_edge = pages[0].heel_edge
    assert heel_edge is not None
    ends = frame.to_foot(heel_edge)
    grey = photographed(pages, PHONE)
    moved = PHONE.picture_of(frame.to_page(ends + np.array([[-2.0, 0.0], [-1.0, 0.0]])))
    first, second = np.round(moved).astype(int).tolist()
    printed = np.round(PHONE.picture_of(heel_edge)).astype(int).tolist()
    cv2.line(grey, printed[0], printed[1], 235, 10)
    cv2.line(grey, first, second, 60, 3)
    plan = planned(pages, PHONE, grey)
    row, column = at(plan, -1.5, 0.0)
    near = plan.grey[row - 60 : row + 60, column - 16 : column + 16]
    assert near.min() < 120
    assert near[plan.free[row - 60 : row + 60, column - 16 : column + 16]].min() > 180
