"""Files spoiled in every way that a byte can be: by the post, by chance, by ill will."""

from __future__ import annotations

import re
import struct
import zlib
from collections.abc import Callable
from typing import Final

import numpy as np

_JPEG_SEGMENT: Final = re.compile(rb"\xff[\xc0-\xc4\xda-\xdd\xe0-\xef]..", re.DOTALL)
_PNG_CHUNK: Final = re.compile(rb"....(?:IHDR|IDAT|IEND|PLTE|eXIf)", re.DOTALL)
_HEIF_BOX: Final = re.compile(
    rb"....(?:ftyp|meta|hdlr|pitm|iloc|iinf|iprp|ipco|ispe|hvcC|mdat|iref)", re.DOTALL
)


def _flips(content: bytes, _: bytes, generator: np.random.Generator) -> bytes:
    """Turn a few bits over, half the time near the beginning, where the headers are."""
    spoiled = bytearray(content)
    reach = min(len(content), 800) if generator.random() < 0.5 else len(content)
    for _number in range(int(generator.integers(1, 12))):
        spoiled[int(generator.integers(reach))] ^= 1 << int(generator.integers(8))
    return bytes(spoiled)


def _cut(content: bytes, _: bytes, generator: np.random.Generator) -> bytes:
    return content[: int(generator.integers(len(content)))]


def _lost(content: bytes, _: bytes, generator: np.random.Generator) -> bytes:
    begins = int(generator.integers(len(content)))
    return content[:begins] + content[begins + int(generator.integers(1, 5000)) :]


def _spliced(content: bytes, other: bytes, generator: np.random.Generator) -> bytes:
    return content[: int(generator.integers(len(content)))] + other[int(generator.integers(len(other))) :]


def _header_of_another(content: bytes, other: bytes, generator: np.random.Generator) -> bytes:
    begins = int(generator.integers(2, 900))
    return other[:begins] + content[begins:]


def _lengths(content: bytes, _: bytes, generator: np.random.Generator) -> bytes:
    """Let a segment, chunk or box lie about its length."""
    places = [
        (found.start() + before, width)
        for pattern, before, width in ((_JPEG_SEGMENT, 2, 2), (_PNG_CHUNK, 0, 4), (_HEIF_BOX, 0, 4))
        for found in pattern.finditer(content[:20_000])
    ]
    place, width = places[int(generator.integers(len(places)))]
    lie = int(generator.choice([0, 1, 2, 3, 8, 17, 255, 65_535, 2**31 - 1, 2**32 - 1])) % 256**width
    return content[:place] + struct.pack(">I", lie)[4 - width :] + content[place + width :]


def _sizes(content: bytes, _: bytes, generator: np.random.Generator) -> bytes:
    """Let the picture lie about its size; a PNG's checksum is made to agree."""
    width, height = (int(2.0 ** generator.uniform(6.0, 15.9)) for _ in range(2))
    spoiled = bytearray(content)
    if content.startswith(b"\xff\xd8"):
        found = re.search(rb"\xff[\xc0-\xc2]\0\x11|\xff[\xc0-\xc2]\0\x0b", content)
        assert found is not None
        spoiled[found.start() + 5 : found.start() + 9] = struct.pack(">HH", height, width)
    elif content.startswith(b"\x89PNG"):
        spoiled[16:24] = struct.pack(">II", width, height)
        spoiled[29:33] = struct.pack(">I", zlib.crc32(spoiled[12:29]))
    else:
        at = content.index(b"ispe") + 8
        spoiled[at : at + 8] = struct.pack(">II", width, height)
    return bytes(spoiled)


def _inside(content: bytes, _: bytes, generator: np.random.Generator) -> bytes:
    """Spoil what the decoder unpacks; checksums of a PNG are made to agree."""
    spoiled = bytearray(content)
    begins = int(generator.integers(len(content) // 8, len(content) - 40))
    for _number in range(int(generator.integers(1, 30))):
        spoiled[min(begins + int(generator.integers(400)), len(content) - 20)] = int(generator.integers(256))
    if not content.startswith(b"\x89PNG"):
        return bytes(spoiled)
    place = 8
    while place + 12 <= len(content):
        ends = place + 12 + int.from_bytes(content[place : place + 4], "big")
        spoiled[place : place + 8] = content[place : place + 8]
        spoiled[ends - 4 : ends] = struct.pack(">I", zlib.crc32(spoiled[place + 4 : ends - 4]))
        place = ends
    return bytes(spoiled)


def _exif(content: bytes, _: bytes, generator: np.random.Generator) -> bytes:
    """Put garbage where EXIF stands, or where it would."""
    begins = (b"MM\0*\0\0\0\x08", b"II*\0\x08\0\0\0", b"")[int(generator.integers(3))]
    garbage = begins + bytes(generator.integers(0, int(generator.choice([4, 256])), 600, np.uint8))
    if content.startswith(b"\xff\xd8"):
        block = b"Exif\0\0" + garbage
        return content[:2] + b"\xff\xe1" + struct.pack(">H", len(block) + 2) + block + content[2:]
    if content.startswith(b"\x89PNG"):
        chunk = b"eXIf" + garbage
        return (
            content[:33]
            + struct.pack(">I", len(garbage))
            + chunk
            + struct.pack(">I", zlib.crc32(chunk))
            + content[33:]
        )
    at = max(content.find(b"MM\0*"), content.find(b"II*\0"))
    return content[:at] + garbage[:60] + content[at + 60 :]


def _doubled(content: bytes, _: bytes, generator: np.random.Generator) -> bytes:
    """Say a piece twice: a segment and what follows it, or any."""
    starts = [found.start() for found in _JPEG_SEGMENT.finditer(content[:20_000])] or [33]
    begins = int(generator.choice(starts))
    piece = content[begins : begins + int(generator.integers(4, 2000))]
    return content[:begins] + piece * int(generator.integers(2, 60)) + content[begins + len(piece) :]


def _zeros(content: bytes, _: bytes, generator: np.random.Generator) -> bytes:
    begins = int(generator.integers(len(content)))
    run = min(int(generator.integers(1, 4000)), len(content) - begins)
    return content[:begins] + bytes(run) + content[begins + run :]


#: Every way, by name: what is spoiled, another sound file to take from, and chance.
WAYS: Final[dict[str, Callable[[bytes, bytes, np.random.Generator], bytes]]] = {
    "bits turned over": _flips,
    "cut": _cut,
    "a piece lost": _lost,
    "spliced with another": _spliced,
    "header of another": _header_of_another,
    "lengths that lie": _lengths,
    "sizes that lie": _sizes,
    "spoiled inside": _inside,
    "EXIF garbage": _exif,
    "pieces doubled": _doubled,
    "zeros": _zeros,
}


def spoiled(sound: dict[str, bytes], number: int) -> tuple[str, str, bytes]:
    """Return the name of the sound file, of the way, and the file that `number` gives, always the same.

    One in twelve is a HEIC, whose child process costs more than all else.
    """
    generator = np.random.default_rng([510, number])
    others = sorted(set(sound) - {"heic"})
    name = "heic" if number % 12 == 0 else others[number % len(others)]
    way = list(WAYS)[int(generator.integers(len(WAYS)))]
    other = sound[sorted(sound)[int(generator.integers(len(sound)))]]
    return name, way, WAYS[way](sound[name], other, generator)
