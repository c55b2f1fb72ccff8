"""A phone over the sheet: where it is, its lens, and which point of floor, paper or wall a pixel sees."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
import numpy.typing as npt
from attrs import frozen

from heelball.sheet.values import Array

Map = npt.NDArray[np.float32]

#: Pixels between the points of the grid on which the mapping is worked out.
_GRID: Final = 16
#: Diagonal of the old film's frame [mm]: what "equivalent" focal lengths refer to.
_FILM: Final = 43.27


@frozen(eq=False)
class Camera:
    """A camera in the world of the sheet: first page's true mm, z up from the floor.

    Parameters
    ----------
    place
        Of the lens [mm], shape (3,).
    rotation
        World to camera (x right, y down, z ahead), shape (3, 3).
    focal_px
        Focal length [px].
    centre
        Principal point [px].
    bulge
        Radial term: a ray at r from the middle (r in focal lengths) is drawn at r (1 + bulge r²).
    size
        Columns and rows.
    """

    place: Array
    rotation: Array
    focal_px: float
    centre: Array
    bulge: float
    size: tuple[int, int]

    def project(self, world: Array) -> Array:
        """Return pixels of points (n, 3) [mm]."""
        ahead = (world - self.place) @ self.rotation.T
        flat = ahead[:, :2] / ahead[:, 2:]
        bent = flat * (1.0 + self.bulge * np.sum(flat * flat, axis=1, keepdims=True))
        return np.asarray(bent * self.focal_px + self.centre)

    def rays(self) -> tuple[Array, tuple[int, int]]:
        """Return directions in the world of a coarse grid of pixels, shape (n, 3), and the grid's shape."""
        columns = np.arange(0, self.size[0] + 2 * _GRID, _GRID) - _GRID / 2 + 0.5 * (_GRID - 1) / _GRID
        rows = np.arange(0, self.size[1] + 2 * _GRID, _GRID) - _GRID / 2 + 0.5 * (_GRID - 1) / _GRID
        x, y = np.meshgrid(columns, rows)
        bent = np.stack([x.ravel() - self.centre[0], y.ravel() - self.centre[1]], axis=1) / self.focal_px
        flat = bent.copy()
        for _ in range(8):
            flat = bent / (1.0 + self.bulge * np.sum(flat * flat, axis=1, keepdims=True))
        ahead = np.concatenate([flat, np.ones((len(flat), 1))], axis=1)
        return ahead @ self.rotation, (len(rows), len(columns))

    def spread(self, coarse: Array, shape: tuple[int, int]) -> Map:
        """Return values of the coarse grid at every pixel."""
        rows, columns = shape
        fine = cv2.resize(
            coarse.reshape(rows, columns).astype(np.float32),
            (columns * _GRID, rows * _GRID),
            interpolation=cv2.INTER_LINEAR,
        )
        down, right = (slice(_GRID // 2, _GRID // 2 + far) for far in (self.size[1], self.size[0]))
        return np.asarray(fine[down, right], np.float32)


def looking(
    at: Array,
    height: float,
    tilt_deg: float,
    toward_deg: float,
    roll_deg: float,
    lens: tuple[float, float],
    size: tuple[int, int],
    zoom: float = 1.0,
) -> Camera:
    """Return a camera whose middle looks at a point of the floor.

    Parameters
    ----------
    at
        The point [mm], shape (2,).
    height
        Of the lens over the floor [mm].
    tilt_deg, toward_deg
        How far it looks from straight down, and to which side it stands of the point.
    roll_deg
        Turn of the picture.
    lens
        Focal length in millimetres of old film, and the lens's bulge.
    size
        Columns and rows of the picture.
    zoom
        How much of the picture's middle was cut out and enlarged.
    """
    tilt, toward, roll = np.radians([tilt_deg, toward_deg, roll_deg])
    side = np.array([np.cos(toward), np.sin(toward)])
    place = np.array([*(at + side * height * np.tan(tilt)), height])
    ahead = np.array([*at, 0.0]) - place
    ahead /= np.linalg.norm(ahead)
    # The page's y runs down and z up: the frame is left-handed, and so is a picture of a floor from above.
    right = np.array([np.cos(roll), np.sin(roll), 0.0])
    right = right - ahead * (right @ ahead)
    right /= np.linalg.norm(right)
    down = np.cross(right, ahead)
    rotation = np.stack([right, down, ahead])
    focal = lens[0] / _FILM * float(np.hypot(*size)) * zoom
    return Camera(place, rotation, focal, np.array([(size[0] - 1) / 2, (size[1] - 1) / 2]), lens[1], size)


@frozen(eq=False)
class Curl:
    """How the paper stands off the floor: corners that rise, and a wave; heights [mm]."""

    corners: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    wave: float = 0.0
    bow: float = 0.0

    def height(self, points: Array, size: tuple[float, float]) -> Array:
        """Return heights [mm] at points (n, 2) of the paper."""
        width, tall = size
        x, y = np.clip(points[:, 0], 0.0, width), np.clip(points[:, 1], 0.0, tall)
        rise = np.zeros(len(points))
        for lift, (cx, cy) in zip(self.corners, ((0, 0), (width, 0), (width, tall), (0, tall)), strict=True):
            away = np.hypot(x - cx, y - cy)
            rise += lift * np.clip(1.0 - away / 110.0, 0.0, None) ** 2
        rise += self.wave * 0.5 * (1.0 + np.sin(x / 31.0 + 1.0) * np.cos(y / 37.0))
        bow = np.clip(np.sin(np.pi * np.clip(y / tall, 0.0, 1.0)), 0.0, None)
        return np.asarray(rise + self.bow * bow)


def on_floor(camera: Camera, rays: Array) -> Array:
    """Return where rays meet the floor [mm], shape (n, 2)."""
    steps = np.maximum(-camera.place[2] / np.minimum(rays[:, 2], -1e-3), 0.0)
    return np.asarray(camera.place[:2] + rays[:, :2] * steps[:, None])


def on_paper(camera: Camera, floor: Array, curl: Curl, size: tuple[float, float]) -> Array:
    """Return the points of the curled paper that are seen where the floor would be [mm]."""
    points = floor
    for _ in range(4):
        share = (curl.height(points, size) / camera.place[2])[:, None]
        points = floor + (camera.place[:2] - floor) * share
    return points
