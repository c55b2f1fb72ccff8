"""A photograph that is not good enough is refused for what is wrong with it, in the fixed order."""

import cv2
import numpy as np
import pytest
from attrs import evolve

from heelball.sheet.layout import pages_of
from heelball.sheet.markers import find_markers, the_sheet
from heelball.sheet.plane import fit_plane
from heelball.sheet.quality import check_quality, smear_mm
from heelball.sheet.values import Refused
from tests.sheet.scene import Shot, photographed

PAGES = pages_of("a4", "left")
GOOD = Shot(size=(2400, 1800), focal_px=2200, height=420, noise=3.0)


def checked(grey, moved=None):
    pages, corners = the_sheet(find_markers(grey))
    for number, by in (moved or {}).items():
        one = pages[0].markers[number].id
        corners[one] = corners[one] + np.array(by)
    check_quality(grey, fit_plane(corners, pages, grey.shape, None), corners, pages)


def reason(grey, moved=None):
    with pytest.raises(Refused) as refused:
        checked(grey, moved)
    assert str(refused.value)
    return refused.value.reason


@pytest.fixture(scope="module")
def good():
    return photographed(PAGES, GOOD)


def lit(grey, at, width, by):
    """Shine a lamp's reflection on the sheet."""
    rows, columns = np.mgrid[0 : grey.shape[0], 0 : grey.shape[1]]
    spot = by * np.exp(-((columns - at[0]) ** 2 + (rows - at[1]) ** 2) / (2 * width**2))
    return np.clip(grey + spot, 0, 255).astype(np.uint8)


def in_shade(grey, to):
    """Fall off evenly in light toward one side."""
    return (grey * np.linspace(1.0, to, grey.shape[1])).astype(np.uint8)


@pytest.mark.parametrize(
    "shot",
    [
        GOOD,
        evolve(GOOD, tilt_deg=33.0, height=380.0),
        evolve(GOOD, noise=8.0),
        Shot(height=430.0, size=(1600, 1200)),
    ],
)
def test_good_photographs_pass(shot):
    checked(photographed(PAGES, shot))


@pytest.mark.parametrize(
    "change",
    [
        lambda grey: cv2.GaussianBlur(grey, (0, 0), 1.2),
        lambda grey: in_shade(grey, 0.5),
        lambda grey: (grey * 0.5).astype(np.uint8),
        lambda grey: np.minimum(grey * 1.06, 255).astype(np.uint8),
    ],
)
def test_passable_light_and_sharpness_pass(good, change):
    checked(change(good))


def test_too_small():
    assert reason(photographed(PAGES, Shot(size=(1600, 1200), height=560))) == "too_small"


@pytest.mark.parametrize(
    "blur", [lambda grey: cv2.GaussianBlur(grey, (0, 0), 3.2), lambda grey: cv2.blur(grey, (1, 13))]
)
def test_blurred(good, blur):
    assert reason(blur(good)) == "blurred"


@pytest.mark.parametrize("sigma_px", [2.0, 3.0])
def test_smear_is_measured_in_millimetres(good, sigma_px):
    grey = cv2.GaussianBlur(good, (0, 0), sigma_px)
    pages, corners = the_sheet(find_markers(grey))
    plane = fit_plane(corners, pages, grey.shape, None)
    assert smear_mm(grey, plane, corners, pages) == pytest.approx(sigma_px / (2200 / 420), rel=0.2)


def test_dark(good):
    assert reason((good * 0.15).astype(np.uint8)) == "dark"


def test_glare(good):
    assert (
        reason(lit((good * 0.8).astype(np.uint8), GOOD.picture_of(np.array([[110.0, 130.0]]))[0], 130, 120))
        == "glare"
    )


def test_overexposed(good):
    assert reason(np.minimum(good * 1.3, 255).astype(np.uint8)) == "glare"


@pytest.fixture(scope="module")
def steep():
    return photographed(PAGES, evolve(GOOD, tilt_deg=46.0, size=(3600, 2700), focal_px=3600))


def test_oblique(steep):
    assert reason(steep) == "oblique"


def test_bent(good):
    assert reason(good, {0: (6, 4), 5: (-5, 5), 6: (5, -6), 11: (-6, 3)}) == "bent"


@pytest.mark.parametrize("bend", [0.25, -0.25])
def test_a_bulge_beyond_any_lens_is_a_bent_sheet(bend):
    shot = evolve(GOOD, bend=bend)
    with pytest.raises(Refused, match="bulges") as refused:
        checked(photographed(PAGES, shot))
    assert refused.value.reason == "bent"


def test_one_marker_that_is_off_is_no_bent_sheet(good):
    checked(good, {4: (12, 9)})


def test_the_first_that_applies_is_told(steep):
    assert reason(cv2.GaussianBlur(steep, (0, 0), 5.0)) == "blurred"
    assert reason((steep * 0.15).astype(np.uint8)) == "dark"
