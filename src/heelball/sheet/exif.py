"""The two things of EXIF that are used, and forgotten: which way up, and the focal length."""

from __future__ import annotations

import math
import warnings
from typing import Any, Final

from attrs import frozen

_ORIENTATION: Final = 0x0112
_DETAILS: Final = 0x8769
_FOCAL_LENGTH: Final = 0x920A
_FOCAL_LENGTH_35: Final = 0xA405
_SENSOR_RESOLUTION: Final = 0xA20E
_SENSOR_UNIT: Final = 0xA210
_SENSOR_WIDTH: Final = 0xA002

#: Diagonal of the frame of 36 × 24 mm [mm]: what the focal length "in 35 mm film" is told for.
_DIAGONAL_35: Final = math.hypot(36.0, 24.0)
#: Units that a sensor's resolution may be told in [mm].
_UNITS: Final = {2: 25.4, 3: 10.0, 4: 1.0, 5: 0.001}
#: Focal lengths of phones and cameras, to the picture's longer side; others are mistakes or lies.
_SHORTEST: Final = 0.3
_LONGEST: Final = 12.0


@frozen
class Told:
    """What EXIF tells, believed by nobody yet.

    Parameters
    ----------
    orientation
        1 to 8; 1 where it tells nothing or nonsense.
    focal_px
        In pixels of the picture; None where it tells nothing or nonsense.
    """

    orientation: int = 1
    focal_px: float | None = None


def read_exif(block: bytes | None, width: int, height: int) -> Told:
    """Read orientation and focal length.

    Parameters
    ----------
    block
        Beginning with its byte order; None where the file has none.
    width, height
        Of the picture as it is stored [pixels].

    Returns
    -------
    Told
        Never raises: what cannot be read was not told.
    """
    if not block:
        return Told()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return _read(block, width, height)
    except Exception:
        return Told()


def _read(block: bytes, width: int, height: int) -> Told:
    from PIL import Image

    exif = Image.Exif()
    exif.load(block)
    orientation = exif.get(_ORIENTATION)
    if not isinstance(orientation, int) or not 1 <= orientation <= 8:
        orientation = 1
    try:
        details: dict[int, Any] = exif.get_ifd(_DETAILS)
    except Exception:
        return Told(orientation)
    return Told(orientation, _focal_px(details, width, height))


def _focal_px(details: dict[int, Any], width: int, height: int) -> float | None:
    """Return the focal length in pixels, by the film's diagonal or by the sensor's resolution."""
    longer = max(width, height)
    film = _positive(details.get(_FOCAL_LENGTH_35))
    if film:
        focal = film / _DIAGONAL_35 * math.hypot(width, height)
    else:
        length = _positive(details.get(_FOCAL_LENGTH))
        resolution = _positive(details.get(_SENSOR_RESOLUTION))
        unit = _UNITS.get(details.get(_SENSOR_UNIT, 2))
        if not (length and resolution and unit):
            return None
        # A picture made smaller on its way still tells the sensor's own width.
        taken = _positive(details.get(_SENSOR_WIDTH)) or longer
        focal = length * resolution / unit * longer / max(taken, 1.0)
    return focal if _SHORTEST <= focal / longer <= _LONGEST else None


def _positive(value: Any) -> float | None:
    """Return a number told, if it is one above nothing."""
    try:
        number = float(value)
    except (TypeError, ValueError, ZeroDivisionError, OverflowError):
        return None
    return number if math.isfinite(number) and number > 0.0 else None
