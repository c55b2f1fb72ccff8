"""Floors: plain, patterned and as pale as paper, as pieces that repeat; colours are BGR."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

Colour8 = npt.NDArray[np.uint8]

#: Pixels to a millimetre of a piece, and its side [px]: a piece is 512 mm square.
PER_MM: Final = 4.0
_SIDE: Final = 2048

PLAIN: Final = ("lino", "concrete", "dark", "paper")
PATTERNED: Final = ("planks", "tiles", "checks", "carpet", "terrazzo")


def _cloud(
    chance: np.random.Generator, cells: int, size: tuple[int, int] = (_SIDE, _SIDE)
) -> npt.NDArray[np.float32]:
    """Return slow noise about 0 that repeats at its edges."""
    small = chance.normal(size=(cells, cells)).astype(np.float32)
    wide = np.pad(small, 2, mode="wrap")
    fine = cv2.resize(wide, None, fx=size[1] / cells, fy=size[0] / cells, interpolation=cv2.INTER_CUBIC)
    dy, dx = round(2 * size[0] / cells), round(2 * size[1] / cells)
    return np.asarray(fine[dy : dy + size[0], dx : dx + size[1]], np.float32)


def _coloured(light: npt.NDArray[np.floating], colour: tuple[float, float, float]) -> Colour8:
    return np.asarray(np.clip(light[..., None] * np.array(colour, np.float32), 0, 255), np.uint8)


def _plain(colour: tuple[float, float, float], grain: float) -> Callable[[np.random.Generator], Colour8]:
    def make(chance: np.random.Generator) -> Colour8:
        light = 1.0 + grain * (0.4 * _cloud(chance, 9) + 0.3 * _cloud(chance, 64) + 0.6 * _cloud(chance, 512))
        return _coloured(light, colour)

    return make


def _planks(chance: np.random.Generator) -> Colour8:
    light = np.ones((_SIDE, _SIDE), np.float32)
    wide = _SIDE // 8
    for row in range(8):
        rows = slice(row * wide, (row + 1) * wide)
        shade = chance.uniform(0.8, 1.1)
        light[rows] = shade * (1.0 + 0.06 * _cloud(chance, 16, (wide, _SIDE)))
        streaks = cv2.GaussianBlur(
            chance.normal(size=(wide, _SIDE)).astype(np.float32), (0, 0), 60, sigmaY=1.2
        )
        light[rows] += 0.9 * streaks
        light[rows][:4] *= 0.45
        cut = int(chance.integers(0, _SIDE - 5))
        light[rows, cut : cut + 4] *= 0.5
    return _coloured(light, (92.0, 138.0, 182.0))


def _tiles(chance: np.random.Generator) -> Colour8:
    side = _SIDE // 4
    light = 1.0 + 0.03 * _cloud(chance, 64) + 0.04 * _cloud(chance, 8)
    for k in range(4):
        light[k * side : k * side + 14] = 0.62 + 0.04 * chance.normal()
        light[:, k * side : k * side + 14] = 0.62
    return _coloured(light, (176.0, 186.0, 192.0))


def _checks(chance: np.random.Generator) -> Colour8:
    side = _SIDE // 16
    rows, columns = np.indices((_SIDE, _SIDE)) // side
    light = np.where((rows + columns) % 2, 0.22, 1.0).astype(np.float32)
    return _coloured(light * (1.0 + 0.04 * _cloud(chance, 256)), (205.0, 210.0, 212.0))


def _carpet(chance: np.random.Generator) -> Colour8:
    tufts = cv2.GaussianBlur(chance.normal(size=(_SIDE, _SIDE)).astype(np.float32), (0, 0), 2.2)
    light = 0.75 + 1.6 * tufts + 0.05 * _cloud(chance, 12)
    return _coloured(light, (96.0, 104.0, 128.0))


def _terrazzo(chance: np.random.Generator) -> Colour8:
    piece = _coloured(1.0 + 0.02 * _cloud(chance, 256), (196.0, 201.0, 205.0))
    for _ in range(5200):
        middle = chance.integers(0, _SIDE, 2)
        long = chance.uniform(5.0, 24.0)
        corners = middle + long * chance.uniform(0.4, 1.0, (6, 1)) * np.stack(
            [np.cos(np.linspace(0, 5.3, 6)), np.sin(np.linspace(0, 5.3, 6))], axis=1
        )
        shade = chance.choice([60, 90, 130, 165, 225])
        colour = np.clip(shade + chance.normal(scale=14.0, size=3), 0, 255).tolist()
        cv2.fillConvexPoly(piece, np.round(corners).astype(np.int32), colour, cv2.LINE_AA)
    return piece


_FLOORS: Final[dict[str, Callable[[np.random.Generator], Colour8]]] = {
    "lino": _plain((128.0, 150.0, 158.0), 0.05),
    "concrete": _plain((140.0, 142.0, 145.0), 0.12),
    "dark": _plain((58.0, 62.0, 70.0), 0.10),
    "paper": _plain((222.0, 226.0, 228.0), 0.02),
    "planks": _planks,
    "tiles": _tiles,
    "checks": _checks,
    "carpet": _carpet,
    "terrazzo": _terrazzo,
}


@lru_cache(maxsize=len(_FLOORS))
def floor(name: str) -> Colour8:
    """Return a piece of floor."""
    return _FLOORS[name](np.random.default_rng(sum(map(ord, name))))
