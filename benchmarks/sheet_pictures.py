"""Photographs of drawn sheets to time the reading with: five plain floors and five patterned."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import cv2
import numpy as np

from heelball.foot.vector import Foot as Side
from heelball.sheet.marking import Paper
from tests.sheet.photographs.camera import looking, on_floor
from tests.sheet.photographs.floors import PATTERNED, PER_MM, PLAIN, floor
from tests.sheet.photographs.hand import Manner, drawn_round, set_down
from tests.sheet.photographs.outlines import random_foot
from tests.sheet.photographs.paper import PAD, Print, draw, foot_to_world, lay_out

_SIZE: Final = (3024, 4032)
_CANVAS_PER_MM: Final = 10.0
_QUALITY: Final = 90


def pictures(seed: int = 12) -> Iterator[tuple[str, bytes]]:
    """Yield the floor's name and the photograph's bytes, ten times."""
    chance = np.random.default_rng(seed)
    for number, name in enumerate((*PLAIN, "lino", *PATTERNED)):
        yield name, picture(name, chance, "a4" if number % 2 else "letter", "left" if number % 3 else "right")


def picture(name: str, chance: np.random.Generator, paper: Paper, side: Side) -> bytes:
    """Return one photograph of a foot's drawing as JPEG."""
    printed = Print(scale=1.0)
    sheet = lay_out(paper, side, printed, _CANVAS_PER_MM)
    page = sheet.pages[0]
    manner = Manner(tool="pencil")
    foot = set_down(random_foot(chance, chance.uniform(235.0, 270.0)), manner, chance)
    strokes = drawn_round(foot, manner, chance).strokes
    sheet = draw(
        sheet,
        tuple(
            type(one)(foot_to_world(page, printed, one.points), one.width, one.dark, one.grainy)
            for one in strokes
        ),
        chance,
    )
    camera = looking(
        np.array(page.size) / 2 + chance.normal(scale=6.0, size=2),
        chance.uniform(310.0, 380.0),
        chance.uniform(0.0, 18.0),
        chance.uniform(0.0, 360.0),
        chance.normal(scale=5.0),
        (26.0, chance.uniform(-0.02, 0.02)),
        _SIZE,
    )
    rays, shape = camera.rays()
    ground = on_floor(camera, rays)
    to_paper = [camera.spread((ground[:, axis] + PAD) * sheet.per_mm - 0.5, shape) for axis in (0, 1)]
    piece = floor(name)
    # A piece of floor repeats: one pixel of the next lies beyond its edge, for what falls between two.
    again = np.pad(piece, ((0, 1), (0, 1), (0, 0)), mode="wrap")
    to_floor = [np.mod(camera.spread(ground[:, axis] * PER_MM, shape), len(piece)) for axis in (0, 1)]
    below = cv2.remap(again, to_floor[0], to_floor[1], cv2.INTER_LINEAR)
    ink = cv2.remap(sheet.ink, to_paper[0], to_paper[1], cv2.INTER_LINEAR)
    alpha = cv2.remap(sheet.alpha, to_paper[0], to_paper[1], cv2.INTER_LINEAR)[..., None] / np.float32(255)
    white = np.array([226.0, 232.0, 234.0], np.float32) * (1 - ink[..., None] / np.float32(255))
    seen = below * (1 - alpha) + white * alpha
    light = np.linspace(1.0, chance.uniform(0.75, 0.95), seen.shape[1], dtype=np.float32)
    seen = cv2.GaussianBlur(seen * light[None, :, None], (0, 0), 0.9)
    seen += chance.normal(scale=3.0, size=seen.shape[:2]).astype(np.float32)[..., None]
    return cv2.imencode(".jpg", np.clip(seen, 0, 255).astype(np.uint8), [cv2.IMWRITE_JPEG_QUALITY, _QUALITY])[
        1
    ].tobytes()


if __name__ == "__main__":
    for number, (floor_name, content) in enumerate(pictures(), start=1):
        Path(sys.argv[1], f"{number:02} {floor_name}.jpg").write_bytes(content)
