"""Light on the floor and what a camera makes of it: gradients, shadows, noise, blur, sharpening, JPEG."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt
from attrs import frozen

from tests.sheet.photographs.floors import Colour8

_COARSE: Final = 8


@frozen
class Light:
    """The light: its strength, how it falls off, shadows (share of light kept), colour (BGR) and glare."""

    strength: float = 0.92
    gradient: float = 0.15
    toward_deg: float = 40.0
    corners: float = 0.15
    soft_shadow: float = 1.0
    hard_shadow: float = 1.0
    colour: tuple[float, float, float] = (0.97, 1.0, 1.0)
    glare: float = 0.0


@frozen
class Develop:
    """What the camera does: blur and movement [px], sharpening, noise [grey levels], JPEG quality."""

    blur: float = 0.6
    moved: float = 0.0
    sharpen: float = 0.3
    noise: float = 2.5
    quality: int = 88


def lit(picture: Colour8, light: Light, chance: np.random.Generator, middle: tuple[float, float]) -> Colour8:
    """Return the picture under the light; `middle` is where the sheet is, for shadow and glare [px]."""
    rows, columns = picture.shape[0], picture.shape[1]
    shape = (rows // _COARSE + 1, columns // _COARSE + 1)
    y, x = np.indices(shape, dtype=np.float32)
    u, v = x / shape[1] - 0.5, y / shape[0] - 0.5
    toward = np.radians(light.toward_deg)
    field = light.strength * (1.0 + light.gradient * (u * np.cos(toward) + v * np.sin(toward)) * 2.0)
    field *= 1.0 - light.corners * (u * u + v * v) * 2.0
    for keep, sd in ((light.soft_shadow, 0.05), (light.hard_shadow, 0.002)):
        if keep < 1.0:
            field *= _shadow(shape, keep, sd, chance, (middle[0] / _COARSE, middle[1] / _COARSE))
    field = field.astype(np.float32)
    gain = cv2.resize(field, (columns, rows), interpolation=cv2.INTER_LINEAR)
    for channel in range(3):
        picture[..., channel] = np.clip(picture[..., channel] * (gain * light.colour[channel]), 0, 255)
    if light.glare:
        _shine(picture, light.glare, middle)
    return picture


def _shadow(
    shape: tuple[int, int], keep: float, sd: float, chance: np.random.Generator, middle: tuple[float, float]
) -> npt.NDArray[np.float32]:
    """Return a shadow such as a person or an arm throws, its edge across the sheet."""
    mask = np.zeros(shape, np.float32)
    angle = chance.uniform(0, 2 * np.pi)
    way = np.array([np.cos(angle), np.sin(angle)])
    side = np.array([-way[1], way[0]])
    long = max(shape)
    at = np.array(middle) + side * chance.uniform(-0.15, 0.15) * long
    wide = chance.uniform(0.05, 0.3) * long
    end = at + way * chance.uniform(0.0, 0.25) * long
    polygon = np.array(
        [
            end + side * wide,
            end - side * wide * 0.8,
            at - way * 2 * long - side * wide,
            at - way * 2 * long + side * wide * 1.4,
        ]
    )
    cv2.fillPoly(mask, [np.round(polygon).astype(np.int32)], 1.0)
    cv2.circle(mask, (round(float(end[0])), round(float(end[1]))), round(float(wide * 0.8)), 1.0, -1)
    mask = cv2.GaussianBlur(mask, (0, 0), max(sd * long, 0.6))
    return np.asarray(1.0 - (1.0 - keep) * mask, dtype=np.float32)


def _shine(picture: Colour8, strength: float, middle: tuple[float, float]) -> None:
    """Add a lamp's reflection, in place."""
    rows, columns = picture.shape[0], picture.shape[1]
    y, x = np.indices((rows // 8 + 1, columns // 8 + 1), dtype=np.float32)
    away = np.hypot(x - middle[0] / 8, y - middle[1] / 8) / (0.16 * max(rows, columns) / 8)
    glow = (strength * 255 * np.exp(-(away**2))).astype(np.float32)
    glow = cv2.resize(glow, (columns, rows))
    for channel in range(3):
        picture[..., channel] = np.clip(picture[..., channel] + glow, 0, 255)


@lru_cache(maxsize=1)
def _noise() -> npt.NDArray[np.int16]:
    """Return a piece of sensor noise, a little coarser than one pixel, sd 16."""
    raw = np.random.default_rng(5).normal(size=(1024, 1024, 3)).astype(np.float32)
    soft = cv2.GaussianBlur(raw, (0, 0), 0.6)
    soft = soft.mean(axis=2, keepdims=True) * 1.2 + 0.5 * soft
    return np.asarray(np.clip(soft / soft.std() * 16.0, -127, 127), dtype=np.int16)


def developed(picture: Colour8, develop: Develop, chance: np.random.Generator) -> bytes:
    """Return the JPEG a camera writes of what it saw."""
    if develop.moved > 1.0:
        picture = _moved(picture, develop.moved, float(chance.uniform(0, 180)))
    if develop.blur:
        picture = cv2.GaussianBlur(picture, (0, 0), develop.blur)
    if develop.noise:
        piece = (_noise() * (develop.noise / 16.0)).astype(np.int16)
        dy, dx = (int(k) for k in chance.integers(0, 1024, 2))
        piece = np.roll(piece, (dy, dx), (0, 1))
        for y in range(0, picture.shape[0], 1024):
            for x in range(0, picture.shape[1], 1024):
                part = picture[y : y + 1024, x : x + 1024]
                part[:] = np.clip(part + piece[: part.shape[0], : part.shape[1]], 0, 255)
    if develop.sharpen:
        soft = cv2.GaussianBlur(picture, (0, 0), 1.6)
        picture = cv2.addWeighted(picture, 1.0 + develop.sharpen, soft, -develop.sharpen, 0.0)
    done, data = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, develop.quality])
    assert done
    return data.tobytes()


def _moved(picture: Colour8, length: float, angle: float) -> Colour8:
    """Return the picture as a hand that shook saw it."""
    side = int(length) | 1
    kernel = np.zeros((side, side), np.float32)
    kernel[side // 2] = 1.0
    turn = cv2.getRotationMatrix2D((side / 2 - 0.5, side / 2 - 0.5), angle, 1.0)
    kernel = cv2.warpAffine(kernel, turn, (side, side))
    return np.asarray(cv2.filter2D(picture, -1, kernel / kernel.sum()))
