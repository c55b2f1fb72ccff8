"""What else lies and stands on a sheet: handwriting, tape at its corners, a sock beside it."""

from __future__ import annotations

import cv2
import numpy as np
from attrs import frozen

from heelball.sheet.values import Array
from tests.sheet.photographs.hand import Stroke
from tests.sheet.photographs.paper import PAD, Grey8, Sheet


@frozen
class Clutter:
    """How much of it: words written beside the foot, inside the outline and across it; tape; a sock."""

    beside: int = 0
    inside: int = 0
    across: int = 0
    tape: int = 0
    sock: bool = False


def written(at: Array, height: float, letters: int, angle: float, chance: np.random.Generator) -> Stroke:
    """Return a word of joined loops, starting at a point [mm], as tall as `height`."""
    steps = letters * 14
    t = np.linspace(0.0, letters, steps)
    x = t * height * 0.55 + 0.25 * height * np.sin(2 * np.pi * t)
    tall = np.repeat(chance.uniform(0.4, 1.0, letters), 14)
    y = -height * 0.5 * tall * (1.0 - np.cos(2 * np.pi * t)) + chance.normal(scale=0.2, size=steps)
    cos, sin = np.cos(angle), np.sin(angle)
    points = at + np.stack([cos * x - sin * y, sin * x + cos * y], axis=1)
    return Stroke(points, float(chance.uniform(0.4, 0.7)), float(chance.uniform(0.45, 0.8)), False)


def writing(
    clutter: Clutter, sheet: Sheet, line: Array, inner_way: Array, chance: np.random.Generator
) -> list[Stroke]:
    """Return all that is written on a sheet round a line drawn on it [mm of the first page's paper]."""
    middle = line.mean(axis=0)
    found: list[Stroke] = []
    for _ in range(clutter.inside):
        at = (
            middle
            + chance.uniform(-0.35, 0.2) * (line[len(line) // 2] - middle)
            + chance.normal(scale=6.0, size=2)
        )
        found.append(
            written(
                at, chance.uniform(4.0, 7.0), int(chance.integers(2, 4)), chance.uniform(-0.6, 0.6), chance
            )
        )
    for _ in range(clutter.beside):
        point = line[int(chance.integers(len(line) // 8, len(line) // 3))]
        away = (point - middle) @ inner_way
        at = point + inner_way * np.sign(away) * chance.uniform(14.0, 22.0)
        found.append(written(at, 4.5, int(chance.integers(2, 4)), chance.uniform(-0.4, 0.4), chance))
    for _ in range(clutter.across):
        point = line[int(chance.integers(len(line) // 10, len(line) // 4))]
        found.append(written(point - 6.0, 5.0, 3, chance.uniform(-0.8, 0.8), chance))
    return found


def tape_over(
    picture: Grey8, sheet: Sheet, clutter: Clutter, chance: np.random.Generator
) -> tuple[Grey8, Grey8]:
    """Return strips of tape over the paper's corners on the canvas: how bright, and how much they cover."""
    bright = np.zeros(sheet.alpha.shape, np.uint8)
    cover = np.zeros(sheet.alpha.shape, np.uint8)
    width, height = sheet.size
    corners = np.array([[0.0, 0.0], [width, 0.0], [0.0, height], [width, height]])
    for corner in corners[chance.permutation(4)[: clutter.tape]]:
        inward = np.sign(np.array([width, height]) / 2 - corner)
        centre = corner + inward * chance.uniform(0.5, 2.0)
        along = inward * np.array([-1.0, 1.0]) / np.sqrt(2.0)
        square = np.array([-along[1], along[0]])
        long, wide = chance.uniform(14.0, 24.0), chance.uniform(3.0, 4.0)
        points = centre + np.array(
            [
                along * long + square * wide,
                along * long - square * wide,
                -along * long - square * wide,
                -along * long + square * wide,
            ]
        )
        flat = np.round((points + PAD) * sheet.per_mm).astype(np.int32)
        cv2.fillPoly(bright, [flat], int(chance.integers(150, 235)))
        cv2.fillPoly(cover, [flat], int(chance.integers(120, 230)))
    return bright, cover
