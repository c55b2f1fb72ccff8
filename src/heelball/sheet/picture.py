"""Bytes in, a grey picture out: photographs are opened here, whoever sent them."""

from __future__ import annotations

from typing import Final

import numpy as np

from heelball.sheet import heic, jpeg, png
from heelball.sheet.decoder import decode
from heelball.sheet.exif import read_exif
from heelball.sheet.unopened import check_size, not_a_picture, too_large
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
    if len(content) > MOST_BYTES:
        raise too_large(f"The file has {len(content) // 1_000_000} MB; at most 150 MB are read.")
    if heic.is_heic(content):
        # Its decoder turns the picture by itself, as the container asks; EXIF has no say in it.
        grey, exif = heic.decode_heic(content)
        return Picture(grey, read_exif(exif, grey.shape[1], grey.shape[0]).focal_px)
    if content.startswith(jpeg.START):
        unopened = jpeg.walk_jpeg(content)
    elif content.startswith(png.START):
        unopened = png.walk_png(content)
    else:
        raise not_a_picture(_what_it_is(content))
    check_size(unopened.width, unopened.height)
    grey = decode(unopened)
    told = read_exif(unopened.exif, unopened.width, unopened.height)
    return Picture(_upright(grey, told.orientation), told.focal_px)


def _what_it_is(content: bytes) -> str:
    """Return a sentence that names what was sent instead."""
    if not content:
        return "The file is empty."
    for begins, sentence in _OTHERS:
        if content.startswith(begins):
            return f"{sentence}, which is not read."
    return "This is not a photograph."


def _upright(grey: Grey, orientation: int) -> Grey:
    """Turn and mirror the picture as its orientation tag (1 to 8) asks."""
    import cv2

    mirrors = {2: 1, 3: -1, 4: 0}
    turns = {6: cv2.ROTATE_90_CLOCKWISE, 8: cv2.ROTATE_90_COUNTERCLOCKWISE}
    if orientation in mirrors:
        return np.asarray(cv2.flip(grey, mirrors[orientation]), np.uint8)
    if orientation in turns:
        return np.asarray(cv2.rotate(grey, turns[orientation]), np.uint8)
    if orientation == 5:
        return np.asarray(cv2.transpose(grey), np.uint8)
    if orientation == 7:
        return np.asarray(cv2.transpose(cv2.flip(grey, -1)), np.uint8)
    return grey
