"""Bytes in, a grey picture out: photographs are opened here, whoever sent them."""

from __future__ import annotations

from typing import Final

import numpy as np

from heelball.sheet import heic, jpeg, png
from heelball.sheet.decoder import Coloured, decode, decode_in_colour, opencv
from heelball.sheet.exif import read_exif
from heelball.sheet.seams import has_seam
from heelball.sheet.unopened import Unopened, check_size, damaged, not_a_picture, too_large
from heelball.sheet.values import Grey, Picture

#: No photograph of 60 megapixels that a phone or camera writes is as large.
MOST_BYTES: Final = 150_000_000

#: What else people send, by its first bytes.
_OTHERS: Final = (
    (b"GIF8", "This is a GIF"),
    (b"RIFF", "This is a WebP picture or a film"),
    (b"II*\0", "This is a TIFF or raw picture"),
    (b"MM\0*", "This is a TIFF or raw picture"),
    (b"%PDF", "This is a PDF"),
    (b"BM", "This is a bitmap"),
    (b"PK\x03\x04", "This is an archive"),
)


def open_picture(content: bytes) -> Picture:
    """Open a photograph.

    Parameters
    ----------
    content
        The file: JPEG (of several pictures the first), PNG or HEIC.

    Returns
    -------
    Picture
        Grey and upright as the file claims, with the focal length it tells; nothing else of EXIF is
        kept.

    Raises
    ------
    Refused
        ``not_a_picture``, ``truncated``, ``too_large`` or ``too_small``.
    MissingExtra
        Where what opens this kind is not installed.
    """
    if heic.is_heic(content):
        _check_bytes(content)
        # Its decoder turns the picture by itself, as the container asks; EXIF has no say in it.
        grey, exif = heic.decode_heic(content)
        return Picture(grey, read_exif(exif, grey.shape[1], grey.shape[0]).focal_px)
    unopened = _walked(content)
    grey = decode(unopened)
    if content.startswith(jpeg.START) and has_seam(grey):
        raise damaged()
    told = read_exif(unopened.exif, unopened.width, unopened.height)
    return Picture(_upright(grey, told.orientation), told.focal_px)


def open_in_colour(content: bytes) -> Coloured:
    """Open a photograph as blue, green, red, upright as `open_picture` has it.

    Parameters
    ----------
    content
        The file: JPEG (of several pictures the first), PNG or HEIC.

    Raises
    ------
    Refused
        As `open_picture` does.
    MissingExtra
        Where what opens this kind is not installed.
    """
    if heic.is_heic(content):
        _check_bytes(content)
        return heic.decode_heic_in_colour(content)
    unopened = _walked(content)
    coloured = decode_in_colour(unopened)
    return _upright(coloured, read_exif(unopened.exif, unopened.width, unopened.height).orientation)


def _walked(content: bytes) -> Unopened:
    """Walk a JPEG or PNG to its end, and refuse what is too large or too small to be decoded."""
    _check_bytes(content)
    if content.startswith(jpeg.START):
        unopened = jpeg.walk_jpeg(content)
    elif content.startswith(png.START):
        unopened = png.walk_png(content)
    else:
        raise not_a_picture(_what_it_is(content))
    check_size(unopened.width, unopened.height)
    return unopened


def _check_bytes(content: bytes) -> None:
    if len(content) > MOST_BYTES:
        raise too_large(f"The file has {len(content) // 1_000_000} MB; at most 150 MB are read.")


def _what_it_is(content: bytes) -> str:
    """Return a sentence that names what was sent instead."""
    if not content:
        return "The file is empty."
    for begins, sentence in _OTHERS:
        if content.startswith(begins):
            return f"{sentence}, which is not read."
    return "This is not a photograph."


def _upright(seen: Grey, orientation: int) -> Grey:
    """Turn and mirror the picture as its orientation tag (1 to 8) asks."""
    cv2 = opencv()

    mirrors = {2: 1, 3: -1, 4: 0}
    turns = {6: cv2.ROTATE_90_CLOCKWISE, 8: cv2.ROTATE_90_COUNTERCLOCKWISE}
    if orientation in mirrors:
        return np.asarray(cv2.flip(seen, mirrors[orientation]), np.uint8)
    if orientation in turns:
        return np.asarray(cv2.rotate(seen, turns[orientation]), np.uint8)
    if orientation == 5:
        return np.asarray(cv2.transpose(seen), np.uint8)
    if orientation == 7:
        return np.asarray(cv2.transpose(cv2.flip(seen, -1)), np.uint8)
    return seen
