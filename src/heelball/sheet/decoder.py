"""OpenCV's decoder, and what it says under its breath: a damaged picture is told on stderr alone."""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import ModuleType
from typing import Final

import numpy as np
import numpy.typing as npt

from heelball.errors import MissingExtra
from heelball.sheet.unopened import Unopened, damaged, too_large
from heelball.sheet.values import Grey

Coloured = npt.NDArray[np.uint8]

_STDERR: Final = 2
# One decoding at a time: they share the process's stderr.
_ONE: Final = threading.Lock()
#: How the decoders' own lines begin (libjpeg, libpng, OpenCV's log).
_COMPLAINTS: Final = (
    b"Corrupt JPEG",
    b"Premature end",
    b"Invalid ",
    b"Inconsistent progression",
    b"Unsupported marker",
    b"Bogus ",
    b"Unknown Adobe",
    b"Warning: unknown JFIF",
    b"libpng ",
    b"[ WARN",
    b"[ERROR",
    b"imdecode_",
)
_BAND: Final = 256


def decode(picture: Unopened) -> Grey:
    """Decode to grey, as stored: no orientation is undone.

    Parameters
    ----------
    picture
        Its size is checked already.

    Returns
    -------
    Grey
        What can be seen through lies on white.

    Raises
    ------
    MissingExtra
        Where OpenCV is not installed.
    Refused
        ``truncated`` where the decoder finds the data damaged, ``too_large`` where memory ends.
    """
    cv2 = opencv()
    stored = _decoded(picture, cv2.IMREAD_UNCHANGED if picture.alpha else cv2.IMREAD_GRAYSCALE)
    if stored.ndim == 3:
        return _on_white(stored)
    if stored.dtype == np.uint16:
        stored = stored >> 8
    return stored.astype(np.uint8, copy=False)


def decode_in_colour(picture: Unopened) -> Coloured:
    """Decode to blue, green, red, as `decode` does to grey; what can be seen through is not laid on white."""
    return _decoded(picture, opencv().IMREAD_COLOR).astype(np.uint8, copy=False)


def opencv() -> ModuleType:
    """Return OpenCV, or say what brings it.

    Raises
    ------
    MissingExtra
        Where it is not installed.
    """
    try:
        import cv2
    except ModuleNotFoundError:
        raise MissingExtra("OpenCV", "sheet") from None
    return cv2


def _decoded(picture: Unopened, flags: int) -> np.ndarray:
    """Decode, and refuse what the decoder complains of."""
    cv2 = opencv()
    if flags != cv2.IMREAD_UNCHANGED:
        flags |= cv2.IMREAD_IGNORE_ORIENTATION
    try:
        with _listening() as complaints:
            decoded = cv2.imdecode(np.frombuffer(picture.content, np.uint8), flags)
    except MemoryError:
        raise too_large("There is not memory enough to open the photograph.") from None
    except cv2.error:
        raise damaged() from None
    if complaints or decoded is None or decoded.shape[:2] != (picture.height, picture.width):
        raise damaged()
    return np.asarray(decoded)


def _on_white(colour: np.ndarray) -> Grey:
    """Return blue, green, red (and alpha) as grey on white, in bands to spare memory."""
    whole = float(np.iinfo(colour.dtype).max)
    weights = np.array([0.114, 0.587, 0.299], np.float32) * np.float32(255.0 / whole)
    grey = np.empty(colour.shape[:2], np.uint8)
    for row in range(0, len(colour), _BAND):
        band = colour[row : row + _BAND]
        seen = band[..., :3].astype(np.float32) @ weights
        if band.shape[2] == 4:
            alpha = band[..., 3].astype(np.float32) / np.float32(whole)
            seen = 255.0 + (seen - 255.0) * alpha
        grey[row : row + _BAND] = np.rint(seen)
    return grey


@contextmanager
def _listening() -> Iterator[list[bytes]]:
    """Keep the decoder's complaints off the person's screen; yield a list that then holds them.

    libjpeg returns a picture whose data are damaged and says so on the process's stderr alone, which
    OpenCV gives no means to ask for. Whatever else is written there meanwhile is passed on.
    """
    complaints: list[bytes] = []
    with _ONE:
        try:
            screen = os.dup(_STDERR)
        except OSError:
            # No stderr at all: nothing to hear, nothing to keep quiet.
            yield complaints
            return
        hear, say = os.pipe()
        os.set_blocking(say, False)
        os.set_blocking(hear, False)
        try:
            os.dup2(say, _STDERR)
            try:
                yield complaints
            finally:
                os.dup2(screen, _STDERR)
                _sort(_heard(hear), complaints, screen)
        finally:
            for end in (screen, hear, say):
                os.close(end)


def _heard(pipe: int) -> bytes:
    """Return what was written to the pipe."""
    try:
        return os.read(pipe, 1 << 20)
    except BlockingIOError:
        return b""


def _sort(said: bytes, complaints: list[bytes], screen: int) -> None:
    """Put the decoders' lines into `complaints` and everything else on the screen."""
    for line in said.splitlines(keepends=True):
        if line.startswith(_COMPLAINTS):
            complaints.append(line)
        else:
            os.write(screen, line)
