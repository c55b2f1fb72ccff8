"""One foot in its boot seen from above, as a pattern-maker would draft it: heel below, toes up."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from textwrap import wrap
from typing import Final

from attrs import frozen

from heelball.show.drawing_style import LETTER_WIDTH, LETTERING
from heelball.show.figures import DrawnBoot, DrawnFoot, DrawnPlace, Figure
from heelball.show.outline import (
    BALL_LINE_SLOPE,
    HEEL_SHARE,
    INNER_SHARE,
    Curve,
    Outline,
    Point,
    boot_outline,
    foot_outline,
)
from heelball.show.svg import Spot, line, path, text

#: From one line of lettering to the next [mm].
LEADING: Final = 1.2 * LETTERING

#: Room beside the widest part: for dimensions on the outer side, and toward the other foot [mm].
OUTER_ROOM: Final = 42.0
INNER_ROOM: Final = 10.0

# From the outer side to the dimension lines, from there to their words; how far lines run past.
_DIMENSION: Final = 7.0
_WORDS: Final = 4.0
_PAST: Final = 2.0

_ARROW: Final = 2.6
# Letters to a line beside an upright dimension: ``the joint`` is the longest.
_COLUMN: Final = 9

# Below this a dimension has its arrows outside, pointing in.
_TIGHT: Final = 9.0

# The ball line lies at 70 degrees to the axis, so words along it are turned by 20.
_TURN_DEG: Final = 20.0
# Square to the ball line, outward and forward.
_OFF_LINE: Final[Point] = (-0.34202, 0.93969)


@frozen
class Plan:
    """One foot in one boot, and where on the page they stand.

    Parameters
    ----------
    foot, boot, rows
        What to draw, and its figures.
    axis, base
        Where on the page the axis stands and where the rearmost heel lies [mm].
    reach
        How far the widest of both feet and the boot reaches to the outer side of the axis [mm].
    """

    foot: DrawnFoot
    boot: DrawnBoot
    rows: Sequence[Figure]
    axis: float
    base: float
    reach: float

    def elements(self) -> list[str]:
        """Return the drawing, from the outlines up to the words."""
        foot = foot_outline(
            self.foot.foot_length, self.foot.heel_to_ball, self.foot.foot_breadth, self.foot.heel_breadth
        )
        boot = boot_outline(
            self.boot.inside_length,
            self.boot.flex_line,
            self.boot.built_for_breadth,
            self.boot.built_for_heel_breadth,
            self.boot.toe,
        )
        breadth_top = self._breadth_top()
        return [
            self._closed("boot", boot.curves),
            *([self._open("cap", boot.cap_edge)] if boot.cap_edge else []),
            self._closed("foot", foot.curves),
            *self._axis(foot, breadth_top),
            *self._bends(),
            *self._toe_room(foot, boot),
            *self._breadth(foot, boot, breadth_top),
            *self._heel(),
            text("label mid", self._spot((0.0, -9.0)), f"{self.foot.foot} foot"),
        ]

    # ---- from the frame of the foot to the page

    @property
    def _inner_side(self) -> float:
        """Which way on the page the inner side lies: the left foot's is to the right."""
        return 1.0 if self.foot.foot == "left" else -1.0

    def _spot(self, point: Point) -> Spot:
        return self.axis + self._inner_side * point[0], self.base - point[1]

    def _closed(self, kind: str, curves: Sequence[Curve]) -> str:
        start = ("M", (self._spot(curves[0].start),))
        return path(kind, [start, *(("C", self._handles(curve)) for curve in curves), ("Z", ())])

    def _open(self, kind: str, curve: Curve) -> str:
        return path(kind, [("M", (self._spot(curve.start),)), ("C", self._handles(curve))])

    def _handles(self, curve: Curve) -> tuple[Spot, ...]:
        return tuple(self._spot(point) for point in (curve.leaving, curve.arriving, curve.end))

    def _line(self, kind: str, start: Point, end: Point) -> str:
        return line(kind, self._spot(start), self._spot(end))

    def _words(self, place: DrawnPlace) -> str:
        return next(row.words for row in self.rows if row.place == place)

    # ---- where things stand, in the frame of the foot

    @property
    def _dimensions(self) -> float:
        """Where the dimension lines of bend and toe room stand, across."""
        return -(self.reach + _DIMENSION)

    @property
    def _middle(self) -> float:
        """Where words stand between the two sides of the foot, across."""
        return (INNER_SHARE - 0.5) * self.foot.foot_breadth

    def _on_bend(self, level: float, across: float) -> float:
        """Return how far forward the bend line at `level` lies; both lines count from the foot's joint."""
        return level - (INNER_SHARE * self.foot.foot_breadth - across) * BALL_LINE_SLOPE

    @property
    def _lower_bend(self) -> float:
        return min(self.foot.heel_to_ball, self.boot.flex_line)

    @property
    def _upper_bend(self) -> float:
        return max(self.foot.heel_to_ball, self.boot.flex_line)

    def _breadth_top(self) -> float:
        """Return where the breadth's dimensions start: in the waist, clear of the words below the bends."""
        return min(
            0.46 * self.foot.foot_length,
            self._on_bend(self._lower_bend, self._middle - 24.0) - 2.4 * LETTERING,
        )

    # ---- the parts

    def _axis(self, foot: Outline, breadth_top: float) -> list[str]:
        """Draw the axis from the middle of the heel to the second toe, broken where words stand."""
        heel = HEEL_SHARE * self.foot.foot_length
        word_height = 1.75 * LETTERING
        breaks = [
            *([(heel + 1.0, heel + 2.3 * LEADING)] if self.foot.heel_judged else []),
            (breadth_top - 4.2 * LEADING, breadth_top + 0.6 * LETTERING),
            (self._on_bend(self._lower_bend, 0.0) - word_height, self._on_bend(self._lower_bend, 0.0)),
            (self._on_bend(self._upper_bend, 0.0), self._on_bend(self._upper_bend, 0.0) + word_height),
        ]
        end = foot.second_toe[1] if foot.second_toe else self.foot.foot_length
        starts = [0.0, *(high for _, high in breaks)]
        ends = [*(low for low, _ in breaks), end]
        return [
            self._line("axis", (0.0, low), (0.0, high))
            for low, high in zip(starts, ends, strict=True)
            if high > low
        ]

    def _bends(self) -> list[str]:
        """Draw where foot and boot bend, name both lines, and say how far apart they are."""
        inner = INNER_SHARE / (1 - INNER_SHARE) * self.reach + 5.0
        outer = self._dimensions - _PAST
        elements = []
        for kind, level in (("foot", self.foot.heel_to_ball), ("boot", self.boot.flex_line)):
            ends = ((across, self._on_bend(level, across)) for across in (inner, outer))
            elements.append(self._line(f"{kind}-bend", *ends))
        first, second = ("foot", "boot") if self.foot.heel_to_ball > self.boot.flex_line else ("boot", "foot")
        elements += [
            self._along_bend(first, self._upper_bend, 2.0),
            self._along_bend(second, self._lower_bend, -2.0 - 0.72 * LETTERING),
        ]
        levels = [self._on_bend(level, self._dimensions) for level in (self._lower_bend, self._upper_bend)]
        words = self._words("ball").removeprefix("boot bends ")
        return [*elements, *self._upright(levels[0], levels[1], words)]

    def _along_bend(self, whose: str, level: float, off: float) -> str:
        across, along = self._middle, self._on_bend(level, self._middle)
        point = (across + off * _OFF_LINE[0], along + off * _OFF_LINE[1])
        turned = -self._inner_side * _TURN_DEG
        return text(f"label mid {whose}-word", self._spot(point), f"{whose} bends here", turned_deg=turned)

    def _toe_room(self, foot: Outline, boot: Outline) -> list[str]:
        """Draw the toe room between the longest toe and the end of what toes can use."""
        usable = self.boot.inside_length - self.boot.toe_deduction
        low, high = sorted((self.foot.foot_length, usable))
        past = self._dimensions - _PAST
        return [
            self._line("witness", foot.front, (past, self.foot.foot_length)),
            self._line("witness", (boot.front[0], usable), (past, usable)),
            *self._upright(low, high, self._words("toe")),
        ]

    def _breadth(self, foot: Outline, boot: Outline, top: float) -> list[str]:
        """Draw both breadths square to the axis, brought down from the joints into the waist."""
        elements = []
        for whose, outline, level in (("foot", foot, top), ("boot", boot, top - 1.4 * LEADING)):
            ends = (outline.inner_joint, outline.outer_joint)
            elements += [
                self._line("witness", (across, along - 1.5), (across, level - _PAST))
                for across, along in ends
            ]
            inner, outer = (across for across, _ in ends)
            said = f"{whose} {inner - outer:.1f}"
            elements += self._level(outer, inner, level, said, f"{whose}-word")
        return [*elements, *self._pair((self._middle, top - 3.7 * LEADING), self._words("breadth"))]

    def _heel(self) -> list[str]:
        """Draw the foot's heel breadth where it is measured; nothing where it was not read."""
        if not self.foot.heel_judged:
            return []
        level = HEEL_SHARE * self.foot.foot_length
        half = self.foot.heel_breadth / 2
        return [
            *self._arrow((0.0, level), (-half, level)),
            *self._arrow((0.0, level), (half, level)),
            *self._pair((0.0, level + 0.35 * LEADING), self._words("heel")),
        ]

    # ---- dimensions and their words

    def _upright(self, low: float, high: float, words: str) -> list[str]:
        """Draw a dimension line along the axis on the outer side, its words beside it."""
        across = self._dimensions
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
        side = "" if self.foot.foot == "right" else " end"
        return [
            *(element for shaft in shafts for element in self._arrow(*shaft)),
            *(
                text(f"label{side}", self._spot((across - _WORDS, top - count * LEADING)), part)
                for count, part in enumerate(lines)
            ),
        ]

    def _level(self, outer: float, inner: float, level: float, words: str, kind: str) -> list[str]:
        """Draw a dimension line across the axis, broken for its words."""
        middle, gap = self._middle, LETTER_WIDTH * LETTERING * len(words) / 2 + 1.5
        return [
            *self._arrow((middle - gap, level), (outer, level)),
            *self._arrow((middle + gap, level), (inner, level)),
            text(f"label mid {kind}", self._spot((middle, level - 0.36 * LETTERING)), words),
        ]

    def _pair(self, point: Point, words: str) -> list[str]:
        """Set words such as ``2 mm wide at the ball`` in two lines, the lower one on `point`."""
        across, along = point
        amount, _, where = words.partition(" at the ")
        return [
            text("label mid", self._spot((across, along + LEADING)), amount),
            text("label mid", self._spot((across, along)), f"at the {where}"),
        ]

    def _arrow(self, start: Point, tip: Point) -> Iterable[str]:
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
        yield self._line("dimension", start, tip)
        spots = [self._spot(point) for point in (tip, *corners)]
        yield path("arrow", [("M", (spots[0],)), ("L", tuple(spots[1:])), ("Z", ())])
