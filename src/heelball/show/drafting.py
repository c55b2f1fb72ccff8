"""Drafting one foot from above: from its own frame to the page, with dimensions beside it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from textwrap import wrap
from typing import Final

from attrs import frozen

from heelball.foot.vector import Foot
from heelball.show.drawing_style import LETTER_WIDTH, LETTERING
from heelball.show.outline import BALL_LINE_SLOPE, INNER_SHARE, Curve, Point
from heelball.show.svg import Spot, line, path, text

#: From one line of lettering to the next [mm].
LEADING: Final = 1.2 * LETTERING

#: Room beside the widest part: for dimensions on the outer side, and toward the other foot [mm].
OUTER_ROOM: Final = 42.0
INNER_ROOM: Final = 10.0

#: How far lines run past what they end at [mm].
PAST: Final = 2.0

# From the outer side to the dimension lines, from there to their words.
_DIMENSION: Final = 7.0
_WORDS: Final = 4.0

_ARROW: Final = 2.6
# Letters to a line beside an upright dimension: ``the joint`` is the longest.
_COLUMN: Final = 9

# Below this a dimension has its arrows outside, pointing in.
_TIGHT: Final = 9.0

# The ball line lies at 70 degrees to the axis, so words along it are turned by 20.
_TURN_DEG: Final = 20.0
# Square to the ball line, outward and forward.
_OFF_LINE: Final[Point] = (-0.34202, 0.93969)


@frozen(kw_only=True)
class Draft:
    """Where one foot stands on the page.

    Parameters
    ----------
    side
        Which foot: the inner side of the left one lies to the right.
    axis, base
        Where on the page the axis stands and where the rearmost heel lies [mm].
    reach
        How far the widest of what is drawn reaches to the outer side of the axis [mm].
    """

    side: Foot
    axis: float
    base: float
    reach: float

    # ---- from the frame of the foot to the page

    @property
    def inner_side(self) -> float:
        """Which way on the page the inner side lies: the left foot's is to the right."""
        return 1.0 if self.side == "left" else -1.0

    @property
    def dimensions(self) -> float:
        """Where upright dimension lines stand, across."""
        return -(self.reach + _DIMENSION)

    def spot(self, point: Point) -> Spot:
        """Return where a point of the foot lies on the page."""
        return self.axis + self.inner_side * point[0], self.base - point[1]

    def closed(self, kind: str, curves: Sequence[Curve]) -> str:
        """Return a closed outline."""
        start = ("M", (self.spot(curves[0].start),))
        return path(kind, [start, *(("C", self._handles(curve)) for curve in curves), ("Z", ())])

    def open(self, kind: str, curve: Curve) -> str:
        """Return a curve by itself."""
        return path(kind, [("M", (self.spot(curve.start),)), ("C", self._handles(curve))])

    def _handles(self, curve: Curve) -> tuple[Spot, ...]:
        return tuple(self.spot(point) for point in (curve.leaving, curve.arriving, curve.end))

    def line(self, kind: str, start: Point, end: Point) -> str:
        """Return a straight line."""
        return line(kind, self.spot(start), self.spot(end))

    # ---- lines where something bends

    def on_bend(self, level: float, across: float, foot_breadth: float) -> float:
        """Return how far forward the bend line at `level` lies; it counts from the foot's inner joint."""
        return level - (INNER_SHARE * foot_breadth - across) * BALL_LINE_SLOPE

    def bend(self, whose: str, level: float, foot_breadth: float) -> str:
        """Return the line along which foot or boot bends, from side to side."""
        inner = INNER_SHARE / (1 - INNER_SHARE) * self.reach + 5.0
        ends = [
            (across, self.on_bend(level, across, foot_breadth)) for across in (inner, self.dimensions - PAST)
        ]
        return self.line(f"{whose}-bend", ends[0], ends[1])

    def along_bend(self, whose: str, level: float, foot_breadth: float, across: float, off: float) -> str:
        """Return the words along a bend line, their middle at `across`, `off` the line [mm]."""
        along = self.on_bend(level, across, foot_breadth)
        point = (across + off * _OFF_LINE[0], along + off * _OFF_LINE[1])
        turned = -self.inner_side * _TURN_DEG
        return text(f"label mid {whose}-word", self.spot(point), f"{whose} bends here", turned_deg=turned)

    # ---- dimensions and their words

    def upright(self, low: float, high: float, words: str) -> list[str]:
        """Draw a dimension line along the axis on the outer side, its words beside it."""
        across = self.dimensions
        if high - low < _TIGHT:
            shafts = [
                ((across, high + 3 * _ARROW), (across, high)),
                ((across, low - 3 * _ARROW), (across, low)),
            ]
        else:
            middle = (across, (low + high) / 2)
            shafts = [(middle, (across, high)), (middle, (across, low))]
        lines = wrap(words, _COLUMN)
        top = (low + high) / 2 + (len(lines) - 1) / 2 * LEADING - 0.36 * LETTERING
        side = "" if self.side == "right" else " end"
        return [
            *(element for shaft in shafts for element in self.arrow(*shaft)),
            *(
                text(f"label{side}", self.spot((across - _WORDS, top - count * LEADING)), part)
                for count, part in enumerate(lines)
            ),
        ]

    def level(
        self, outer: float, inner: float, level: float, middle: float, words: str, kind: str
    ) -> list[str]:
        """Draw a dimension line across the axis, broken at `middle` for its words."""
        gap = LETTER_WIDTH * LETTERING * len(words) / 2 + 1.5
        return [
            *self.arrow((middle - gap, level), (outer, level)),
            *self.arrow((middle + gap, level), (inner, level)),
            text(f"label mid {kind}", self.spot((middle, level - 0.36 * LETTERING)), words),
        ]

    def arrow(self, start: Point, tip: Point) -> Iterable[str]:
        """Draw a shaft from `start`, along or across the axis, with its head at `tip`."""
        run = tip[0] - start[0], tip[1] - start[1]
        sign = 1.0 if run[0] + run[1] > 0 else -1.0
        along = (0.0, sign) if abs(run[1]) > abs(run[0]) else (sign, 0.0)
        corners = [
            (
                tip[0] - _ARROW * along[0] + side * along[1],
                tip[1] - _ARROW * along[1] + side * along[0],
            )
            for side in (-0.65, 0.65)
        ]
        yield self.line("dimension", start, tip)
        spots = [self.spot(point) for point in (tip, *corners)]
        yield path("arrow", [("M", (spots[0],)), ("L", tuple(spots[1:])), ("Z", ())])
