"""What was found of a bare foot, drawn over its photograph, which is encoded anew."""

from __future__ import annotations

from typing import Final, Literal

import cv2
import numpy as np

from heelball.sheet.bare import BareReading
from heelball.sheet.canvas import encoded, shrunk
from heelball.sheet.picture import open_picture

# Blue, green, red: the edge a thin line, what was measured on rings and the lines between them, and
# the joints that a person pointed at crosses.
_EDGE: Final = (60, 60, 220)
_MEASURED: Final = (150, 90, 20)
_POINTED: Final = (20, 110, 20)
_RING_PX: Final = 9


def bare_overlay(reading: BareReading, content: bytes, kind: Literal["jpg", "png"] = "jpg") -> bytes:
    """Return the photograph with what was found drawn on it, without its file's other contents."""
    canvas, shrink = shrunk(open_picture(content).grey)
    edge, found, joints = (
        np.round((px + 0.5) * shrink - 0.5).astype(np.int32)
        for px in (reading.outline, reading.found, reading.joints)
    )
    cv2.polylines(canvas, [edge], True, _EDGE, 2, cv2.LINE_AA)
    for place in found.tolist():
        cv2.circle(canvas, place, _RING_PX, _MEASURED, 2, cv2.LINE_AA)
    for one, other in (found[:2], found[2:]):
        cv2.line(canvas, one.tolist(), other.tolist(), _MEASURED, 1, cv2.LINE_AA)
    for place in joints.tolist():
        cv2.drawMarker(canvas, place, _POINTED, cv2.MARKER_CROSS, 3 * _RING_PX, 2, cv2.LINE_AA)
    return encoded(canvas, kind)
