"""What is written on the foot's pages: large, clear of the markers, and nowhere that a foot may stand."""

from __future__ import annotations

from itertools import product

import cv2
import numpy as np
import pymupdf
import pytest

from heelball.foot.vector import FEET
from heelball.sheet.layout import PRINTABLE, pages_of
from heelball.sheet.legend import QUIET, SMALLEST_PT, legend_of, printed_areas
from heelball.sheet.marking import PAPERS
from heelball.sheet.values import Array
from tests.sheet.photographs.outlines import mesh_foot
from tests.sheet.printed_pages import PX_PER_MM, Grey8, pdf, rendered
from tests.sheet.test_printed import spans

KINDS = [(paper, two) for paper in PAPERS for two in (False, True)]


def feet_pages(paper, two):
    """Return each page a foot stands on, and its picture."""
    pages = [page for foot in FEET for page in pages_of(paper, foot, two=two)]
    return list(zip(pages, rendered(paper, two), strict=False))


def fill(mask: Grey8, areas: list[Array]) -> None:
    for area in areas:
        cv2.fillPoly(mask, [np.round(area * PX_PER_MM * 16).astype(np.int32)], [0], shift=4)


def band(ends: Array, half: float) -> Array:
    along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0]) * half
    aside = np.array([-along[1], along[0]])
    first, second = ends[0] - along, ends[1] + along
    return np.array([first - aside, first + aside, second + aside, second - aside])


def grown(corners: Array, by: float) -> Array:
    return np.asarray(corners + by * np.sign(corners - corners.mean(axis=0)))


@pytest.mark.parametrize(("paper", "two"), KINDS)
def test_all_ink_lies_where_the_reader_takes_it_to_lie(paper, two):
    for page, picture in feet_pages(paper, two):
        mask = np.ones(picture.shape, np.uint8)
        fill(mask, [grown(marker.corners, 0.2) for marker in page.markers])
        fill(mask, [band(ends, 0.4) for ends in (page.axis, page.heel_edge) if ends is not None])
        # A letter's own edge may lie a hair over.
        fill(mask, [grown(area, 0.1) for area in printed_areas(page)])
        assert np.count_nonzero((picture < 250) & (mask == 1)) == 0


@pytest.mark.parametrize(("paper", "two"), KINDS)
def test_nothing_but_axis_and_heel_edge_is_printed_where_a_foot_of_200_mm_or_more_can_stand(paper, two):
    mesh = mesh_foot().outline - [mesh_foot().outline[:, 0].min(), 0.0]
    for page, picture in feet_pages(paper, two):
        under = np.zeros(picture.shape, np.uint8)
        for length in np.linspace(200.0, page.holds, 12):
            foot = page.frame.to_page(mesh * (length / mesh[:, 0].max()))
            cv2.fillPoly(under, [np.round(foot * PX_PER_MM * 16).astype(np.int32)], [1], shift=4)
        # The pencil's body, and a foot set down somewhat askew.
        away = cv2.distanceTransform(1 - under, cv2.DIST_L2, cv2.DIST_MASK_5) / PX_PER_MM
        under = (away <= 9.0).astype(np.uint8)
        fill(under, [band(ends, 0.4) for ends in (page.axis, page.heel_edge) if ends is not None])
        assert under.any()
        assert np.count_nonzero((picture < 250) & (under == 1)) == 0


@pytest.mark.parametrize(("paper", "foot", "two"), list(product(PAPERS, FEET, (False, True))))
def test_words_keep_from_markers_and_stay_where_printers_reach(paper, foot, two):
    for page in pages_of(paper, foot, two=two):
        for area in printed_areas(page):
            sides = [
                area[side] + (area[(side + 1) % 4] - area[side]) * np.linspace(0.0, 1.0, 80)[:, None]
                for side in range(4)
            ]
            rim = np.concatenate(sides)
            for marker in page.markers:
                least, most = marker.corners.min(axis=0), marker.corners.max(axis=0)
                out = np.maximum(np.maximum(least - rim, rim - most), 0.0)
                assert np.hypot(out[:, 0], out[:, 1]).min() >= QUIET


@pytest.mark.parametrize(("paper", "two"), KINDS)
def test_ink_stays_where_printers_reach(paper, two):
    for page, picture in feet_pages(paper, two):
        rows, columns = np.nonzero(picture < 250)
        width, height = page.size
        assert min(rows.min(), columns.min()) / PX_PER_MM >= PRINTABLE - 0.3
        assert width - columns.max() / PX_PER_MM >= PRINTABLE - 0.3
        assert height - rows.max() / PX_PER_MM >= PRINTABLE - 0.3


@pytest.mark.parametrize(("paper", "two"), KINDS)
def test_nothing_on_a_foots_page_is_written_smaller_than_14_points(paper, two):
    assert SMALLEST_PT == 14.0
    document = pymupdf.open(stream=pdf(paper, two, "W-17"))
    for number in range(4 if two else 2):
        sizes = [span["size"] for span in spans(document[number])]
        assert sizes
        assert min(sizes) >= 13.99


@pytest.mark.parametrize("paper", PAPERS)
def test_every_word_of_the_legend_is_in_its_box(paper):
    document = pymupdf.open(stream=pdf(paper, False))
    for number, foot in enumerate(FEET):
        (page,) = pages_of(paper, foot)
        for words in legend_of(page).words:
            area = words.area() * 72 / 25.4
            box = pymupdf.Rect(*(area.min(axis=0) - 4.0), *(area.max(axis=0) + 4.0))
            for line in words.text.split("\n"):
                assert any(found in box for found in document[number].search_for(line)), line


@pytest.mark.parametrize("foot", FEET)
def test_two_pages_name_the_foot_first_for_both_feet_and_their_joins_meet(foot):
    heel, toes = pages_of("a4", foot, two=True)
    for page, part in ((heel, "page 1 of 2"), (toes, "page 2 of 2")):
        named = {words.text: words.box for words in legend_of(page).words}
        (name,) = (box for text, box in named.items() if text == f"{foot.capitalize()} foot")
        (which,) = (box for text, box in named.items() if text.startswith(part))
        assert name[1] + name[3] <= which[1]
    for mine, other in zip(legend_of(heel).strokes, legend_of(toes).strokes, strict=True):
        assert mine[0, 1] == mine[1, 1] == other[0, 1] == other[1, 1]
        assert mine[:, 0].max() == heel.size[0] - PRINTABLE
        assert other[:, 0].min() == PRINTABLE
    assert [words.text for words in legend_of(heel).words if len(words.text) == 1] == ["A", "B"]


@pytest.mark.parametrize("foot", FEET)
@pytest.mark.parametrize("paper", PAPERS)
def test_the_arrow_points_with_the_foot(paper, foot):
    for page in (pages_of(paper, foot)[0], pages_of(paper, foot, two=True)[1]):
        arrow = legend_of(page).arrow
        assert arrow is not None
        way = arrow[1] - arrow[0]
        np.testing.assert_allclose(way / np.linalg.norm(way), page.frame.along, atol=1e-9)


def test_a_code_is_set_as_large_as_its_frame_lets_it_and_left_out_where_it_is_too_long():
    def sizes(code: str) -> list[float]:
        page = pymupdf.open(stream=pdf("a4", False, code))[0]
        return [span["size"] for span in spans(page) if span["text"] == code]

    assert sizes("W-17") == [pytest.approx(22.0)]
    (long,) = sizes("NORTH-0017")
    assert 14.0 <= long + 0.01 < 22.0
    assert sizes("WEARER-NORTH-0017") == []


def test_the_code_stands_with_the_notes_that_are_sent():
    document = pymupdf.open(stream=pdf("a4", False, "WEARER-OF-THE-NORTH-0017"))
    assert "WEARER-OF-THE-NORTH-0017" in document[2].get_text()
