"""What was found of a bare foot, drawn over its photograph, which is encoded anew."""

from __future__ import annotations

from typing import Final, Literal

import cv2
import numpy as np

from heelball.errors import InternalFault
from heelball.sheet.bare import BareReading
from heelball.sheet.picture import open_picture

#: Longer side of the photograph that is drawn on [pixels].
_LONGEST: Final = 2000
# Blue, green, red: the edge a thin line, what was measured on rings and the lines between them, and
# the joints that a person pointed at crosses.
_EDGE: Final = (60, 60, 220)
_MEASURED: Final = (150, 90, 20)
_POINTED: Final = (20, 110, 20)
_RING_PX: Final = 9


def bare_overlay(reading: BareReading, content: bytes, kind: Literal["jpg", "png"] = "jpg") -> bytes:
    """Return the photograph with what was found drawn on it, without its file's other contents."""
    grey = open_picture(content).grey
    shrink = min(1.0, _LONGEST / max(grey.shape))
    size = (round(grey.shape[1] * shrink), round(grey.shape[0] * shrink))
    small = cv2.resize(grey, size, interpolation=cv2.INTER_AREA)
    canvas = cv2.cvtColor(small, cv2.COLOR_GRAY2BGR)
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
    done, encoded = cv2.imencode(f".{kind}", canvas)
    if not done:
        raise InternalFault(f"A picture could not be written as {kind}.")
    return encoded.tobytes()
