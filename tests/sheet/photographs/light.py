"""What lies beside the drawing, and the light on it."""

from __future__ import annotations

import cv2
import numpy as np
import numpy.typing as npt
from attrs import frozen
from scipy.ndimage import gaussian_filter1d
from scipy.spatial import cKDTree

from heelball.sheet.values import Array
from tests.sheet.photographs.hand import Stroke

Light32 = npt.NDArray[np.float32]


@frozen
class Light:
    """Floor, light and what lies about; `shadow` and `gradient` are shares of light taken away.

    `exposure` multiplies all light, `glare` is the radius of a lamp's reflection [mm], `hand` hides
    that many markers, `white` is the paper's light.
    """

    floor: str = "lino"
    gradient: float = 0.0
    toward_deg: float = 0.0
    shadow: float = 0.0
    scribbles: int = 0
    tape: bool = False
    sock: bool = False
    noise: float = 2.0
    blur_mm: float = 0.0
    exposure: float = 1.0
    glare: float = 0.0
    white: float = 228.0


def light_over(light: Light, shape: tuple[int, int], chance: np.random.Generator) -> Light32:
    """Return the share of light that falls on each pixel."""
    rows, columns = 48, 48
    y, x = np.mgrid[0:rows, 0:columns] / (rows - 1.0)
    angle = np.radians(light.toward_deg)
    way = ((x - 0.5) * np.cos(angle) + (y - 0.5) * np.sin(angle)) / 1.2 + 0.5
    small = 1.0 - light.gradient * np.clip(way, 0.0, 1.0)
    over = cv2.resize(small.astype(np.float32), shape[::-1], interpolation=cv2.INTER_LINEAR)
    if light.shadow:
        rows, columns = 240, 240
        y, x = np.mgrid[0:rows, 0:columns] / (rows - 1.0)
        turn = chance.uniform(0.0, 2 * np.pi)
        edge = (x - chance.uniform(0.25, 0.75)) * np.cos(turn) + (y - chance.uniform(0.25, 0.75)) * np.sin(
            turn
        )
        soft = chance.uniform(0.01, 0.06)
        shade = 1.0 - light.shadow / (1.0 + np.exp(-np.clip(edge / soft, -30.0, 30.0)))
        over *= cv2.resize(shade.astype(np.float32), shape[::-1], interpolation=cv2.INTER_CUBIC)
    return np.asarray(over * np.float32(light.exposure), np.float32)


def scribbles(count: int, line: Array, inside: Array, chance: np.random.Generator) -> list[Stroke]:
    """Return words written at least 14 mm off the line; `inside`: places on bare paper, foot's frame."""
    away = cKDTree(line).query(inside)[0]
    places = inside[away > 22.0]
    strokes: list[Stroke] = []
    for _ in range(count if len(places) else 0):
        at = places[int(chance.integers(len(places)))]
        long = 36
        x = np.linspace(-7.0, 7.0, long) + gaussian_filter1d(chance.normal(size=long), 1.0) * 1.5
        y = gaussian_filter1d(chance.normal(size=long), 1.0) * 3.0
        word = np.stack([x, y], axis=1)
        turn = chance.uniform(0.0, 2 * np.pi)
        cos, sin = np.cos(turn), np.sin(turn)
        strokes.append(Stroke(at + word @ np.array([[cos, sin], [-sin, cos]]), 0.6, 0.7, grainy=False))
    return strokes
