"""The photograph itself: the sheet on its floor through the camera, as the file a phone would write."""

from __future__ import annotations

import cv2
import numpy as np
from attrs import frozen
from PIL import Image

from heelball.foot.vector import Foot as Side
from heelball.sheet.marking import Paper
from heelball.sheet.values import Array, Grey
from tests.sheet.photographs.camera import Camera, Curl, looking, on_floor, on_paper
from tests.sheet.photographs.floors import PER_MM, floor
from tests.sheet.photographs.hand import Drawn, Stroke
from tests.sheet.photographs.light import Light, light_over, scribbles
from tests.sheet.photographs.paper import PAD, Print, Sheet, draw, foot_to_world, lay_out

#: Pixels of the canvas to a millimetre: finer than any of the photographs.
_CANVAS: float = 10.0
#: The tag that undoes so many quarter turns counterclockwise of the picture.
_TAGS = (1, 6, 3, 8)
_FLAT = Curl()


@frozen
class View:
    """How the phone was held and what it wrote.

    Parameters
    ----------
    size
        Columns and rows before the picture is turned.
    tilt_deg, toward_deg, roll_deg
        From straight down, to which side, and turned in the hand.
    lens_mm, bulge
        Focal length [mm of old film] and the lens's bulge.
    room
        How much wider than the paper the picture is.
    curl
        Of the paper.
    turned
        Quarter turns in which the picture is written.
    tag
        Orientation tag: true, none or false.
    mirrored
        Written as a mirror shows it.
    focal_told
        Whether the file tells the focal length.
    quality
        Of the JPEG.
    hidden
        So many of the markers lie under something.
    shift
        What the camera looks at beside the paper's middle [mm].
    """

    size: tuple[int, int] = (2448, 3264)
    tilt_deg: float = 0.0
    toward_deg: float = 0.0
    roll_deg: float = 0.0
    lens_mm: float = 26.0
    bulge: float = 0.0
    room: float = 1.1
    curl: Curl = _FLAT
    turned: int = 0
    tag: str = "true"
    mirrored: bool = False
    focal_told: bool = True
    quality: int = 90
    hidden: int = 0
    shift: tuple[float, float] = (0.0, 0.0)


def photographed(
    paper: Paper,
    side: Side,
    printed: Print,
    view: View,
    light: Light,
    drawn: Drawn,
    chance: np.random.Generator,
    *,
    two: bool = False,
) -> bytes:
    """Return the photograph of a drawing on the sheet, as a JPEG's bytes."""
    sheet = lay_out(paper, side, printed, _CANVAS, two=two)
    page = sheet.pages[0]
    strokes = (*drawn.strokes, *scribbles(light.scribbles, drawn.line, _bare(sheet), chance))
    sheet = draw(
        sheet,
        tuple(
            Stroke(foot_to_world(page, printed, one.points), one.width, one.dark, one.grainy)
            for one in strokes
        ),
        chance,
    )
    if light.tape:
        _taped(sheet, chance)
    for marker in [one for each in sheet.pages for one in each.markers][: view.hidden]:
        low, high = marker.corners.min(axis=0), marker.corners.max(axis=0)
        (x0, y0), (x1, y1) = (((one + PAD) * _CANVAS).astype(int) for one in (low - 3.0, high + 3.0))
        sheet.ink[y0:y1, x0:x1] = 90
    camera = _held(view, sheet)
    seen = _seen(camera, sheet, view, light, chance)
    return _file(seen, view)


def _bare(sheet: Sheet) -> Array:
    """Return places on the first page within its edges and off its print, in the foot's frame."""
    page = sheet.pages[0]
    places = np.stack(
        np.meshgrid(np.arange(25.0, page.size[0] - 24, 4), np.arange(25.0, page.size[1] - 24, 4)), -1
    )
    places = places.reshape(-1, 2)
    near = cv2.dilate((sheet.ink > 30).astype(np.uint8), np.ones((9, 9), np.uint8))
    bare = []
    for x, y in places:
        half = 9
        x0, y0 = int((x + PAD - half) * _CANVAS), int((y + PAD - half) * _CANVAS)
        if near[y0 : y0 + int(2 * half * _CANVAS) : 4, x0 : x0 + int(2 * half * _CANVAS) : 4].mean() < 0.03:
            bare.append((x, y))
    return page.frame.to_foot(np.array(bare).reshape(-1, 2))


def _taped(sheet: Sheet, chance: np.random.Generator) -> None:
    """Lay strips of tape over the paper's edge, half on the floor."""
    width, height = sheet.size
    for x, y in ((0.0, height * 0.08), (width, height * 0.92), (width * 0.9, 0.0), (width * 0.1, height)):
        middle = (np.array([x, y]) + PAD) * _CANVAS
        box = (middle.tolist(), (5.0 * 2 * _CANVAS, 18.0 * _CANVAS), float(chance.uniform(0.0, 180.0)))
        corners = cv2.boxPoints(box).astype(np.int32)
        cv2.fillConvexPoly(sheet.alpha, corners, 255)
        layer = np.zeros_like(sheet.ink)
        cv2.fillConvexPoly(layer, corners, 40)
        np.maximum(sheet.ink, layer, out=sheet.ink)


def _held(view: View, sheet: Sheet) -> Camera:
    """Return the camera, as high as it must be for the whole paper to be seen."""
    width, height = sheet.size
    corners = np.array([[0, 0, 0], [width, 0, 0], [width, height, 0], [0, height, 0]], float)
    at = np.array([width, height]) / 2 + np.array(view.shift)
    # Two pages lie wider than high: the phone is turned with them.
    roll = view.roll_deg + (90.0 if width > height else 0.0)
    up = 200.0
    while True:
        camera = looking(at, up, view.tilt_deg, view.toward_deg, roll, (view.lens_mm, view.bulge), view.size)
        off = np.abs(camera.project(corners) - camera.centre) / camera.centre
        if (off * view.room < 1.0).all() or (view.shift != (0.0, 0.0) and up > 360.0):
            return camera
        up *= 1.03


def _seen(camera: Camera, sheet: Sheet, view: View, light: Light, chance: np.random.Generator) -> Grey:
    rays, shape = camera.rays()
    ground = on_floor(camera, rays)
    paper = on_paper(camera, ground, view.curl, sheet.size)
    x, y = (camera.spread((paper[:, axis] + PAD) * sheet.per_mm - 0.5, shape) for axis in (0, 1))
    piece = cv2.cvtColor(floor(light.floor), cv2.COLOR_BGR2GRAY)
    again = np.pad(piece, ((0, 1), (0, 1)), mode="wrap")
    below_x, below_y = (camera.spread(ground[:, axis] * PER_MM, shape) for axis in (0, 1))
    below = cv2.remap(again, np.mod(below_x, len(piece)), np.mod(below_y, len(piece)), cv2.INTER_LINEAR)
    middle = np.array([[*(np.array(sheet.size) / 2), 0.0]])
    step = camera.project(middle + np.array([10.0, 0.0, 0.0])) - camera.project(middle)
    per_mm = float(np.hypot(*step[0])) / 10.0
    # What one pixel of the photograph sees is averaged on the canvas.
    fine = sheet.per_mm / per_mm / 2.5
    ink = cv2.GaussianBlur(sheet.ink, (0, 0), fine) if fine > 0.4 else sheet.ink
    ink = cv2.remap(ink, x, y, cv2.INTER_LINEAR)
    alpha = cv2.remap(sheet.alpha, x, y, cv2.INTER_LINEAR)
    white = cv2.convertScaleAbs(255 - ink, alpha=light.white / 255.0)
    seen = np.where(alpha > 127, white, below)
    if light.sock:
        _sock(seen, camera, sheet, chance)
    blur = max(0.5, light.blur_mm * per_mm)
    lit = cv2.GaussianBlur(seen, (0, 0), blur).astype(np.float32)
    lit *= light_over(light, lit.shape, chance)
    if light.glare:
        _glare(lit, camera, sheet, light.glare)
    cv2.setRNGSeed(int(chance.integers(1 << 30)))
    grain = np.empty(lit.shape, np.float32)
    cv2.randn(grain, np.zeros(1), np.array([light.noise]))
    return np.asarray(np.clip(lit + grain, 0, 255).astype(np.uint8))


def _sock(seen: Grey, camera: Camera, sheet: Sheet, chance: np.random.Generator) -> None:
    """Lay a sock on the floor beside the paper."""
    around = np.linspace(0, 2 * np.pi, 60)
    side = 1 if chance.random() < 0.5 else -1
    middle = np.array(sheet.size) / 2 + [side * (sheet.size[0] / 2 + 38.0), chance.uniform(-80.0, 80.0)]
    edge = middle + np.stack([34.0 * np.cos(around), 75.0 * np.sin(around)], axis=1) * (
        1 + 0.08 * np.sin(5 * around)[:, None]
    )
    points = camera.project(np.column_stack([edge, np.zeros(60)]))
    cv2.fillPoly(seen, [np.round(points).astype(np.int32)], float(chance.uniform(30, 90)), cv2.LINE_AA)


def _glare(lit: np.ndarray, camera: Camera, sheet: Sheet, radius: float) -> None:
    """Let a lamp be mirrored in the paper: what is printed there drowns."""
    middle = np.array(sheet.size) / 2
    points = camera.project(np.array([[middle[0], middle[1], 0.0], [middle[0] + radius, middle[1], 0.0]]))
    far = float(np.hypot(*(points[1] - points[0])))
    y, x = np.mgrid[0 : lit.shape[0], 0 : lit.shape[1]].astype(np.float32)
    away = np.hypot(x - points[0, 0], y - points[0, 1]) / far
    lit += 400.0 / (1.0 + away**6)


def _file(seen: Grey, view: View) -> bytes:
    """Return the JPEG, turned and tagged."""
    seen = np.rot90(seen, view.turned)
    if view.mirrored:
        seen = seen[:, ::-1]
    good, coded = cv2.imencode(".jpg", np.ascontiguousarray(seen), [cv2.IMWRITE_JPEG_QUALITY, view.quality])
    assert good
    content = coded.tobytes()
    exif = Image.Exif()
    if view.tag != "none":
        exif[0x0112] = _TAGS[view.turned if view.tag == "true" else (view.turned + 1) % 4]
    if view.focal_told:
        exif.get_ifd(0x8769)[0xA405] = round(view.lens_mm)
    if not len(exif) and not view.focal_told:
        return content
    told = exif.tobytes()
    return content[:2] + b"\xff\xe1" + (len(told) + 2).to_bytes(2, "big") + told + content[2:]
