"""A JPEG walked marker by marker to the end of its first picture, before anything is decoded."""

from __future__ import annotations

import re
from typing import Final

from heelball.sheet.unopened import Unopened, damaged, not_a_picture, truncated

START: Final = b"\xff\xd8"
_END: Final = 0xD9
_SCAN: Final = 0xDA
#: Frames that phones and programs write and that the decoder knows: baseline, extended, progressive.
_FRAMES: Final = frozenset({0xC0, 0xC1, 0xC2})
#: Frames that it does not: lossless, hierarchical, arithmetic.
_OTHER_FRAMES: Final = frozenset(range(0xC3, 0xD0)) - {0xC4, 0xC8, 0xCC}
#: What the decoder is given of the file: tables, frame and scans, and from the applications' own
#: segments the two that tell how colour is coded (JFIF and Adobe). The rest could only harm.
_JFIF: Final = 0xE0
_ADOBE: Final = 0xEE
_EXIF: Final = 0xE1
_EXIF_BEGINS: Final = b"Exif\0\0"
_ALONE: Final = frozenset({0x01, *range(0xD0, 0xD8)})
_KEPT: Final = frozenset({*range(0xC0, 0xD0), 0xDA, 0xDB, 0xDD, _JFIF, _ADOBE})
#: Each scan of a progressive picture goes over all of it again; programs write up to about a dozen.
_MOST_SCANS: Final = 24

# In a scan, 0xFF is followed by a zero, by a restart marker, or by the marker that ends the scan.
_SCAN_ENDS: Final = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")


def walk_jpeg(content: bytes) -> Unopened:
    """Find size, EXIF and the first picture's own segments.

    Parameters
    ----------
    content
        The file, beginning with `START`; what follows the end of its first picture is not looked at.

    Returns
    -------
    Unopened
        What the decoder needs, and nothing more.

    Raises
    ------
    Refused
        ``not_a_picture`` or ``truncated``.
    """
    size: tuple[int, int] | None = None
    exif: bytes | None = None
    kept: list[memoryview] = [memoryview(START)]
    view = memoryview(content)
    scans = 0
    place = len(START)
    while True:
        marker, begins = _marker(content, place)
        if marker == _END:
            break
        if marker in _ALONE:
            place = begins
            continue
        ends = _segment_end(content, begins)
        if marker in _OTHER_FRAMES:
            raise not_a_picture("This is a kind of JPEG that cameras do not write.")
        if marker in _FRAMES:
            if size is not None:
                raise damaged()
            size = _size(content[begins + 2 : ends])
        elif marker == _EXIF and exif is None and content.startswith(_EXIF_BEGINS, begins + 2):
            exif = content[begins + 2 + len(_EXIF_BEGINS) : ends]
        elif marker == _SCAN:
            scans += 1
            ends = _scan_end(content, ends)
        if scans > _MOST_SCANS:
            raise damaged()
        if marker in _KEPT:
            kept.append(view[begins - 2 : ends])
        place = ends
    if size is None or not scans:
        raise damaged()
    kept.append(memoryview(b"\xff\xd9"))
    return Unopened(width=size[0], height=size[1], content=b"".join(kept), exif=exif, alpha=False)


def _marker(content: bytes, place: int) -> tuple[int, int]:
    """Return the marker that stands at `place`, and where what follows it begins."""
    if place >= len(content):
        raise truncated()
    if content[place] != 0xFF:
        raise damaged()
    # Any number of 0xFF may come before a marker.
    while place < len(content) and content[place] == 0xFF:
        place += 1
    if place >= len(content):
        raise truncated()
    return content[place], place + 1


def _segment_end(content: bytes, begins: int) -> int:
    """Return where the segment ends whose length stands at `begins`."""
    length = int.from_bytes(content[begins : begins + 2], "big")
    if begins + 2 > len(content) or begins + length > len(content):
        raise truncated()
    if length < 2:
        raise damaged()
    return begins + length


def _scan_end(content: bytes, begins: int) -> int:
    """Return where the marker stands that ends the scan whose data begin at `begins`."""
    found = _SCAN_ENDS.search(content, begins)
    if found is None:
        raise truncated()
    return found.start()


def _size(frame: bytes) -> tuple[int, int]:
    """Return width and height of a frame; a height told only after the scan is not known to cameras."""
    if len(frame) < 6 or len(frame) != 6 + 3 * frame[5]:
        raise damaged()
    if frame[0] != 8:
        raise not_a_picture("This JPEG has more than 8 bits to a colour.")
    height, width = int.from_bytes(frame[1:3], "big"), int.from_bytes(frame[3:5], "big")
    if not height or not width:
        raise damaged()
    return width, height
