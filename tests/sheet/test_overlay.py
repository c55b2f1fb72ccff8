"""What was found, drawn where it is: over the photograph, and over the paper from straight above."""

from __future__ import annotations

import io

import cv2
import numpy as np
import pytest
from PIL import Image

from heelball.sheet.overlay import overlay_picture, plan_picture
from heelball.sheet.reading import read_photograph, with_ticks
from heelball.sheet.values import Array, Circumstances, PlanPicture
from tests.sheet.photographs import Photograph
from tests.sheet.posted import as_file, pixels, posted, was_read

Colour = np.ndarray


def decoded(content: bytes) -> Colour:
    """Return blue, green and red, as whole numbers that may be subtracted."""
    picture = cv2.imdecode(np.frombuffer(content, np.uint8), cv2.IMREAD_COLOR)
    assert picture is not None
    return picture.astype(int)


def reddish(picture: Colour) -> np.ndarray:
    return np.asarray((picture[..., 2] - picture[..., 0] > 80) & (picture[..., 2] - picture[..., 1] > 80))


def greenish(picture: Colour) -> np.ndarray:
    return np.asarray((picture[..., 1] - picture[..., 0] > 50) & (picture[..., 1] - picture[..., 2] > 50))


def at(plan: PlanPicture, true_mm: Array) -> tuple[np.ndarray, np.ndarray]:
    """Return rows and columns of points of the foot's frame, by what the picture says of itself."""
    rows = (plan.along_top - true_mm[:, 0]) / plan.mm_per_px
    columns = (true_mm[:, 1] - plan.across_left) / plan.across_per_px
    return np.round(rows).astype(int), np.round(columns).astype(int)


def on_truth(photograph: Photograph) -> Array:
    """Return every tenth point of the line as the hand drew it [true mm], as far as where toes part."""
    line = photograph.drawn.line[100:-100:10]
    return np.asarray(line[line[:, 0] < 0.75 * line[:, 0].max()])


@pytest.mark.parametrize("scale", [0.97, 1.05])
def test_the_plan_shows_the_line_at_its_true_millimetres(scale):
    """A left foot and a right one, whose prints are smaller and larger than they should be."""
    plan = plan_picture(was_read(scale))
    picture = decoded(plan.png)
    assert picture.shape == (plan.height, plan.width, 3)
    rows, columns = at(plan, on_truth(posted(scale)))
    # Within 1.2 mm of where the hand drew, red was drawn; 8 mm further out it was not.
    near = cv2.dilate(reddish(picture).astype(np.uint8), np.ones((5, 5), np.uint8)) > 0
    assert near[rows, columns].mean() > 0.97
    away = on_truth(posted(scale))
    away = away + 8.0 * np.sign(away[:, 1:]) * [0.0, 1.0]
    sides = away[:, 0] < 0.55 * away[:, 0].max()
    assert near[at(plan, away[sides])].mean() < 0.02


@pytest.mark.parametrize(("scale", "inner_is"), [(0.97, "right"), (1.05, "left")])
def test_the_plan_has_toes_up_and_each_foot_as_it_stands(scale, inner_is):
    plan = plan_picture(was_read(scale))
    rows, columns = at(plan, np.array([[0.0, 0.0], [200.0, 0.0], [150.0, 40.0]]))
    assert rows[1] < rows[0]
    # Looking down on one's own feet, the left one's inner side is at the right.
    assert (columns[2] > columns[0]) == (inner_is == "right")
    # As wide as high: a millimetre takes as many pixels either way.
    assert abs(plan.across_per_px) == pytest.approx(plan.mm_per_px)
    assert plan.mm_per_px == pytest.approx(scale / 1.75, rel=1e-3)


@pytest.mark.parametrize("scale", [0.97, 1.05])
def test_the_plan_shows_the_paper_under_the_line(scale):
    """Where the layout has black squares, the picture is dark."""
    plan = plan_picture(was_read(scale))
    grey = decoded(plan.png).mean(axis=2)
    page = was_read(scale).seen.pages[0]
    dark = []
    for marker in page.markers:
        rows, columns = at(plan, page.frame.to_foot(marker.corners) * scale)
        if min(rows.min(), columns.min()) < 0 or rows.max() >= plan.height or columns.max() >= plan.width:
            continue
        inside = np.zeros(grey.shape, np.uint8)
        cv2.fillConvexPoly(inside, np.stack([columns, rows], axis=1).astype(np.int32), 1)
        dark.append(float(np.quantile(grey[inside > 0], 0.6)))
    assert len(dark) > 4
    assert max(dark) < 0.5 * np.median(grey)


def test_a_moved_tick_is_drawn_where_it_was_moved_to():
    reading = was_read()
    moved = with_ticks(reading, reading.seen.ticks.inner[0] + 14.0, reading.seen.ticks.outer[0])
    for here, elsewhere in ((reading, moved), (moved, reading)):
        plan = plan_picture(here)
        green = cv2.dilate(greenish(decoded(plan.png)).astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
        ringed, empty = (ring(plan, one.seen.ticks.inner, green.shape) for one in (here, elsewhere))
        assert green[ringed].mean() > 0.9
        assert green[empty].mean() < 0.1


def ring(plan: PlanPicture, point: Array, shape: tuple[int, ...]) -> np.ndarray:
    """Return which pixels lie on the ring about a point."""
    mask = np.zeros(shape, np.uint8)
    row, column = at(plan, point[None])
    cv2.circle(mask, (int(column[0]), int(row[0])), 5, 1, 1)
    return mask > 0


@pytest.mark.parametrize("mirrored", [False, True])
def test_the_photograph_has_the_line_on_what_was_drawn(mirrored):
    content, reading = posted().content, was_read()
    if mirrored:
        content = as_file(np.ascontiguousarray(pixels(content)[:, ::-1]))
        reading = read_photograph(content, "mirrored", posted().told)
    picture = decoded(overlay_picture(reading, content, "png"))
    grey = pixels(posted().content)
    # No smaller than it came, and upright; a mirrored one is turned back.
    assert picture.shape[:2] == grey.shape == (2000, 1500)
    red = reddish(picture)
    assert red.sum() > 2000
    # But for what was drawn on it, it is the photograph.
    bare = np.ptp(picture, axis=2) == 0
    assert bare.mean() > 0.95
    assert np.abs(picture[..., 0] - grey.astype(int))[bare].mean() < 1.0
    # Under the red the photograph is darker than beside it: there the pencil went.
    beside = cv2.dilate(red.astype(np.uint8), np.ones((25, 25), np.uint8)) > 0
    beside &= ~(cv2.dilate(red.astype(np.uint8), np.ones((9, 9), np.uint8)) > 0)
    assert np.median(grey[red]) < np.median(grey[beside]) - 25


def test_a_large_photograph_is_drawn_on_smaller():
    grey = pixels(posted().content)
    twice = np.asarray(cv2.resize(grey, None, fx=1.5, fy=1.5, interpolation=cv2.INTER_CUBIC), np.uint8)
    reading = read_photograph(as_file(twice), "large", posted().told)
    large, plain = (
        decoded(overlay_picture(*one, "png"))
        for one in ((reading, as_file(twice)), (was_read(), posted().content))
    )
    assert large.shape == plain.shape
    # And the line stands in the same place of it.
    both = [
        cv2.dilate(reddish(one).astype(np.uint8), np.ones((3, 3), np.uint8)) > 0 for one in (large, plain)
    ]
    assert (both[0] & both[1]).sum() > 0.9 * both[1].sum()


@pytest.mark.parametrize("kind", ["jpg", "png"])
def test_nothing_but_pixels_is_left_of_the_photographs_file(kind):
    exif = Image.Exif()
    exif[0x0112], exif[0x010F] = 6, "Quernmere Optical"
    buffer = io.BytesIO()
    Image.fromarray(np.rot90(pixels(posted().content))).save(
        buffer, "JPEG", exif=exif, comment=b"of a foot in Tarrowdene", quality=92
    )
    content = buffer.getvalue()
    assert b"Quernmere" in content
    reading = read_photograph(content, "told", posted().told)
    for written in (overlay_picture(reading, content, kind), plan_picture(reading).png):
        for word in (b"Exif", b"eXIf", b"Quernmere", b"Tarrowdene", b"XMP", b"ICC"):
            assert word not in written
        with Image.open(io.BytesIO(written)) as picture:
            assert not picture.getexif()
            assert set(picture.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def test_the_line_is_drawn_over_the_print_and_not_over_its_true_size():
    """Told another scale, the millimetres are others, and the pixels the same."""
    told = Circumstances(tool="pencil", bar=(150.0, 150.0))
    grey = as_file(pixels(posted().content))
    one, other = (read_photograph(grey, "told", each) for each in (posted().told, told))
    assert other.scale.mean > one.scale.mean + 0.005
    first, second = (reddish(decoded(overlay_picture(each, grey, "png"))) for each in (one, other))
    assert (first & second).sum() > 0.97 * first.sum()
