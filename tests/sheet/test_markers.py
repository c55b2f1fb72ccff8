"""The sheet's markers are found in photographs however these were taken, and strays are not."""

import cv2
import numpy as np
import pytest
from attrs import evolve

from heelball.foot.vector import FEET
from heelball.sheet.layout import page_of, pages_of
from heelball.sheet.markers import find_markers, the_sheet
from heelball.sheet.marking import PAPERS, Marking, marker_id
from heelball.sheet.values import Refused
from tests.sheet.scene import Shot, photographed, placed

HELD = Shot(tilt_deg=20, toward_deg=40, turn_deg=100, bend=0.03)


def truth(pages, shot):
    return {
        marker.id: shot.picture_of(placed(page, shot, marker.corners))
        for page in pages
        for marker in page.markers
    }


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("foot", FEET)
def test_every_corner_is_found_to_a_fraction_of_a_pixel(paper, foot):
    pages = pages_of(paper, foot)
    found = find_markers(photographed(pages, HELD))
    where = truth(pages, HELD)
    assert found.corners.keys() == where.keys()
    off = np.array([np.linalg.norm(found.corners[one] - where[one], axis=1) for one in where])
    assert np.sqrt((off**2).mean()) < 0.3
    assert the_sheet(found)[0] == pages


def test_a_mirrored_picture_is_mirrored_back():
    pages = pages_of("a4", "left")
    straight = photographed(pages, HELD)
    found = find_markers(np.ascontiguousarray(straight[:, ::-1]))
    assert found.mirrored
    assert np.array_equal(found.grey, straight)
    where = truth(pages, HELD)
    assert found.corners.keys() == where.keys()
    assert max(np.abs(found.corners[one] - where[one]).max() for one in where) < 1.0


def test_columns_that_the_reduced_picture_leaves_out_do_not_shift_a_mirrored_one():
    pages = pages_of("a4", "left")
    shot = Shot(size=(2800, 2003), focal_px=2600)
    found = find_markers(np.ascontiguousarray(photographed(pages, shot)[:, ::-1]))
    where = truth(pages, shot)
    assert found.mirrored
    assert max(np.abs(found.corners[one] - where[one]).max() for one in where) < 0.7


@pytest.mark.parametrize("quarters", [1, 2, 3])
def test_a_false_orientation_does_not_matter(quarters):
    grey = np.ascontiguousarray(np.rot90(photographed(pages_of("letter", "right"), HELD), quarters))
    found = find_markers(grey)
    assert len(found.corners) == 12
    assert not found.mirrored


def test_a_sheet_far_off_in_a_large_picture_is_looked_for_more_closely():
    pages = pages_of("a4", "right")
    found = find_markers(photographed(pages, Shot(size=(4000, 3000), focal_px=3000, height=1350)))
    assert len(found.corners) == 12


def test_a_marker_that_lies_elsewhere_is_left_out():
    pages = pages_of("a4", "right")
    strayed = pages[0].markers[4]
    shot = Shot(hidden=frozenset({strayed.id}), middle=(105.0, 130.0))
    grey = photographed(pages, shot)
    column, row = shot.picture_of(np.array([[60.0, 150.0]]))[0].round().astype(int)
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000)
    grey[row : row + 60, column : column + 60] = np.minimum(
        cv2.aruco.generateImageMarker(dictionary, strayed.id, 60), 235
    )
    found = find_markers(grey)
    assert strayed.id in found.corners
    assert the_sheet(found)[1].keys() == {one.id for one in pages[0].markers} - {strayed.id}


def test_five_markers_on_both_sides_are_enough_and_four_are_not():
    pages = pages_of("a4", "left")
    ids = [one.id for one in pages[0].markers]
    enough = Shot(hidden=frozenset(ids) - {ids[0], ids[2], ids[5], ids[6], ids[11]})
    assert len(the_sheet(find_markers(photographed(pages, enough)))[1]) == 5
    with pytest.raises(Refused) as refused:
        the_sheet(find_markers(photographed(pages, evolve(enough, hidden=enough.hidden | {ids[2]}))))
    assert refused.value.reason == "markers"


def test_markers_at_one_side_of_the_foot_are_not_enough():
    pages = pages_of("a4", "left")
    one_side = frozenset(one.id for one in pages[0].markers[:6])
    with pytest.raises(Refused) as refused:
        the_sheet(find_markers(photographed(pages, Shot(hidden=one_side))))
    assert refused.value.reason == "markers"


def test_two_pages_are_both_needed():
    pages = pages_of("a4", "left", two=True)
    shot = Shot(size=(1600, 2000), middle=(210.0, 148.5), height=500)
    assert the_sheet(find_markers(photographed(pages, shot)))[0] == pages
    with pytest.raises(Refused) as refused:
        the_sheet(find_markers(photographed(pages[:1], shot)))
    assert refused.value.reason == "markers"


def test_another_edition_is_told_as_that():
    page = page_of("a4", "whole", "left")
    later = evolve(
        page,
        markers=tuple(
            evolve(one, id=marker_id(Marking(2, "a4", "whole", "left", number)))
            for number, one in enumerate(page.markers)
        ),
    )
    with pytest.raises(Refused) as refused:
        the_sheet(find_markers(photographed((later,), Shot())))
    assert refused.value.reason == "other_version"


def test_a_picture_without_a_sheet():
    grey = np.random.default_rng(3).integers(0, 256, (900, 1200)).astype(np.uint8)
    with pytest.raises(Refused) as refused:
        the_sheet(find_markers(grey))
    assert refused.value.reason == "no_sheet"


@pytest.mark.parametrize(
    ("reason", "spoil"),
    [
        ("blurred", lambda grey: cv2.GaussianBlur(grey, (0, 0), 5)),
        ("blurred", lambda grey: cv2.blur(grey, (1, 25))),
        ("dark", lambda grey: (grey * 0.05).astype(np.uint8)),
    ],
)
def test_where_nothing_is_seen_for_blur_or_darkness_that_is_the_reason(reason, spoil):
    grey = photographed(pages_of("a4", "left"), Shot())
    with pytest.raises(Refused) as refused:
        the_sheet(find_markers(spoil(grey)))
    assert refused.value.reason == reason
