"""A PNG walked chunk by chunk to its end, checksums and all, before anything is decoded."""

from __future__ import annotations

import zlib
from typing import Final

from heelball.sheet.unopened import Unopened, check_size, damaged, too_large, truncated

START: Final = b"\x89PNG\r\n\x1a\n"
#: What the decoder is given: comments, profiles and animations could only harm.
_KEPT: Final = frozenset({b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND"})
#: Channels of each colour type, with one for the transparency that a chunk of its own may add.
_CHANNELS: Final = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}
_MOST_EXIF: Final = 65_536
#: Bytes of the decoded picture where it must be kept in colour until it is laid on white.
_MOST_DECODED: Final = 250_000_000


def walk_png(content: bytes) -> Unopened:
    """Find size, EXIF and the picture's own chunks.

    Parameters
    ----------
    content
        The file, beginning with `START`; what follows its last chunk is not looked at.

    Returns
    -------
    Unopened
        What the decoder needs, and nothing more.

    Raises
    ------
    Refused
        ``truncated``, or ``too_large`` for the memory that its kind takes.
    """
    view = memoryview(content)
    kept: list[memoryview] = [view[: len(START)]]
    exif: bytes | None = None
    header: bytes | None = None
    seen: set[bytes] = set()
    place = len(START)
    while b"IEND" not in seen:
        if place + 12 > len(content):
            raise truncated()
        length = int.from_bytes(content[place : place + 4], "big")
        ends = place + 12 + length
        if ends > len(content):
            raise truncated()
        kind = content[place + 4 : place + 8]
        if zlib.crc32(view[place + 4 : ends - 4]) != int.from_bytes(content[ends - 4 : ends], "big"):
            raise damaged()
        if header is None:
            if kind != b"IHDR" or length != 13:
                raise damaged()
            header = content[place + 8 : ends - 4]
        elif kind == b"eXIf" and exif is None and length <= _MOST_EXIF:
            exif = content[place + 8 : ends - 4]
        if kind in _KEPT:
            kept.append(view[place:ends])
        seen.add(kind)
        place = ends
    if header is None or b"IDAT" not in seen:
        raise damaged()
    return _unopened(header, b"".join(kept), exif, b"tRNS" in seen)


def _unopened(header: bytes, content: bytes, exif: bytes | None, see_through: bool) -> Unopened:
    """Read the header chunk; refuse what would take too much memory."""
    width, height = int.from_bytes(header[:4], "big"), int.from_bytes(header[4:8], "big")
    depth, colour = header[8], header[9]
    if not width or not height or colour not in _CHANNELS or depth not in (1, 2, 4, 8, 16):
        raise damaged()
    check_size(width, height)
    alpha = colour in (4, 6) or see_through
    # OpenCV gives every picture that can be seen through four channels.
    channels = 4 if alpha else _CHANNELS[colour]
    if width * height * channels * (2 if depth == 16 else 1) > _MOST_DECODED:
        raise too_large("The photograph would take too much memory to open.")
    return Unopened(width=width, height=height, content=content, exif=exif, alpha=alpha)
