"""What was found, drawn over the photograph or over the paper seen from straight above.

Pictures are encoded anew, so that nothing but pixels is left of the photograph's file.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, Literal

import cv2
import numpy as np
import numpy.typing as npt

from heelball.sheet.canvas import Colour, coloured, encoded, shrunk
from heelball.sheet.picture import open_picture
from heelball.sheet.reading import SheetReading
from heelball.sheet.scale import print_points
from heelball.sheet.values import Array, PlanPicture

_PLAN_PX_PER_MM: Final = 1.75

# Blue, green, red. Told apart by place and form too: the line is thick, the axis thin, ticks end in rings.
_LINE: Final = (60, 60, 220)
_AXIS: Final = (150, 90, 20)
_TICK: Final = (20, 110, 20)

#: How far a tick is drawn out from the line [mm], and the ring about where it meets it [pixels].
_TICK_MM: Final = 12.0
_RING_PX: Final = 5
# Pixels are handed over in sixteenths.
_SHIFT: Final = 4
_SUBPIXELS: Final = 1 << _SHIFT

_Place = Callable[[Array], Array]


def plan_picture(reading: SheetReading, px_per_mm: float = _PLAN_PX_PER_MM) -> PlanPicture:
    """Return the paper as seen from straight above, with what was found."""
    seen = reading.seen
    plan = seen.plan
    # From (across down, along right) to toes up; a right foot's inner side is at the left.
    right = seen.pages[0].foot == "right"
    turned = np.asarray(cv2.rotate(plan.grey, cv2.ROTATE_90_COUNTERCLOCKWISE), np.uint8)
    if right:
        turned = np.ascontiguousarray(turned[:, ::-1])
    factor = px_per_mm / plan.px_per_mm
    size = (round(turned.shape[1] * factor), round(turned.shape[0] * factor))
    canvas = coloured(turned, size)
    step = 1 / px_per_mm
    top = plan.along_from + (plan.grey.shape[1] - 1) / plan.px_per_mm
    first = plan.across_from
    last = first + (plan.grey.shape[0] - 1) / plan.px_per_mm
    left, way = (last, -1.0) if right else (first, 1.0)

    def place(mm: Array) -> Array:
        return np.stack([(mm[:, 1] - left) * way, top - mm[:, 0]], axis=1) * px_per_mm

    _draw(canvas, reading, place, thickness=1)
    stretch = reading.scale.mean
    return PlanPicture(
        encoded(canvas, "png"),
        size[0],
        size[1],
        top * stretch,
        left * stretch,
        step * stretch,
        way * step * stretch,
    )


def overlay_picture(reading: SheetReading, content: bytes, kind: Literal["jpg", "png"] = "jpg") -> bytes:
    """Return the photograph with what was found drawn on it, without any of its file's other contents."""
    seen = reading.seen
    grey = open_picture(content).grey
    if seen.mirrored:
        grey = np.ascontiguousarray(grey[:, ::-1])
    canvas, shrink = shrunk(grey)
    frame = seen.pages[0].frame

    def place(mm: Array) -> Array:
        return np.asarray((seen.plane.to_picture(frame.to_page(mm)) + 0.5) * shrink - 0.5)

    _draw(canvas, reading, place, thickness=2)
    return encoded(canvas, kind)


def _draw(canvas: Colour, reading: SheetReading, place: _Place, *, thickness: int) -> None:
    """Draw line, axis and ticks; `place` takes the print's own mm in the foot's frame to pixels."""
    seen = reading.seen

    def pixels(true_mm: Array) -> npt.NDArray[np.int32]:
        px = place(print_points(true_mm, reading.scale))
        return np.round(px * _SUBPIXELS).astype(np.int32)

    def stroke(true_mm: Array, colour: tuple[int, int, int], wide: int) -> None:
        cv2.polylines(canvas, [pixels(true_mm)], False, colour, wide, cv2.LINE_AA, _SHIFT)

    stroke(seen.line.points, _LINE, thickness)
    axis = np.stack([reading.drawing.axis_from, reading.drawing.axis_to])
    stroke(axis, _AXIS, thickness)
    for tick in (seen.ticks.inner, seen.ticks.outer):
        out = np.array([0.0, np.sign(tick[1])])
        stroke(np.stack([tick, tick + _TICK_MM * out]), _TICK, thickness + 1)
        cv2.circle(
            canvas,
            pixels(tick[None])[0].tolist(),
            _RING_PX * _SUBPIXELS,
            _TICK,
            thickness,
            cv2.LINE_AA,
            _SHIFT,
        )
