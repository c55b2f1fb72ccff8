"""A photograph to draw on: shrunk, and encoded anew so that nothing but its pixels is left."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

from heelball.errors import InternalFault
from heelball.sheet.values import Grey

#: Longer side of a photograph that is drawn on [pixels].
_LONGEST: Final = 2000

Colour = npt.NDArray[np.uint8]


def shrunk(grey: Grey) -> tuple[Colour, float]:
    """Return a photograph in a size to be looked at, and how many of its pixels one is of the old."""
    shrink = min(1.0, _LONGEST / max(grey.shape))
    return coloured(grey, (round(grey.shape[1] * shrink), round(grey.shape[0] * shrink))), shrink


def coloured(grey: Grey, size: tuple[int, int]) -> Colour:
    """Return a grey picture of another size (columns, rows), as blue, green and red."""
    small = cv2.resize(grey, size, interpolation=cv2.INTER_AREA)
    return np.asarray(cv2.cvtColor(small, cv2.COLOR_GRAY2BGR), np.uint8)


def encoded(canvas: Colour, kind: str) -> bytes:
    """Return a picture's file, ``jpg`` or ``png``."""
    done, file = cv2.imencode(f".{kind}", canvas)
    if not done:
        raise InternalFault(f"A picture could not be written as {kind}.")
    return file.tobytes()
