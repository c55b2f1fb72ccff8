"""Photographs of a bare foot on the sheet: the shared mesh with a leg on it, shaded, and its shadow.

World: the first page's millimetres, z up from the floor. The foot's own frame is the mesh's: x from
the heel to the toes, y toward the inner side, so that left and right feet look alike.
"""

from __future__ import annotations

import io
from functools import cache
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt
from attrs import evolve, frozen

from heelball.foot.vector import Foot
from heelball.sheet.layout import Page, page_of
from heelball.sheet.marking import Paper
from heelball.sheet.values import Array
from tests.requirements import shared
from tests.sheet.photographs.camera import Camera, looking
from tests.sheet.photographs.paper import PAD, Print, lay_out

#: Of the shared mesh [mm]: its own README's table.
MESH_LENGTH: Final = 264.0
MESH_BREADTH: Final = 101.6
MESH_INNER: Final = np.array([194.3, 47.79, 21.04])
MESH_OUTER: Final = np.array([171.21, -53.81, 14.59])
MESH_CUT: Final = 120.0

#: Skin in daylight, from pale to dark: sRGB.
SKINS: Final = (
    (240, 211, 194),
    (229, 190, 165),
    (208, 162, 130),
    (170, 118, 84),
    (125, 82, 58),
    (78, 51, 40),
)

Reals = npt.NDArray[np.float32]
Mask8 = npt.NDArray[np.uint8]

_CANVAS: Final = 3.0  # pixels of the sheet's canvas to a millimetre
_OVER: Final = 2  # rendered this many times finer than the picture, then averaged


@frozen
class Scene:
    """One photograph of one foot.

    Parameters
    ----------
    paper, foot
        The sheet.
    length, breadth
        Of the foot [mm].
    tall
        Heights over the mesh's own.
    heel, turn_deg
        How far ahead of the heel edge it stands [mm], and turned toward the inner side.
    leg_lean_deg, leg_to
        Of the leg forward, and to which height it is seen bare [mm].
    distance, tilt_deg, toward_deg, roll_deg
        Of the camera from the sheet's middle [mm]; how far it looks from straight down; to which
        side of the foot it stands (0 at the toes, 90 at the inner side, 180 at the heel); and turned.
    size, lens
        Columns and rows, and focal length in millimetres of old film.
    tells_focal
        Whether the file says the focal length.
    skin
        sRGB.
    light
        From the world's z and turned about it [degrees], and how soft (0 a spot, 1 the whole sky).
    white
        How the picture's red, green and blue come out.
    exposure, falloff
        Of paper in full light, and how much less light there is at one side.
    noise, quality
        Of the sensor (grey levels) and of the JPEG.
    """

    paper: Paper = "a4"
    foot: Foot = "right"
    length: float = MESH_LENGTH
    breadth: float = MESH_BREADTH
    tall: float = 1.0
    heel: float = 0.0
    turn_deg: float = 0.0
    leg_lean_deg: float = 0.0
    leg_to: float = 430.0
    distance: float = 1250.0
    tilt_deg: float = 8.0
    toward_deg: float = 90.0
    roll_deg: float = 0.0
    size: tuple[int, int] = (4000, 3000)
    lens: float = 26.0
    tells_focal: bool = True
    skin: tuple[int, int, int] = SKINS[1]
    light: tuple[float, float, float] = (35.0, 200.0, 0.5)
    white: tuple[float, float, float] = (1.0, 1.0, 1.0)
    exposure: float = 0.85
    falloff: float = 0.15
    noise: float = 2.5
    quality: int = 88


@frozen(eq=False)
class Solid:
    """Triangles of one body: corners (n, 3) [mm], faces (m, 3), and each corner's normal."""

    corners: Array
    faces: np.ndarray
    normals: Array


@cache
def _mesh() -> tuple[Array, np.ndarray]:
    import trimesh

    mesh = trimesh.load_mesh(shared("data", "mesh", "foot_right.stl"))
    assert isinstance(mesh, trimesh.Trimesh)
    return np.array(mesh.vertices, np.float64), np.array(mesh.faces)


def mesh_points() -> Array:
    """Return the mesh's corners, and points along its edges, shape (n, 3)."""
    corners, faces = _mesh()
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    first, last = corners[edges[:, 0]], corners[edges[:, 1]]
    between = [first + part * (last - first) for part in (0.2, 0.4, 0.6, 0.8)]
    return np.concatenate([corners, *between])


@frozen(eq=False)
class Photograph:
    """A JPEG, and where the two ball points stand in it [pixels]."""

    content: bytes
    inner: Array
    outer: Array


def photograph(scene: Scene, chance: np.random.Generator) -> Photograph:
    """Return the JPEG of a scene."""
    sheet = lay_out(scene.paper, scene.foot, Print(), _CANVAS)
    page = sheet.pages[0]
    foot, leg = _standing(scene, page)
    camera = _camera(scene, page)
    lights = _lights(scene, chance)
    # The sheet and the floor round it, linear light.
    floor = np.array([0.10, 0.085, 0.07]) * (0.6 + 0.8 * chance.random())
    alpha = (sheet.alpha > 127)[..., None]
    plan = np.where(alpha, (1 - sheet.ink[..., None] / 255.0) * 0.86 + 0.01, floor).astype(np.float32)
    near = _near(foot, plan.shape[:2])
    lit = _shadow(scene, foot, leg, lights, near)[..., None]
    # Light that skin throws back on the paper beside it.
    skin = (np.array(scene.skin) / 255.0) ** 2.2
    lit = lit * (1 + near[..., None] * (0.2 * skin / skin.max() - 0.2)).astype(np.float32)
    plan *= cv2.resize(lit, plan.shape[1::-1], interpolation=cv2.INTER_LINEAR)
    window = _window(scene, camera, (leg, foot), page.size)
    light = _pictured(window, camera, plan, floor)
    _paint(scene, camera, window, light, (leg, foot), lights)
    picture = _exposed(scene, window, light, floor, chance)
    tops = [_placed(scene, page, point * _scale(scene)) for point in (MESH_INNER, MESH_OUTER)]
    inner, outer = camera.project(np.array(tops))
    return Photograph(_jpeg(scene, picture), inner, outer)


def _scale(scene: Scene) -> Array:
    along, across = scene.length / MESH_LENGTH, scene.breadth / MESH_BREADTH
    return np.array([along, across, scene.tall * (along + across) / 2])


def _placed(scene: Scene, page: Page, points: Array) -> Array:
    """Return the world's points of the foot's own ones."""
    turn = np.radians(scene.turn_deg)
    cos, sin = np.cos(turn), np.sin(turn)
    flat = points[..., :2] @ np.array([[cos, sin], [-sin, cos]]) + [scene.heel, 0.0]
    return np.concatenate([page.frame.to_page(flat.reshape(-1, 2)).reshape(flat.shape), points[..., 2:]], -1)


def _standing(scene: Scene, page: Page) -> tuple[Solid, Solid]:
    corners, faces = _mesh()
    foot = corners * _scale(scene)
    return _solid(scene, page, foot, faces), _solid(scene, page, *_leg(scene, foot))


def _leg(scene: Scene, foot: Array) -> tuple[Array, np.ndarray]:
    """Return a leg on the foot's cut: a leaning tube that is thicker at the calf."""
    rim = foot[foot[:, 2] > foot[:, 2].max() - 1.0]
    middle, half = (rim.min(0) + rim.max(0)) / 2, (rim.max(0) - rim.min(0)) / 2
    round_ = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    rings = []
    for up in np.linspace(foot[:, 2].max() - 2, scene.leg_to, 40):
        share = np.clip((up - foot[:, 2].max()) / 180.0, 0.0, 1.0)
        wide = np.array([half[0], half[1] + share * (1.35 * half[0] - half[1])])
        wide = wide * (1 + 0.15 * share)
        lean = np.tan(np.radians(scene.leg_lean_deg)) * (up - foot[:, 2].max())
        flat = middle[:2] + [lean, 0.0] + np.stack([np.cos(round_), np.sin(round_)], 1) * wide
        rings.append(np.concatenate([flat, np.full((60, 1), up)], 1))
    faces = [
        face
        for ring in range(39)
        for k in range(60)
        for a, b in [(ring * 60 + k, ring * 60 + (k + 1) % 60)]
        for face in ((a, b, a + 60), (b, b + 60, a + 60))
    ]
    top = len(rings) * 60
    faces += [(top - 60 + k, top - 60 + (k + 1) % 60, top) for k in range(60)]
    return np.concatenate([*rings, [[*rings[-1].mean(0)]]]), np.array(faces)


def _solid(scene: Scene, page: Page, own: Array, faces: np.ndarray) -> Solid:
    corners = _placed(scene, page, own)
    flat = np.cross(own[faces[:, 1]] - own[faces[:, 0]], own[faces[:, 2]] - own[faces[:, 0]])
    normals = np.zeros_like(own)
    for k in range(3):
        np.add.at(normals, faces[:, k], flat)
    # Turned as the body is, then of unit length.
    ends = _placed(scene, page, own + normals) - corners
    return Solid(corners, faces, ends / np.maximum(np.linalg.norm(ends, axis=1, keepdims=True), 1e-9))


def _camera(scene: Scene, page: Page) -> Camera:
    middle = np.array(page.size) / 2
    angle = np.radians(scene.toward_deg)
    way = np.cos(angle) * page.frame.along + np.sin(angle) * page.frame.inner
    toward = float(np.degrees(np.arctan2(way[1], way[0])))
    height = scene.distance * np.cos(np.radians(scene.tilt_deg))
    return looking(middle, height, scene.tilt_deg, toward, scene.roll_deg, (scene.lens, 0.0), scene.size)


def _lights(scene: Scene, chance: np.random.Generator) -> Array:
    """Return directions toward the light, unit vectors (n, 3)."""
    down, round_, soft = scene.light
    spread = np.radians(6.0 + 55.0 * soft)
    down_, round__ = np.radians(down), np.radians(round_)
    main = np.array([np.sin(down_) * np.cos(round__), np.sin(down_) * np.sin(round__), np.cos(down_)])
    ways = main + np.tan(spread) * chance.normal(scale=0.5, size=(10, 3))
    ways[:, 2] = np.maximum(ways[:, 2], 0.35)
    return np.asarray(ways / np.linalg.norm(ways, axis=1, keepdims=True))


def _fill(mask: Mask8, points: Array, faces: np.ndarray) -> None:
    """Paint triangles on the floor's plane into a mask of one pixel to a millimetre."""
    flat = np.round((points + PAD) * 16).astype(np.int32)
    for face in flat[faces]:
        cv2.fillConvexPoly(mask, face, 1, shift=4)


def _shadow(scene: Scene, foot: Solid, leg: Solid, lights: Array, near: Reals) -> Reals:
    """Return the share of light that reaches the paper; near the foot the room's own light is kept off."""
    dark = np.zeros(near.shape, np.float32)
    for way in lights:
        both = np.zeros(near.shape, np.uint8)
        for body in (foot, leg):
            _fill(both, body.corners[:, :2] - body.corners[:, 2:] * way[:2] / way[2], body.faces)
        dark += cv2.GaussianBlur(both.astype(np.float32), (0, 0), 1.5) / len(lights)
    share = 0.35 + 0.35 * scene.light[2]
    return np.asarray((1 - share) * (1 - 0.9 * dark) + share * (1 - 0.6 * near), np.float32)


def _near(foot: Solid, shape: tuple[int, int]) -> Reals:
    """Return how near the foot the paper is, one pixel to a millimetre."""
    under = np.zeros((round(shape[0] / _CANVAS), round(shape[1] / _CANVAS)), np.uint8)
    _fill(under, foot.corners[:, :2], foot.faces)
    return np.asarray(cv2.GaussianBlur(under.astype(np.float32), (0, 0), 9.0), np.float32)


@frozen(eq=False)
class _Window:
    """The part of the picture that is drawn: its top left pixel, and columns and rows."""

    corner: Array
    size: tuple[int, int]

    def finer(self, px: Array) -> Array:
        """Return pixels of the window, `_OVER` times finer, of pixels of the picture."""
        return np.asarray((px - self.corner + 0.5) * _OVER - 0.5)


def _window(scene: Scene, camera: Camera, bodies: tuple[Solid, ...], sheet: tuple[float, float]) -> _Window:
    """Return the part of the picture that sheet and foot take; the rest is floor."""
    width, tall = sheet
    rim = np.array([[0, 0, 0], [width, 0, 0], [width, tall, 0], [0, tall, 0]], float)
    seen = camera.project(np.concatenate([rim, *[body.corners for body in bodies]]))
    first = np.clip(np.floor(seen.min(0)) - 40, 0, np.array(scene.size) - 2)
    last = np.clip(np.ceil(seen.max(0)) + 40, first + 2, scene.size)
    columns, rows = (last - first).astype(int).tolist()
    return _Window(first, (columns, rows))


def _pictured(window: _Window, camera: Camera, plan: Reals, floor: Array) -> Array:
    """Return the floor as the camera sees it, `_OVER` times finer, linear light."""
    ends = np.array([[0, 0], [plan.shape[1], 0], [plan.shape[1], plan.shape[0]], [0, plan.shape[0]]], float)
    world = np.concatenate([ends / _CANVAS - PAD, np.zeros((4, 1))], axis=1)
    to, _ = cv2.findHomography(ends - 0.5, window.finer(camera.project(world)))
    size = (window.size[0] * _OVER, window.size[1] * _OVER)
    return np.asarray(
        cv2.warpPerspective(
            plan.astype(np.float32), to, size, flags=cv2.INTER_LINEAR, borderValue=tuple(floor.tolist())
        )
    )


def _paint(
    scene: Scene, camera: Camera, window: _Window, light: Array, bodies: tuple[Solid, ...], lights: Array
) -> None:
    """Paint bodies over the floor, farthest triangles first."""
    skin = (np.array(scene.skin) / 255.0) ** 2.2
    soft = scene.light[2]
    share = 0.35 + 0.35 * soft
    px, far, shade, faces, before = [], [], [], [], 0
    for body in bodies:
        px.append(window.finer(camera.project(body.corners)))
        far.append(np.linalg.norm(body.corners - camera.place, axis=1))
        direct = np.clip(body.normals @ lights.T, 0.0, None).mean(axis=1)
        sky = (0.55 + 0.45 * body.normals[:, 2]) * np.clip(0.45 + body.corners[:, 2] / 60, 0.45, 1.0)
        shade.append((1 - share) * direct + share * sky)
        faces.append(body.faces + before)
        before += len(body.corners)
    px_, far_, shade_, faces_ = (np.concatenate(one) for one in (px, far, shade, faces))
    flat = np.round(px_ * 16).astype(np.int32)
    # Deep in the shade skin looks redder: light that went through it.
    colours = np.maximum(shade_[faces_].mean(axis=1), 0.06)[:, None] * skin * [1.0, 0.97, 0.95]
    order = np.argsort(-far_[faces_].mean(axis=1))
    for triangle, colour in zip(flat[faces_[order]], colours[order].tolist(), strict=True):
        cv2.fillConvexPoly(light, triangle, tuple(colour), shift=4)


def _exposed(
    scene: Scene, window: _Window, light: Array, floor: Array, chance: np.random.Generator
) -> np.ndarray:
    """Return the picture, red first."""
    small = np.broadcast_to(floor.astype(np.float32), (scene.size[1], scene.size[0], 3)).copy()
    (left, top), (columns, rows) = window.corner.astype(int).tolist(), window.size
    small[top : top + rows, left : left + columns] = cv2.resize(
        light, window.size, interpolation=cv2.INTER_AREA
    )
    small = np.asarray(cv2.GaussianBlur(small, (0, 0), 0.7), np.float32)
    ramp = np.linspace(-0.5, 0.5, scene.size[0], dtype=np.float32)
    fall = 1 + scene.falloff * ramp[None, :, None]
    small *= fall * (np.array(scene.white) * scene.exposure**2.2 / 0.86).astype(np.float32)
    coded: Reals = np.asarray(cv2.pow(np.minimum(small, 1.0, out=small), 1 / 2.2), np.float32)
    coded *= 255
    # One tile of noise, over and over: drawing it costs as much as all the rest.
    tile = chance.standard_normal((500, 500, 3), np.float32) * np.float32(scene.noise)
    for top, left in np.ndindex(-(-coded.shape[0] // 500), -(-coded.shape[1] // 500)):
        part = coded[top * 500 : (top + 1) * 500, left * 500 : (left + 1) * 500]
        part += tile[: part.shape[0], : part.shape[1]]
    return np.asarray(np.clip(coded, 0, 255, out=coded), np.uint8)


def hidden(scene: Scene) -> tuple[str, ...]:
    """Return which of heel, toe, inner and outer side the leg hides from the camera."""
    page = page_of(scene.paper, "whole", scene.foot)
    foot, leg = _standing(scene, page)
    camera = _camera(scene, page)
    own = _mesh()[0]
    low = own[:, 2] < 35.0
    fore = low & (own[:, 0] > MESH_LENGTH / 2)
    ends = {
        "heel": np.where(low, own[:, 0], np.inf).argmin(),
        "toe": np.where(low, own[:, 0], -np.inf).argmax(),
        "inner": np.where(fore, own[:, 1], -np.inf).argmax(),
        "outer": np.where(fore, own[:, 1], np.inf).argmin(),
    }
    over = camera.project(leg.corners).astype(np.float32)
    # Leg rings, one by one and the next with it: a hull of two neighbours covers what lies between.
    for_each = [over[k * 60 : (k + 2) * 60] for k in range(39)]
    # The foot's own ankle may stand before the heel too.
    ankle = own[:, 2] > 60.0
    for_each.append(camera.project(foot.corners[ankle]).astype(np.float32))
    found = []
    for name, corner in ends.items():
        place = camera.project(foot.corners[[corner]])[0]
        if any(cv2.pointPolygonTest(cv2.convexHull(ring), place.tolist(), True) > -4.0 for ring in for_each):
            found.append(name)
    return tuple(found)


def _jpeg(scene: Scene, picture: np.ndarray) -> bytes:
    from PIL import Image

    image = Image.fromarray(picture)
    exif = Image.Exif()
    if scene.tells_focal:
        exif.get_ifd(0x8769)[0xA405] = round(scene.lens)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=scene.quality, exif=exif)
    return out.getvalue()


def random_scene(chance: np.random.Generator) -> Scene:
    """Return a sound photograph by chance: any foot, skin, light and camera beside or behind the heel."""
    while True:
        scene = _any_scene(chance)
        # From where not even an upright, long leg would hide what is measured, as the remedy asks.
        if not hidden(scene) and not hidden(evolve(scene, leg_lean_deg=0.0, leg_to=430.0)):
            return scene


def _any_scene(chance: np.random.Generator) -> Scene:
    foot: Foot = "left" if chance.random() < 0.5 else "right"
    paper: Paper = "a4" if chance.random() < 0.6 else "letter"
    longest = 274.0 if paper == "letter" else 286.0
    length = float(np.clip(chance.normal(258, 15), 215, longest))
    warm = float(chance.normal(scale=0.08))
    lens = float(chance.choice([26.0, 28.0, 40.0, 52.0]))
    return Scene(
        paper=paper,
        foot=foot,
        length=length,
        breadth=float(length * np.clip(chance.normal(0.383, 0.014), 0.35, 0.42)),
        tall=float(np.clip(chance.normal(1.0, 0.2), 0.6, 1.5)),
        heel=float(chance.normal(scale=2.0)),
        turn_deg=float(chance.normal(scale=1.5)),
        leg_lean_deg=float(chance.uniform(0, 12)),
        leg_to=float(chance.uniform(250, 430)),
        distance=float(chance.uniform(1100, 1550)),
        tilt_deg=float(chance.uniform(0, 20)),
        toward_deg=float(chance.choice([-1, 1]) * chance.uniform(80, 180)),
        roll_deg=float(chance.uniform(0, 360)),
        lens=lens,
        # A zoomed picture whose file does not tell it looks nearer than it is: not a sound one.
        tells_focal=bool(lens > 30.0 or chance.random() < 0.6),
        skin=SKINS[int(chance.integers(len(SKINS)))],
        light=(float(chance.uniform(5, 50)), float(chance.uniform(0, 360)), float(chance.uniform(0.1, 1))),
        white=(1 + warm, 1.0, 1 - warm),
        exposure=float(chance.uniform(0.45, 0.95)),
        falloff=float(chance.uniform(-0.4, 0.4)),
        noise=float(chance.uniform(1, 5)),
        quality=int(chance.integers(72, 95)),
    )
