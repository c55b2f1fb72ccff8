"""A photograph of the sheet, taken as a phone would, and what is true of it."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from attrs import field, frozen

from heelball.foot.vector import Foot as Side
from heelball.sheet.marking import Paper
from heelball.sheet.values import Array, Circumstances
from tests.sheet.photographs.camera import Camera, Curl, looking, on_floor, on_paper
from tests.sheet.photographs.clutter import Clutter, tape_over, writing
from tests.sheet.photographs.definitions import Measured, measured
from tests.sheet.photographs.floors import PER_MM, Colour8, floor
from tests.sheet.photographs.hand import Drawn, Manner, Stroke, drawn_round, set_down
from tests.sheet.photographs.light import Develop, Light, developed, lit
from tests.sheet.photographs.outlines import Foot
from tests.sheet.photographs.paper import (
    PAD,
    Print,
    Sheet,
    draw,
    foot_to_world,
    lay_out,
    page_scale,
    to_print,
)

_PAPER_LIGHT: Final = 238


@frozen
class View:
    """Where the phone is held and what it is: see `camera.looking`; `told` writes the focal length."""

    height: float = 560.0
    tilt_deg: float = 8.0
    toward_deg: float = 30.0
    roll_deg: float = 0.0
    focal: float = 26.0
    bulge: float = 0.0
    size: tuple[int, int] = (4000, 3000)
    zoom: float = 1.0
    off: tuple[float, float] = (0.0, 0.0)
    told: bool = True
    orientation: int = 1
    false_orientation: bool = False
    mirrored: bool = False


@frozen
class Scene:
    """All that is chosen for one photograph."""

    paper: Paper = "a4"
    side: Side = "right"
    two: bool = False
    printed: Print = Print()
    manner: Manner = Manner()
    body: float | None = None
    view: View = View()
    curl: Curl = field(factory=Curl)
    floor: str = "lino"
    light: Light = Light()
    develop: Develop = Develop()
    clutter: Clutter = Clutter()
    told: Circumstances = Circumstances()
    folded: bool = True
    second_outline: bool = False


@frozen(eq=False)
class Truth:
    """What is so, whatever was seen.

    Parameters
    ----------
    side, foot
        Whose foot, and its measures [true mm].
    drawn
        Measures of the mean drawn line, in the print's own millimetres.
    line, inner, outer, closed
        That line, shape (n, 2), and where the ticks lead, in the sheet's foot frame [print's mm].
    corners_px
        Pixels of the markers' corners by number, in the picture as stored; for those that tune.
    """

    side: Side
    foot: Measured
    drawn: Measured
    line: Array
    inner: Array
    outer: Array
    closed: bool
    corners_px: dict[int, Array]
    scale: float


@frozen(eq=False)
class Photograph:
    """A JPEG file's bytes, what was chosen, what the wearer tells with it, and the truth."""

    content: bytes
    scene: Scene
    told: Circumstances
    truth: Truth


def photograph(foot: Foot, scene: Scene, chance: np.random.Generator) -> Photograph:
    """Return the photograph of a sheet on which a foot was drawn round."""
    stood = set_down(foot, scene.manner, chance)
    drawn = drawn_round(stood, scene.manner, chance, scene.body)
    focal = scene.view.focal / 43.27 * np.hypot(*scene.view.size) * scene.view.zoom
    per_mm = float(min(11.0, max(6.0, np.ceil(1.25 * focal / scene.view.height))))
    sheet = lay_out(scene.paper, scene.side, scene.printed, per_mm, two=scene.two)
    page = sheet.pages[0]

    def on_page(points: Array) -> Array:
        return foot_to_world(page, scene.printed, points)

    strokes = [Stroke(on_page(one.points), one.width, one.dark, one.grainy) for one in drawn.strokes]
    if scene.second_outline:
        again = drawn_round(stood, scene.manner, chance, scene.body)
        moved = np.array([chance.uniform(6.0, 10.0), chance.uniform(6.0, 10.0)])
        strokes += [
            Stroke(on_page(one.points + moved), one.width, one.dark, one.grainy) for one in again.strokes
        ]
    line = on_page(drawn.line)
    strokes += writing(scene.clutter, sheet, line, page.frame.inner, chance)
    sheet = draw(sheet, tuple(strokes), chance)
    camera = _camera(scene, sheet, on_page)
    picture = _seen(scene, sheet, camera, on_page, chance)
    middle = camera.project(np.array([[*line.mean(axis=0), 0.0]]))[0]
    picture = lit(picture, scene.light, chance, (float(middle[0]), float(middle[1])))
    if scene.view.mirrored:
        picture = np.ascontiguousarray(picture[:, ::-1])
    content = developed(_stored(picture, scene.view), scene.develop, chance)
    return Photograph(_with_exif(content, scene.view), scene, scene.told, _truth(scene, sheet, camera, drawn))


def _camera(scene: Scene, sheet: Sheet, on_page) -> Camera:
    view = scene.view
    at = np.array(sheet.size) / 2 + np.array(view.off)
    return looking(
        at,
        view.height,
        view.tilt_deg,
        view.toward_deg,
        view.roll_deg,
        (view.focal, view.bulge),
        view.size,
        view.zoom,
    )


def _seen(scene: Scene, sheet: Sheet, camera: Camera, on_page, chance: np.random.Generator) -> Colour8:
    """Return what the camera sees in even light: the floor, the paper on it, the wall behind the heel."""
    rays, shape = camera.rays()
    ground = on_floor(camera, rays)
    turn = chance.uniform(0, np.pi)
    cos, sin = np.cos(turn), np.sin(turn)
    turned = ground @ np.array([[cos, -sin], [sin, cos]]) + chance.uniform(0, 500, 2)
    picture = _pieces(scene.floor, turned, camera, shape)
    paper = on_paper(camera, ground, scene.curl, sheet.size)
    x = camera.spread((paper[:, 0] + PAD) * sheet.per_mm - 0.5, shape)
    y = camera.spread((paper[:, 1] + PAD) * sheet.per_mm - 0.5, shape)
    shade = cv2.GaussianBlur(sheet.alpha, (0, 0), 2.0 * sheet.per_mm / 3)
    tone = (_PAPER_LIGHT * (1.0 - sheet.ink.astype(np.float32) / 255.0)).astype(np.uint8)
    bright, cover = tape_over(tone, sheet, scene.clutter, chance)
    share = cover.astype(np.float32) / 255.0
    tone = (tone * (1 - share) + bright * share).astype(np.uint8)
    alpha = np.maximum(sheet.alpha, cover)
    # The paper's thin shadow on the floor, the paper itself, and then what stands up the wall.
    layers = cv2.merge([tone, alpha, shade])
    seen = cv2.remap(layers, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=(0, 0, 0))
    over = seen[..., 1].astype(np.float32) / 255.0
    under = 1.0 - 0.25 * seen[..., 2].astype(np.float32) / 255.0
    for channel, tint in enumerate((0.985, 1.0, 1.0)):
        picture[..., channel] = picture[..., channel] * under * (1.0 - over) + seen[..., 0] * (over * tint)
    if scene.clutter.sock:
        _sock(picture, camera, sheet, chance)
    if scene.folded and scene.manner.on_wall:
        _wall(picture, scene, sheet, camera, on_page, layers)
    return picture


def _pieces(name: str, points: Array, camera: Camera, shape: tuple[int, int]) -> Colour8:
    """Return the floor seen at points [mm], its piece repeated."""
    piece = floor(name)
    side = piece.shape[0]
    x = camera.spread(points[:, 0] * PER_MM, shape)
    y = camera.spread(points[:, 1] * PER_MM, shape)
    # remap takes no repeat: the piece is laid out as often as the picture reaches, from where it begins.
    x = x - np.floor(x.min() / side) * side
    y = y - np.floor(y.min() / side) * side
    np.mod(x, side, out=x)
    np.mod(y, side, out=y)
    wrapped = cv2.copyMakeBorder(piece, 0, 2, 0, 2, cv2.BORDER_WRAP)
    return np.asarray(cv2.remap(wrapped, x, y, cv2.INTER_LINEAR))


def _wall(picture: Colour8, scene: Scene, sheet: Sheet, camera: Camera, on_page, layers: Colour8) -> None:
    """Draw what stands behind the heel edge: a wall or book, and the corner of the paper folded up it, in place."""
    rays, shape = camera.rays()
    frame = sheet.pages[0].frame
    origin = on_page(np.zeros((1, 2)))[0]
    start = (camera.place[:2] - origin) @ frame.along
    slope = rays[:, :2] @ frame.along
    steps = np.where(slope < -1e-6, -start / np.minimum(slope, -1e-6), -1.0)
    height = camera.place[2] + steps * rays[:, 2]
    across = (camera.place[:2] - origin) @ frame.inner + steps * (rays[:, :2] @ frame.inner)
    ground = on_floor(camera, rays)
    behind = camera.spread((ground - origin) @ frame.along, shape)
    mask = behind < 0
    if not mask.any():
        return
    folded = origin - height[:, None] * frame.along + across[:, None] * frame.inner
    x = camera.spread((folded[:, 0] + PAD) * sheet.per_mm - 0.5, shape)
    y = camera.spread((folded[:, 1] + PAD) * sheet.per_mm - 0.5, shape)
    paper = cv2.remap(layers, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=(0, 0, 0))
    up = camera.spread(np.clip(height, -10, 2000), shape)
    tone = np.where(up < 70.0, 205.0 - 35.0 * np.exp(-np.clip(up, 0, None) / 4.0), 172.0)
    over = paper[..., 1].astype(np.float32) / 255.0
    shown = tone * (1.0 - over) + paper[..., 0] * over * 0.9
    edge = np.clip(0.5 - behind * 2.0, 0.0, 1.0)
    for channel, tint in enumerate((0.94, 0.98, 1.0)):
        picture[..., channel] = picture[..., channel] * (1.0 - edge) + shown * (edge * tint)


def _sock(picture: Colour8, camera: Camera, sheet: Sheet, chance: np.random.Generator) -> None:
    """Lay a sock beside the sheet or over one of its edges, in place."""
    width, height = sheet.size
    frame = sheet.pages[0].frame
    side = 1.0 if chance.random() < 0.5 else -1.0
    origin = frame.origin + frame.along * chance.uniform(60.0, 160.0)
    way = frame.inner * side
    reach = 0.0
    while np.all((origin + way * reach > 0) & (origin + way * reach < (width, height))):
        reach += 2.0
    middle = origin + way * (reach + chance.uniform(32.0, 46.0))
    t = np.linspace(0, 2 * np.pi, 60)
    body = np.stack(
        [95 * np.cos(t) * (1 + 0.1 * np.sin(3 * t)), 32 * np.sin(t) * (1 + 0.15 * np.cos(2 * t))], axis=1
    )
    angle = np.arctan2(frame.along[1], frame.along[0]) + chance.normal(scale=0.15)
    cos, sin = np.cos(angle), np.sin(angle)
    points = middle + body @ np.array([[cos, sin], [-sin, cos]])
    pixels = camera.project(np.concatenate([points, np.full((60, 1), 8.0)], axis=1))
    colour = chance.integers(20, 120, 3).tolist()
    cv2.fillPoly(picture, [np.round(pixels * 16).astype(np.int32)], colour, cv2.LINE_AA, 4)


def _stored(picture: Colour8, view: View) -> Colour8:
    """Return the picture as the file stores it, so that its orientation tag turns it upright."""
    if view.false_orientation:
        return picture
    turns = {1: None, 3: cv2.ROTATE_180, 6: cv2.ROTATE_90_COUNTERCLOCKWISE, 8: cv2.ROTATE_90_CLOCKWISE}
    turn = turns[view.orientation]
    return picture if turn is None else np.asarray(cv2.rotate(picture, turn))


def _with_exif(content: bytes, view: View) -> bytes:
    """Return a JPEG with what phones write of orientation and focal length."""
    from PIL import Image

    if not view.told and view.orientation == 1:
        return content
    exif = Image.Exif()
    exif[0x0112] = view.orientation
    if view.told:
        exif.get_ifd(0x8769)[0xA405] = round(view.focal * view.zoom)
    block = exif.tobytes()
    return content[:2] + b"\xff\xe1" + (len(block) + 2).to_bytes(2, "big") + block + content[2:]


def _truth(scene: Scene, sheet: Sheet, camera: Camera, drawn: Drawn) -> Truth:
    page = sheet.pages[0]

    def printed(points: Array) -> Array:
        world = foot_to_world(page, scene.printed, np.atleast_2d(points))
        return page.frame.to_foot(to_print(scene.printed, page.size, world))

    line, inner, outer = printed(drawn.line), printed(drawn.inner)[0], printed(drawn.outer)[0]
    stood = drawn.foot
    foot = measured(stood.outline, stood.inner, stood.outer, on_wall=False)
    on_line = measured(line, inner, outer, on_wall=not drawn.closed)
    return Truth(
        scene.side,
        foot,
        on_line,
        line,
        inner,
        outer,
        drawn.closed,
        {},
        float(page_scale(scene.printed).mean()),
    )
