"""One bare foot seen from above with its own measures: what a maker of a made pair needs to see."""

from __future__ import annotations

from attrs import frozen

from heelball.foot.vector import HEEL_SHARE
from heelball.show.drafting import LEADING, PAST, Draft
from heelball.show.drawing_style import LETTERING
from heelball.show.figures import DrawnFoot
from heelball.show.lengths import Units, figure_text
from heelball.show.outline import INNER_SHARE, Outline, foot_outline
from heelball.show.svg import text

# Where breadth is dimensioned, as a share of the length.
_BREADTH_LEVEL = 0.52
# The middle of the words along the bend, and where heel-to-ball is dimensioned: shares of the breadth to
# the inner side of the axis.
_BEND_WORDS = -0.15
_BALL_ACROSS = 0.2


@frozen(kw_only=True)
class BarePlan(Draft):
    """One bare foot, and where on the page it stands.

    Parameters
    ----------
    foot
        What to draw.
    units
        What its measures are written in.
    """

    foot: DrawnFoot
    units: Units = "mm"

    def elements(self) -> list[str]:
        """Return the drawing, from the outline up to the words."""
        foot = foot_outline(
            self.foot.foot_length, self.foot.heel_to_ball, self.foot.foot_breadth, self.foot.heel_breadth
        )
        breadth = self.foot.foot_breadth
        return [
            self.closed("foot", foot.curves),
            self.bend("foot", self.foot.heel_to_ball, breadth),
            self.along_bend("foot", self.foot.heel_to_ball, breadth, _BEND_WORDS * breadth, 2.0),
            *self._length(foot),
            *self._heel_to_ball(foot),
            *self._breadth(foot),
            *self._heel(),
            text("label mid", self.spot((0.0, -9.0)), f"{self.foot.foot} foot"),
        ]

    def _said(self, length: float) -> str:
        return f"{figure_text(length, self.units)} {self.units}"

    def _length(self, foot: Outline) -> list[str]:
        past = self.dimensions - PAST
        return [
            self.line("witness", foot.front, (past, self.foot.foot_length)),
            *self.upright(0.0, self.foot.foot_length, f"length {self._said(self.foot.foot_length)}"),
        ]

    def _heel_to_ball(self, foot: Outline) -> list[str]:
        """Draw heel-to-ball along the axis, from the heel's line to the level of the inner joint."""
        across, level = _BALL_ACROSS * self.foot.foot_breadth, self.foot.heel_to_ball
        middle = (HEEL_SHARE * self.foot.foot_length + self._breadth_level(foot)) / 2
        # Read from below upward, between shaft and axis: the letters stand to the left of their line.
        near = 2.0 if self.side == "left" else 2.0 + 0.72 * LETTERING
        first, second = (near + LEADING, near) if self.side == "left" else (near, near + LEADING)
        return [
            self.line("witness", foot.inner_joint, (across - PAST, level)),
            *self.arrow((across, level / 2), (across, 0.0)),
            *self.arrow((across, level / 2), (across, level)),
            *(
                text("label mid foot-word", self.spot((across - off, middle)), words, turned_deg=-90.0)
                for off, words in ((first, "heel-to-ball"), (second, self._said(level)))
            ),
        ]

    def _breadth_level(self, foot: Outline) -> float:
        return min(_BREADTH_LEVEL * self.foot.foot_length, foot.outer_joint[1] - 1.5 * LETTERING)

    def _breadth(self, foot: Outline) -> list[str]:
        inner, outer = foot.inner_joint[0], foot.outer_joint[0]
        level = self._breadth_level(foot)
        ends = [
            self.line("witness", (x, start - 1.5), (x, level - PAST))
            for x, start in (foot.inner_joint, foot.outer_joint)
        ]
        middle = (INNER_SHARE - 0.62) * self.foot.foot_breadth
        return [*ends, *self.level(outer, inner, level, middle, self._said(inner - outer), "foot-word")]

    def _heel(self) -> list[str]:
        """Draw heel breadth where it is measured; nothing where it was not read."""
        if not self.foot.heel_judged:
            return []
        level, half = HEEL_SHARE * self.foot.foot_length, self.foot.heel_breadth / 2
        middle = -0.2 * half
        return self.level(-half, half, level, middle, self._said(self.foot.heel_breadth), "foot-word")
