"""The PDF of the sheet: every mark where the description says, every marker read by OpenCV."""

from __future__ import annotations

import cv2
import numpy as np
import pymupdf
import pytest

from heelball.foot.vector import FEET
from heelball.sheet.cells import dark_cells
from heelball.sheet.described import describe
from heelball.sheet.marking import PAPERS
from heelball.sheet.printing import sheet_pdf
from heelball.sheet.proof import CARD, RUNGS, proof
from tests.sheet.printed_pages import PX_PER_MM, off_line, pdf, rendered

KINDS = [(paper, two) for paper in PAPERS for two in (False, True)]


@pytest.mark.parametrize(("paper", "two"), KINDS)
def test_every_marker_is_read_within_a_tenth_of_a_millimetre_of_its_place(paper, two):
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000))
    for page, picture in zip(describe(paper, FEET, two=two)["pages"], rendered(paper, two), strict=True):
        assert picture.shape == pytest.approx(np.array(page["size"][::-1]) * PX_PER_MM, abs=1)
        quads, ids, _ = detector.detectMarkers(picture)
        # Nothing where the page has no marker.
        seen_ids = np.array(ids).ravel().tolist() if quads else []
        told = {one["id"]: np.array(one["corners"]) for one in page["markers"]}
        assert sorted(told) == sorted(seen_ids)
        for quad, number in zip(quads, seen_ids, strict=True):
            ends = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 50, 0.001)
            fine = cv2.cornerSubPix(picture, quad.reshape(-1, 1, 2), (8, 8), (-1, -1), ends)
            seen = (fine.reshape(4, 2) + 0.5) / PX_PER_MM
            assert np.abs(seen - told[number]).max() < 0.1


@pytest.mark.parametrize(("paper", "two"), KINDS)
def test_heel_edge_axis_bars_and_ladder_are_drawn_where_they_are_said_to_be(paper, two):
    lines = 0
    for page, picture in zip(describe(paper, FEET, two=two)["pages"], rendered(paper, two), strict=True):
        said = [page[name] for name in ("heel_edge", "axis") if page[name]]
        said += [bar["ends"] for bar in page["bars"]] + [rung["ends"] for rung in page["card"]]
        for ends in said:
            assert abs(off_line(picture, np.array(ends))) < 0.1
        lines += len(said)
    assert lines == 2 * (3 if two else 2) + 2 + len(RUNGS)


@pytest.mark.parametrize(("paper", "two"), KINDS)
def test_bars_are_as_long_as_they_say_from_tick_to_tick(paper, two):
    described = describe(paper, FEET, two=two)["pages"]
    (number,) = (number for number, page in enumerate(described) if page["bars"])
    picture = rendered(paper, two)[number]
    for bar in described[number]["bars"]:
        first, second = np.array(bar["ends"])
        assert np.linalg.norm(second - first) == pytest.approx(150.0)
        along = (second - first) / 150.0
        square = np.array([-along[1], along[0]])
        # Beside the bar itself, where its end tick stands alone.
        for end in (first, second):
            assert abs(off_line(picture, np.array([end + 1.0 * square, end + 2.6 * square]))) < 0.1


@pytest.mark.parametrize("paper", PAPERS)
def test_the_ladder_goes_by_halves_and_its_corner_is_where_the_cards_edges_lie(paper):
    (page,) = (page for page in describe(paper, FEET)["pages"] if page["card"])
    picture = rendered(paper, False)[len(FEET)]
    assert [rung["percent"] for rung in page["card"]] == np.arange(90.0, 105.1, 0.5).tolist()
    x, y = page["card_corner"]
    for rung in page["card"]:
        assert (np.array(rung["ends"])[:, 0] - x) * rung["percent"] / 100 == pytest.approx(
            [CARD[0]] * 2, abs=1e-3
        )
    # The stop's strokes, 0.6 mm wide, lie outside the corner.
    assert abs(off_line(picture, np.array([[x - 0.3, y + 5], [x - 0.3, y + 50]]), half=0.6)) < 0.1
    assert abs(off_line(picture, np.array([[x + 5, y - 0.3], [x + 65, y - 0.3]]), half=0.6)) < 0.1


@pytest.mark.parametrize("paper", PAPERS)
def test_the_tape_is_divided_in_true_millimetres_and_runs_on_over_the_gluing(paper):
    (page,) = (page for page in describe(paper, FEET)["pages"] if "tape" in page)
    picture = rendered(paper, False)[len(FEET)]
    first, second = page["tape"]
    assert (first["first"], first["last"]) == (0.0, second["first"])
    # A girth of 340 mm is beyond any foot's.
    assert second["last"] == 340.0
    for strip in (first, second):
        left, top = strip["from"]
        for step in range(int(strip["last"] - strip["first"]) + 1):
            tick = np.array([[left + 0.6, top + step], [left + 2.2, top + step]])
            assert abs(off_line(picture, tick)) < 0.1


def test_the_same_sheet_is_the_same_file():
    assert sheet_pdf("a4", FEET) == sheet_pdf("a4", FEET)


def test_a_card_on_a_print_of_some_per_cent_meets_the_rung_of_that_name():
    marks = proof()
    for rung in marks.ladder:
        assert (rung.ends[0, 0] - marks.corner[0]) * rung.percent / 100 == pytest.approx(CARD[0])


def test_the_cells_of_every_marker_are_those_of_the_open_dictionary():
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000)
    for number in range(192):
        image = cv2.aruco.generateImageMarker(dictionary, number, 7)
        rows, columns = np.nonzero(image == 0)
        assert sorted(dark_cells(number)) == sorted(zip(columns.tolist(), rows.tolist(), strict=True))


@pytest.mark.parametrize(("paper", "two"), KINDS)
def test_everything_is_black_or_white(paper, two):
    for page in pymupdf.open(stream=pdf(paper, two)):
        colours = {span["color"] for span in spans(page)}
        for path in page.get_drawings():
            colours |= {path[kind] for kind in ("color", "fill") if path[kind] is not None}
        assert colours <= {0, (0.0, 0.0, 0.0), (1.0, 1.0, 1.0)}
        # Three tenths of a point, a tenth of a millimetre: no thinner line is printed.
        widths = [path["width"] for path in page.get_drawings() if path["color"] is not None]
        assert min(widths) > 0.28


@pytest.mark.parametrize(("paper", "two"), KINDS)
def test_proof_and_instructions_take_a_page_each_and_stay_on_the_paper(paper, two):
    pages = list(pymupdf.open(stream=pdf(paper, two)))
    assert len(pages) == (6 if two else 4)
    for page in pages:
        width, height = page.rect.width, page.rect.height
        for span in spans(page):
            assert pymupdf.Rect(span["bbox"]) in pymupdf.Rect(10, 10, width - 10, height - 10), span["text"]


# What a wearer must be told, and what the fitter must be; the words may change, not that they are there.
TOLD = {
    "How to draw": (
        "hard floor", "100 %", "fold here", "kneels at the side", "pencil upright", "touching the foot",
        "joint behind the big toe", "joint behind the little toe", "short tick", "ball joints", "instep",
        "Step off", "flat", "straight above", "all black squares", "lamp not behind you", "flash off",
        "Alone?", "drawn alone", "± of the answer is doubled", "kept only while it is read", "wound",
        "numb feet", "diabetes", "clinician first",
    ),
    "Proof of scale": (
        "your code, never your name", "day and time", "sock", "both feet", "that foot", "seated", "pencil",
        "pen", "felt pen", "at a wall", "free", "drawn alone", "glue here", "ruler", "without a name",
        "Take it away before you photograph", "may be kept",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("paper", "two"), KINDS)
def test_the_wearer_is_told_and_asked_what_the_reading_needs(paper, two):
    pages = [" ".join(page.get_text().split()) for page in pymupdf.open(stream=pdf(paper, two))]
    for title, needed in TOLD.items():
        (text,) = (page for page in pages if title in page)
        assert [words for words in needed if words not in text] == []
        if title == "Proof of scale":
            assert ("four edges" in text) is not two


def spans(page):
    return [
        span
        for block in page.get_text("dict")["blocks"]
        for line in block.get("lines", [])
        for span in line["spans"]
    ]
