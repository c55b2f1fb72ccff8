"""One foot in its boot seen from above, as a pattern-maker would draft it: heel below, toes up."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import frozen

from heelball.foot.vector import HEEL_SHARE
from heelball.show.drafting import LEADING, PAST, Draft
from heelball.show.drawing_style import LETTERING
from heelball.show.figures import DrawnBoot, DrawnFigure, DrawnFoot, DrawnPlace
from heelball.show.lengths import Units, figure_text
from heelball.show.outline import INNER_SHARE, Outline, Point, boot_outline, foot_outline
from heelball.show.svg import text


@frozen(kw_only=True)
class Plan(Draft):
    """One foot in one boot, and where on the page they stand.

    Parameters
    ----------
    foot, boot, rows
        What to draw, and its figures.
    units
        What breadths are written in; the words of the rows are in the same.
    """

    foot: DrawnFoot
    boot: DrawnBoot
    rows: Sequence[DrawnFigure]
    units: Units = "mm"

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
            self.closed("boot", boot.curves),
            *([self.open("cap", boot.cap_edge)] if boot.cap_edge else []),
            self.closed("foot", foot.curves),
            *self._axis(foot, breadth_top),
            *self._bends(),
            *self._toe_room(foot, boot),
            *self._breadth(foot, boot, breadth_top),
            *self._heel(),
            text("label mid", self.spot((0.0, -9.0)), f"{self.foot.foot} foot"),
        ]

    def _words(self, place: DrawnPlace) -> str:
        return next(row.words for row in self.rows if row.place == place)

    # ---- where things stand, in the frame of the foot

    @property
    def _middle(self) -> float:
        """Where words stand between the two sides of the foot, across."""
        return (INNER_SHARE - 0.5) * self.foot.foot_breadth

    def _bend_at(self, level: float, across: float) -> float:
        """Return how far forward the bend line at `level` lies."""
        return self.on_bend(level, across, self.foot.foot_breadth)

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
            self._bend_at(self._lower_bend, self._middle - 24.0) - 2.4 * LETTERING,
        )

    # ---- the parts

    def _axis(self, foot: Outline, breadth_top: float) -> list[str]:
        """Draw the axis from the middle of the heel to the second toe, broken where words stand."""
        heel = HEEL_SHARE * self.foot.foot_length
        word_height = 1.75 * LETTERING
        breaks = [
            *([(heel + 1.0, heel + 2.3 * LEADING)] if self.foot.heel_judged else []),
            (breadth_top - 4.2 * LEADING, breadth_top + 0.6 * LETTERING),
            (self._bend_at(self._lower_bend, 0.0) - word_height, self._bend_at(self._lower_bend, 0.0)),
            (self._bend_at(self._upper_bend, 0.0), self._bend_at(self._upper_bend, 0.0) + word_height),
        ]
        end = foot.second_toe[1] if foot.second_toe else self.foot.foot_length
        starts = [0.0, *(high for _, high in breaks)]
        ends = [*(low for low, _ in breaks), end]
        return [
            self.line("axis", (0.0, low), (0.0, high))
            for low, high in zip(starts, ends, strict=True)
            if high > low
        ]

    def _bends(self) -> list[str]:
        """Draw where foot and boot bend, name both lines, and say how far apart they are."""
        breadth = self.foot.foot_breadth
        first, second = ("foot", "boot") if self.foot.heel_to_ball > self.boot.flex_line else ("boot", "foot")
        levels = [self._bend_at(level, self.dimensions) for level in (self._lower_bend, self._upper_bend)]
        words = self._words("ball").removeprefix("boot bends ")
        return [
            self.bend("foot", self.foot.heel_to_ball, breadth),
            self.bend("boot", self.boot.flex_line, breadth),
            self.along_bend(first, self._upper_bend, breadth, self._middle, 2.0),
            self.along_bend(second, self._lower_bend, breadth, self._middle, -2.0 - 0.72 * LETTERING),
            *self.upright(levels[0], levels[1], words),
        ]

    def _toe_room(self, foot: Outline, boot: Outline) -> list[str]:
        """Draw the toe room between the longest toe and the end of what toes can use."""
        usable = self.boot.inside_length - self.boot.toe_deduction
        low, high = sorted((self.foot.foot_length, usable))
        past = self.dimensions - PAST
        return [
            self.line("witness", foot.front, (past, self.foot.foot_length)),
            self.line("witness", (boot.front[0], usable), (past, usable)),
            *self.upright(low, high, self._words("toe")),
        ]

    def _breadth(self, foot: Outline, boot: Outline, top: float) -> list[str]:
        """Draw both breadths square to the axis, brought down from the joints into the waist."""
        elements = []
        for whose, outline, level in (("foot", foot, top), ("boot", boot, top - 1.4 * LEADING)):
            ends = (outline.inner_joint, outline.outer_joint)
            elements += [
                self.line("witness", (across, along - 1.5), (across, level - PAST)) for across, along in ends
            ]
            inner, outer = (across for across, _ in ends)
            said = f"{whose} {figure_text(inner - outer, self.units)}"
            elements += self.level(outer, inner, level, self._middle, said, f"{whose}-word")
        return [*elements, *self._pair((self._middle, top - 3.7 * LEADING), self._words("breadth"))]

    def _heel(self) -> list[str]:
        """Draw the foot's heel breadth where it is measured; nothing where it was not read."""
        if not self.foot.heel_judged:
            return []
        level = HEEL_SHARE * self.foot.foot_length
        half = self.foot.heel_breadth / 2
        return [
            *self.arrow((0.0, level), (-half, level)),
            *self.arrow((0.0, level), (half, level)),
            *self._pair((0.0, level + 0.35 * LEADING), self._words("heel")),
        ]

    # ---- dimensions and their words

    def _pair(self, point: Point, words: str) -> list[str]:
        """Set words such as ``2 mm wide at the ball`` in two lines, the lower one on `point`."""
        across, along = point
        amount, _, where = words.partition(" at the ")
        return [
            text("label mid", self.spot((across, along + LEADING)), amount),
            text("label mid", self.spot((across, along)), f"at the {where}"),
        ]
