"""Why no sheet is to be seen in a photograph: too dark, too blurred, or none there."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np

from heelball.sheet.values import Grey, Refused

# Looked at with the longer side brought to about this many pixels.
_LOOKED_AT: Final = 1300
# Judged: a picture whose brightest parts stay below this, of 255, shows no paper.
_DARKEST: Final = 60.0
# Judged: a picture with less between its darkest and its brightest parts shows no printed paper.
_LEAST_CONTRAST: Final = 40.0
# Judged: the steepest edges of a sharp picture of this size take one or two pixels; where the
# steepest rises by less than this share of the contrast to a pixel, edges take more than five.
_LEAST_STEEP: Final = 0.2


def why_unseen(grey: Grey) -> Refused | None:
    """Return why a picture that should show a sheet shows none; None where it is good enough to see one."""
    step = max(1, max(grey.shape) // _LOOKED_AT)
    size = (max(1, grey.shape[1] // step), max(1, grey.shape[0] // step))
    small = np.asarray(cv2.resize(grey, size, interpolation=cv2.INTER_AREA), np.float32)
    small = np.asarray(cv2.GaussianBlur(small, (0, 0), 0.8), np.float32)  # noise is steep too
    low, high = np.quantile(small[::3, ::3], [0.01, 0.99]).tolist()
    if high < _DARKEST:
        return Refused(
            "dark",
            "The picture is too dark to see the sheet in.",
            "Photograph by daylight or under a bright lamp, without standing in its light.",
        )
    right, down = np.diff(small, axis=1)[:-1], np.diff(small, axis=0)[:, :-1]
    # The steepest but one in two thousand; and of a shaken picture the sharp direction does not count.
    steepest = min(float(np.quantile(np.abs(way), 0.9995)) for way in (right, down))
    if high - low > _LEAST_CONTRAST and steepest < _LEAST_STEEP * (high - low):
        return Refused(
            "blurred",
            "The picture is too blurred to see the sheet in.",
            "Hold the telephone still with both hands, wait until it is sharp, and photograph again.",
        )
    return None
