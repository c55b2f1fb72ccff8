"""HEIC and HEIF, decoded apart: in a child process that may use little and touch nothing."""

from __future__ import annotations

import importlib.util
import re
import struct
import subprocess
import sys
import threading
from typing import IO, Final

import numpy as np

from heelball.errors import MissingExtra
from heelball.sheet.decoder import Coloured
from heelball.sheet.unopened import MOST_PIXELS, check_size, damaged, not_a_picture, truncated
from heelball.sheet.values import Grey

#: Kinds that phones write: still pictures in HEVC.
_BRANDS: Final = frozenset({b"heic", b"heix", b"heim", b"heis", b"mif1", b"msf1", b"heif"})
_NOT_READ: Final = frozenset({b"avif", b"avis"})
_MOST_EXIF: Final = 65_536
_WALL_CLOCK_SECONDS: Final = 9.0

#: What the child is asked for, and begins its answer with: bytes of a pixel by it.
GREY: Final = "grey"
COLOUR: Final = "colr"
CHANNELS: Final = {GREY: 1, COLOUR: 3}
#: What the child answers with, before EXIF and pixels: that word, width, height, bytes of EXIF.
ANSWER: Final = struct.Struct(">4sIII")

# A picture's declared size: the box's length and name, version and flags, width, height.
_SIZE: Final = re.compile(rb"\0\0\0\x14ispe\0{4}(.{4})(.{4})", re.DOTALL)


def is_heic(content: bytes) -> bool:
    """Tell whether a file is of the HEIF family, read or not."""
    if content[4:8] != b"ftyp":
        return False
    return bool(_brands(content) & (_BRANDS | _NOT_READ))


def decode_heic(content: bytes) -> tuple[Grey, bytes | None]:
    """Decode a HEIC in a child process.

    Parameters
    ----------
    content
        The file.

    Returns
    -------
    tuple[Grey, bytes | None]
        Upright as the container asks, and the EXIF block if there is one.

    Raises
    ------
    Refused
        ``not_a_picture``, ``truncated``, ``too_large`` or ``too_small``.
    MissingExtra
        Where pillow-heif is not installed.
    """
    _check(content)
    seen, exif = _taken_apart(_ask_child(content, GREY), GREY)
    return seen[..., 0], exif


def decode_heic_in_colour(content: bytes) -> Coloured:
    """Decode a HEIC in a child process to blue, green, red, as `decode_heic` does to grey."""
    _check(content)
    return _taken_apart(_ask_child(content, COLOUR), COLOUR)[0]


def _check(content: bytes) -> None:
    """Refuse by what the container tells, before anything is decoded."""
    if content[8:12] in _NOT_READ or not _brands(content) & _BRANDS:
        raise not_a_picture("This is an AVIF picture, which is not read.")
    header = _meta(content)
    sizes = [
        (int.from_bytes(width, "big"), int.from_bytes(height, "big"))
        for width, height in _SIZE.findall(header)
    ]
    if not sizes:
        raise damaged()
    # A large picture stands in tiles, each with a size of its own: the largest is the whole.
    check_size(*max(sizes, key=lambda size: size[0] * size[1]))
    if importlib.util.find_spec("pillow_heif") is None:
        raise MissingExtra("pillow-heif", "heic")


def _brands(content: bytes) -> set[bytes]:
    """Return the kinds that the file says it is of."""
    ends = min(int.from_bytes(content[:4], "big"), len(content), 256)
    return {content[8:12], *(content[at : at + 4] for at in range(16, ends - 3, 4))}


def _meta(content: bytes) -> bytes:
    """Walk the file's boxes to its end; return the one that tells what is in it."""
    meta = b""
    place = 0
    while place < len(content):
        length = int.from_bytes(content[place : place + 4], "big")
        kind = content[place + 4 : place + 8]
        head = 8
        if length == 1:
            length, head = int.from_bytes(content[place + 8 : place + 16], "big"), 16
        elif length == 0:
            length = len(content) - place
        if place + head > len(content) or place + length > len(content):
            raise truncated()
        if length < head:
            raise damaged()
        if kind == b"meta" and not meta:
            meta = content[place + head : place + length]
        place += length
    if not meta:
        # Cut between two boxes, or written by nobody's phone.
        raise truncated()
    return meta


def _ask_child(content: bytes, wanted: str) -> bytes:
    """Hand the file to a new interpreter and return its answer, however it ends."""
    limit = ANSWER.size + _MOST_EXIF + MOST_PIXELS * CHANNELS[wanted]
    with subprocess.Popen(
        [sys.executable, "-I", "-m", "heelball.sheet.heic_child", wanted],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    ) as child:
        assert child.stdin is not None
        assert child.stdout is not None
        clock = threading.Timer(_WALL_CLOCK_SECONDS, child.kill)
        feeder = threading.Thread(target=_feed, args=(child.stdin, content), daemon=True)
        clock.start()
        feeder.start()
        try:
            answer = child.stdout.read(limit + 1)
        finally:
            clock.cancel()
            child.kill()
            feeder.join()
    return answer if len(answer) <= limit else b""


def _feed(pipe: IO[bytes], content: bytes) -> None:
    """Write the file to the child, which may have ended already."""
    try:
        pipe.write(content)
        pipe.close()
    except OSError:
        return


def _taken_apart(answer: bytes, wanted: str) -> tuple[Coloured, bytes | None]:
    """Return picture (rows, columns, channels) and EXIF of an answer; believe none that does not add up."""
    if len(answer) < ANSWER.size:
        raise damaged()
    begins, width, height, exif = ANSWER.unpack_from(answer)
    pixels = width * height * CHANNELS[wanted]
    if begins != wanted.encode() or len(answer) != ANSWER.size + exif + pixels or exif > _MOST_EXIF:
        raise damaged()
    check_size(width, height)
    seen = np.frombuffer(answer, np.uint8, offset=ANSWER.size + exif).reshape(height, width, -1)
    return seen, answer[ANSWER.size : ANSWER.size + exif] or None
