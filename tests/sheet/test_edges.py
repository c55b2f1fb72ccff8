"""The paper's cut edges, where they are seen for sure, tell the print's scale and where the paper ends."""

import numpy as np
import pytest
from attrs import evolve

from heelball.foot.vector import FEET
from heelball.sheet.edges import find_edges
from heelball.sheet.layout import pages_of
from heelball.sheet.marking import PAPERS
from heelball.sheet.plan import make_plan
from heelball.sheet.plane import fit_plane
from tests.sheet.scene import Shot, photographed

PHONE = Shot(size=(2000, 1500), focal_px=1750, height=430, tilt_deg=15, toward_deg=35, bend=0.02)


def seen(pages, shot, grey=None):
    grey = photographed(pages, shot) if grey is None else grey
    corners = {one.id: shot.picture_of(one.corners) for one in pages[0].markers}
    plane = fit_plane(corners, pages, shot.size, None)
    return grey, plane, find_edges(grey, plane, pages)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("foot", FEET)
@pytest.mark.parametrize("scale", [0.9, 0.96, 1.0, 1.05])
def test_the_prints_scale_shows_in_the_papers_edges(paper, foot, scale):
    pages = pages_of(paper, foot)
    _, _, edges = seen(pages, evolve(PHONE, cut=1 / scale))
    assert edges is not None
    assert edges.scale == pytest.approx((scale, scale), abs=0.001)
    half = np.array(pages[0].size) / 2
    true = half + half / scale * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    assert np.abs(edges.corners - true).max() < 0.35


def test_a_patterned_floor_is_not_taken_for_the_paper():
    pages = pages_of("a4", "left")
    plain = photographed(pages, PHONE)
    rows, columns = np.mgrid[0 : plain.shape[0], 0 : plain.shape[1]]
    checks = np.where(((rows // 70) + (columns // 70)) % 2, 40, 150)
    floor = np.abs(plain.astype(int) - PHONE.floor) < 14
    _, _, edges = seen(pages, PHONE, np.where(floor, checks, plain).astype(np.uint8))
    assert edges is not None
    assert edges.scale == pytest.approx((1.0, 1.0), abs=0.002)


def test_on_a_floor_like_paper_nothing_is_said():
    assert seen(pages_of("a4", "left"), evolve(PHONE, floor=PHONE.paper - 8))[2] is None


def test_where_an_edge_is_out_of_the_picture_nothing_is_said():
    assert seen(pages_of("a4", "left"), evolve(PHONE, height=250.0))[2] is None


@pytest.mark.parametrize("scale", [0.92, 1.05])
def test_the_plan_ends_where_the_paper_does(scale):
    pages = pages_of("a4", "right")
    shot = evolve(PHONE, cut=1 / scale)
    grey, plane, edges = seen(pages, shot)
    plan = make_plan(grey, plane, pages, edges)
    assert plan.grey[plan.free].min() > shot.paper - 25
    # 5 mm within the paper's edge on the heel's inner side.
    half = np.array(pages[0].size) / 2
    corner = half + half / scale
    point = np.array([[corner[0] - 60.0, corner[1] - 5.0]])
    along, across = pages[0].frame.to_foot(point)[0]
    row = round((across - plan.across_from) * plan.px_per_mm)
    column = round((along - plan.along_from) * plan.px_per_mm)
    assert plan.free[row, column]
    beyond = pages[0].frame.to_foot(point + np.array([0.0, 7.0]))[0]
    row = round((beyond[1] - plan.across_from) * plan.px_per_mm)
    column = round((beyond[0] - plan.along_from) * plan.px_per_mm)
    assert not plan.on_paper[row, column]
