"""The PDF of the sheet: every mark where the description says, every marker read by OpenCV."""

from __future__ import annotations

import cv2
import numpy as np
import pymupdf
import pytest

from heelball.sheet.cells import dark_cells
from heelball.sheet.described import describe
from heelball.sheet.layout import HOLDS, SIZES, pages_of
from heelball.sheet.printing import sheet_pdf
from heelball.sheet.proof import CARD, proof

DPI = 300
PX_PER_MM = DPI / 25.4
FEET = ("left", "right")
KINDS = [(paper, two) for paper in SIZES for two in (False, True)]


def rendered(paper, two):
    pages = pymupdf.open(stream=sheet_pdf(paper, FEET, two=two))
    for page in pages:
        pixels = page.get_pixmap(dpi=DPI, colorspace=pymupdf.csGRAY)
        yield np.frombuffer(pixels.samples, np.uint8).reshape(pixels.height, pixels.width)


@pytest.mark.parametrize(("paper", "two"), KINDS)
def test_every_marker_is_read_within_a_tenth_of_a_millimetre_of_its_place(paper, two):
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000))
    for page, picture in zip(describe(paper, FEET, two=two)["pages"], rendered(paper, two), strict=True):
        assert picture.shape == pytest.approx(np.array(page["size"][::-1]) * PX_PER_MM, abs=1)
        quads, ids, _ = detector.detectMarkers(picture)
        told = {one["id"]: np.array(one["corners"]) for one in page["markers"]}
        assert sorted(told) == sorted([] if ids is None else ids.ravel().tolist())
        for quad, number in zip(quads, [] if ids is None else ids.ravel().tolist(), strict=True):
            ends = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 50, 0.001)
            fine = cv2.cornerSubPix(picture, quad.reshape(-1, 1, 2), (8, 8), (-1, -1), ends)
            seen = (fine.reshape(4, 2) + 0.5) / PX_PER_MM
            assert np.abs(seen - told[number]).max() < 0.1


@pytest.mark.parametrize(("paper", "two"), KINDS)
def test_heel_edge_and_bars_are_drawn_where_they_are_said_to_be(paper, two):
    for page, picture in zip(describe(paper, FEET, two=two)["pages"], rendered(paper, two), strict=True):
        lines = [page["heel_edge"]] if page["heel_edge"] else []
        lines += [bar["ends"] for bar in page["bars"]] + [rung["ends"] for rung in page["card"]]
        for ends in lines:
            first, second = np.array(ends)
            middle = first + (second - first) * 0.5
            across = np.array([[0.0, -1.0], [1.0, 0.0]]) @ (second - first) / np.linalg.norm(second - first)
            steps = np.arange(-0.35, 0.36, 0.02)
            px = ((middle + steps[:, None] * across) * PX_PER_MM - 0.5).astype(np.float32)
            dark = 255.0 - cv2.remap(picture, px[:, :1], px[:, 1:], cv2.INTER_LINEAR)[:, 0]
            assert dark.max() > 60
            assert abs(float((dark * steps).sum() / dark.sum())) < 0.1


def test_the_same_sheet_is_the_same_file():
    assert sheet_pdf("a4", FEET) == sheet_pdf("a4", FEET)


def test_a_card_on_a_print_of_some_per_cent_meets_the_rung_of_that_name():
    marks = proof()
    for rung in marks.ladder:
        assert (rung.ends[0, 0] - marks.corner[0]) * rung.percent / 100 == pytest.approx(CARD[0])


@pytest.mark.parametrize("paper", sorted(SIZES))
def test_nothing_on_a_page_of_a_foot_is_written_smaller_than_14_points(paper):
    for page in list(pymupdf.open(stream=sheet_pdf(paper, FEET)))[:2]:
        spans = [
            span
            for block in page.get_text("dict")["blocks"]
            for line in block.get("lines", [])
            for span in line["spans"]
        ]
        assert spans
        assert min(span["size"] for span in spans) >= 13.99


def test_the_cells_of_every_marker_are_those_of_the_open_dictionary():
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000)
    for number in range(192):
        image = cv2.aruco.generateImageMarker(dictionary, number, 7)
        rows, columns = np.nonzero(image == 0)
        assert sorted(dark_cells(number)) == sorted(zip(columns.tolist(), rows.tolist(), strict=True))


@pytest.mark.parametrize("paper", sorted(SIZES))
@pytest.mark.parametrize("foot", FEET)
def test_a_page_keeps_the_rules_of_the_layout(paper, foot):
    (page,) = pages_of(paper, foot)
    assert len(page.markers) >= 8
    assert page.holds == HOLDS[paper]
    corners = np.concatenate([one.corners for one in page.markers])
    assert corners.min() >= 7.0
    assert (np.array(page.size) - corners).min() >= 7.0
    first, second = page.heel_edge
    assert np.linalg.norm(second - first) >= 50.0
    assert abs((second - first) @ page.frame.along) < 1e-9
    axis = np.degrees(np.arccos(abs(page.frame.along[1])))
    assert axis == pytest.approx(30.0 if paper == "a4" else 34.0, abs=0.1)
    sides = page.frame.to_foot(np.array([one.corners.mean(axis=0) for one in page.markers]))[:, 1]
    assert (sides > 0).sum() >= 4
    assert (sides < 0).sum() >= 4
