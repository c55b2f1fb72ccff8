"""Sound files of every kind that is opened: one small picture, and what phones write around it."""

from __future__ import annotations

import io
import struct
from functools import cache
from typing import Any

import cv2
import numpy as np
from PIL import Image
from scipy.interpolate import CubicSpline

from heelball.sheet.layout import pages_of
from heelball.sheet.values import Grey
from tests.sheet.scene import PAPER_PX_PER_MM, Shot, printed

#: Just over the fewest pixels that are read, and not square.
SIZE = (1240, 900)
#: The focal length that the camera of `sheet_photographed` has on film [mm].
FOCAL_35 = 41

# A line round a foot of 254 mm, open at the wall, and two ticks: (along, across) [mm].
_INNER_SIDE = [(1, 24), (30, 30), (80, 31), (130, 36), (186, 50), (215, 46), (243, 33), (254, 18)]
_OUTER_SIDE = [(250, 2), (236, -18), (215, -33), (165, -48), (120, -42), (70, -34), (30, -31), (1, -24)]
_LINE = np.array(_INNER_SIDE + _OUTER_SIDE, float)
_TICKS = np.array([[(186, 51), (186, 62)], [(165, -49), (165, -60)]], float)


@cache
def scene(width: int = SIZE[0], height: int = SIZE[1]) -> Image.Image:
    """Return something with soft and hard edges, light and dark, that no turn or mirror leaves alike."""
    generator = np.random.default_rng(5)
    soft = cv2.resize(
        generator.integers(40, 256, (18, 24), np.uint8), (width, height), interpolation=cv2.INTER_CUBIC
    )
    cv2.rectangle(soft, (width // 8, height // 8), (width // 3, height // 5), 10, -1)
    cv2.line(soft, (width // 2, height - 30), (width - 40, height // 3), 30, 5)
    return Image.fromarray(cv2.merge([soft, soft // 2 + 60, 255 - soft // 2]))


def saved(kind: str, picture: Image.Image | None = None, **options: Any) -> bytes:
    """Return a picture as a file of this kind."""
    file = io.BytesIO()
    (picture or scene()).save(file, kind, **options)
    return file.getvalue()


def exif(orientation: int | None = None, focal_35: int | None = None, **details: Any) -> Image.Exif:
    """Return EXIF that tells these things."""
    block = Image.Exif()
    block[0x010F] = "Northmoor"
    if orientation is not None:
        block[0x0112] = orientation
    if focal_35 is not None:
        block.get_ifd(0x8769)[0xA405] = focal_35
    for tag, value in details.items():
        block.get_ifd(0x8769)[int(tag.removeprefix("tag_"), 16)] = value
    return block


def two_in_one(picture: Image.Image | None = None) -> bytes:
    """Return a JPEG with a second picture behind the first, told of in it, as phones write."""
    second = Image.new("RGB", (320, 240), "black")
    block = exif(1, FOCAL_35)
    return saved("MPO", picture, save_all=True, append_images=[second], quality=85, exif=block)


def with_film(picture: Image.Image | None = None) -> bytes:
    """Return a JPEG with a film behind it."""
    return saved("JPEG", picture, quality=85) + struct.pack(">I4s", 24, b"ftyp") + b"mp42" + bytes(50_000)


def heic(picture: Image.Image | None = None) -> bytes:
    """Return a HEIC as phones write it."""
    import pillow_heif

    encoded = pillow_heif.from_pillow(picture or scene())
    file = io.BytesIO()
    encoded.save(file, quality=60, exif=exif(focal_35=FOCAL_35).tobytes())
    return file.getvalue()


def every_kind(picture: Image.Image) -> dict[str, bytes]:
    """Return a picture as a sound file of every kind, some of which claim to lie on their side."""
    return {
        "baseline": saved("JPEG", picture, quality=85, exif=exif(1, FOCAL_35)),
        "progressive": saved("JPEG", picture, quality=85, progressive=True, exif=exif(6, FOCAL_35)),
        "restarts": saved("JPEG", picture, quality=70, restart_marker_rows=4),
        "two in one": two_in_one(picture),
        "with a film": with_film(picture),
        "grey": saved("JPEG", picture.convert("L"), quality=60),
        "png": saved("PNG", picture, exif=exif(8, FOCAL_35), compress_level=1),
        "heic": heic(picture),
    }


@cache
def sound() -> dict[str, bytes]:
    """Return a sound file of every kind."""
    return every_kind(scene())


@cache
def sheets() -> dict[str, bytes]:
    """Return a photograph of a sheet with a foot's line on it, 2 megapixels, as a file of every kind."""
    return every_kind(Image.fromarray(sheet_photographed()).convert("RGB"))


def sheet_photographed() -> Grey:
    """Return a photograph of a sheet with a line round a right foot and its two ticks."""
    page = pages_of("a4", "right")[0]
    paper = printed(page)
    way = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(_LINE, axis=0).T))])
    line = CubicSpline(way, _LINE)(np.linspace(0.0, way[-1], 600))
    for stroke in (line, *_TICKS):
        px = np.round(page.frame.to_page(stroke) * PAPER_PX_PER_MM * 16).astype(np.int32)
        cv2.polylines(paper, [px], False, 70, 10, cv2.LINE_AA, 4)
    shot = Shot(
        size=(1200, 1600), focal_px=1900.0, tilt_deg=6.0, toward_deg=40.0, turn_deg=91.0, height=440.0
    )
    rows, columns = shot.size
    to_picture = shot.matrix() @ np.diag([1 / PAPER_PX_PER_MM, 1 / PAPER_PX_PER_MM, 1.0])
    soft = cv2.GaussianBlur(paper, (0, 0), 1.6)
    seen = cv2.warpPerspective(soft, to_picture, (columns, rows), borderValue=(120.0,)).astype(float)
    seen += np.random.default_rng(2).normal(0.0, 2.0, seen.shape)
    return np.clip(np.round(seen), 0, 255).astype(np.uint8)
