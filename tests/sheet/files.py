"""Sound files of every kind that is opened: one small picture, and what phones write around it."""

from __future__ import annotations

import io
import struct
from functools import cache
from typing import Any

import cv2
import numpy as np
from PIL import Image

#: Just over the fewest pixels that are read, and not square.
SIZE = (1240, 900)


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


def two_in_one() -> bytes:
    """Return a JPEG with a second picture behind the first, told of in it, as phones write."""
    second = Image.new("RGB", (320, 240), "black")
    return saved("MPO", save_all=True, append_images=[second], quality=85, exif=exif(1, 26))


def with_film() -> bytes:
    """Return a JPEG with a film behind it."""
    return saved("JPEG", quality=85) + struct.pack(">I4s", 24, b"ftyp") + b"mp42" + bytes(50_000)


def heic() -> bytes:
    """Return a HEIC as phones write it."""
    import pillow_heif

    encoded = pillow_heif.from_pillow(scene())
    file = io.BytesIO()
    encoded.save(file, quality=60, exif=exif(focal_35=26).tobytes())
    return file.getvalue()


@cache
def sound() -> dict[str, bytes]:
    """Return a sound file of every kind."""
    return {
        "baseline": saved("JPEG", quality=85, exif=exif(1, 26)),
        "progressive": saved("JPEG", quality=85, progressive=True, exif=exif(6, 26)),
        "restarts": saved("JPEG", quality=70, restart_marker_rows=4),
        "two in one": two_in_one(),
        "with a film": with_film(),
        "grey": saved("JPEG", scene().convert("L"), quality=60),
        "png": saved("PNG", exif=exif(8, 26), compress_level=1),
        "heic": heic(),
    }
