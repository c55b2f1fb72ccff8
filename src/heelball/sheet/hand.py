"""From the line a hand drew to the foot it was drawn round, and how sure that is.

Every cause is a number of variance 1, drawn anew for each drawing, with what it does to the four
measures in mm. What moves several measures at once is one cause, so that their covariance is whole.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from attrs import frozen

from heelball.foot.vector import HEEL_SHARE
from heelball.package_data import defaults
from heelball.sheet.calibration import Calibration, applied
from heelball.sheet.values import DRAWN, FOOT, Array, Circumstances, Drawing, DrawnLine, Scale, Ticks

_MEASURES: Final = [DRAWN.index(what) for what in FOOT]

# What half the tool's body, drawn outside the foot all round, adds to length, balls and breadth. On
# a wall nothing is drawn behind the heel; drawn round, the heel's line lies half a body further back.
_HALF_BODY_ON_WALL: Final = np.array([1.0, 0.0, 0.0, 2.0])
_HALF_BODY_ROUND: Final = np.array([2.0, 1.0, 1.0, 2.0])
# What lies from the heel on: longer where the heel stands off the wall, or its line further back.
_FROM_HEEL: Final = np.array([1.0, 1.0, 1.0, 0.0])
_LENGTH, _BALL, _OUTER_BALL, _BREADTH = np.eye(4)


@frozen(eq=False)
class FootDrawn:
    """The foot that one photograph of a drawing says, in the order of `FOOT`.

    Parameters
    ----------
    mean
        Shape (4,) [mm].
    cov
        All that is unsure in it, shape (4, 4) [mm²].
    own_cov
        The photograph's own share: another one of the same drawing has another.
    factors
        What the print's scale multiplied each measure by, shape (4,).
    """

    mean: Array
    cov: Array
    own_cov: Array
    factors: Array


@frozen
class _Places:
    """Where the line is measured: how far each place lies from the nearest piece of it drawn [mm]."""

    tip: float
    inner_side: float
    outer_side: float


def foot_of(
    drawing: Drawing,
    line: DrawnLine,
    ticks: Ticks,
    told: Circumstances,
    scale: Scale,
    calibration: Calibration | None = None,
) -> FootDrawn:
    """Return the foot that was drawn round.

    Parameters
    ----------
    drawing, line, ticks
        What was read and what was measured on it, in true mm.
    told
        The tool, and whether somebody helped.
    scale
        The print's scale, which is in the three already.
    calibration
        What is known of the hand from the foot gauge; None where judgement has to do.
    """
    numbers = defaults()["sheet"]
    round_heel = line.closed
    mean = drawing.values[_MEASURES] - _drawn_outside(told, numbers, round_heel=round_heel)
    causes = [
        *_common_causes(told, numbers, round_heel=round_heel),
        *_causes_in_places(drawing, line, ticks, told, numbers),
    ]
    hand_cov = _covariance(causes)
    if calibration is not None:
        mean, hand_cov = applied(calibration, mean, hand_cov)
    own_cov = _reading_cov(ticks, numbers, round_heel=round_heel)
    cov = hand_cov + own_cov + _scale_cov(drawing, ticks, scale)
    times = numbers["alone"] ** 2 if told.alone else 1.0
    along, across = scale.factors[:2]
    return FootDrawn(mean, times * cov, times * own_cov, np.array([along, along, along, across]))


def judged_sd() -> dict[str, float]:
    """Return how far a hand scatters each measure on a wall with a tool that was told [mm]."""
    numbers = defaults()["sheet"]
    waver = numbers["waver_sd"]
    causes = [
        *_common_causes(Circumstances(tool="pencil"), numbers, round_heel=False),
        *_tick_causes(numbers),
        waver * _LENGTH,
        np.sqrt(2.0) * waver * _BREADTH,
    ]
    return dict(zip(FOOT, np.sqrt(np.diag(_covariance(causes))).tolist(), strict=True))


def _covariance(causes: list[Array]) -> Array:
    loadings = np.stack(causes, axis=1)
    return np.asarray(loadings @ loadings.T)


def _half_body_does(*, round_heel: bool) -> Array:
    return _HALF_BODY_ROUND if round_heel else _HALF_BODY_ON_WALL


def _drawn_outside(told: Circumstances, numbers: dict[str, Any], *, round_heel: bool) -> Array:
    """Return how much more than the foot a steady hand draws [mm]."""
    more: Array = numbers["body"][told.tool or "pencil"] / 2 * _half_body_does(round_heel=round_heel)
    return more if round_heel else more + numbers["heel_off_wall"] / 2 * _FROM_HEEL


def _common_causes(told: Circumstances, numbers: dict[str, Any], *, round_heel: bool) -> list[Array]:
    """Return what one drawing has all along: its tool, the tool's lean, the heel's distance from the wall."""
    does = _half_body_does(round_heel=round_heel)
    body_sd = numbers["body_untold_sd" if told.tool is None else "body_sd"]
    causes = [body_sd / 2 * does, numbers["lean_sd"] * does]
    if not round_heel:
        causes.append(numbers["heel_off_wall"] / np.sqrt(12.0) * _FROM_HEEL)
    return causes


def _tick_causes(numbers: dict[str, Any]) -> list[Array]:
    # A tick also moves the middle of the ball points and turns the axis; but the line runs along the
    # axis there, so that 2 mm turn it by less than 0.1 degrees.
    return [numbers["tick_sd"] * _BALL, numbers["tick_sd"] * _OUTER_BALL]


def _causes_in_places(
    drawing: Drawing, line: DrawnLine, ticks: Ticks, told: Circumstances, numbers: dict[str, Any]
) -> list[Array]:
    """Return what moves the line in one place: its waver, a gap there, a tick beside its joint."""
    places = _places(drawing, line)
    waver = np.hypot(numbers["waver_sd"], _doubled(line, told, numbers))

    def in_gap(away: float) -> float:
        return float(np.hypot(waver, numbers["gap_share"] * away))

    causes = [
        in_gap(places.tip) * _LENGTH,
        in_gap(places.inner_side) * _BREADTH,
        in_gap(places.outer_side) * _BREADTH,
        *_tick_causes(numbers),
        # The middles at heel and ball, each of two places, waver and turn the axis between them.
        waver / _axis_length(drawing) * _turn_does(drawing, ticks),
    ]
    if line.closed:
        causes.append(waver * _FROM_HEEL)
    return causes


def _doubled(line: DrawnLine, told: Circumstances, numbers: dict[str, Any]) -> float:
    """Return how far two lines lie to either side of their middle [mm]: 0 where one was drawn.

    One stroke is as wide as it is, wherever its middle goes: only what is seen beyond that counts.
    """
    one = numbers["stroke_spread"][told.tool or "pencil"]
    return float(np.sqrt(max(line.spread**2 - one**2, 0.0)))


def _axis_length(drawing: Drawing) -> float:
    """Return how far the axis' two middles lie apart [mm]."""
    length, ball, outer_ball = drawing.values[_MEASURES][:3]
    return max(float((ball + outer_ball) / 2 - HEEL_SHARE * length), 1.0)


def _turn_does(drawing: Drawing, ticks: Ticks) -> Array:
    """Return what the axis' turn does to the measures [mm per radian]: the balls lie beside it."""
    _, square = _directions(drawing)
    beside = (np.stack([ticks.inner, ticks.outer]) - drawing.axis_from) @ square
    return np.asarray(beside[0] * _BALL + beside[1] * _OUTER_BALL)


def _directions(drawing: Drawing) -> tuple[Array, Array]:
    way = drawing.axis_to - drawing.axis_from
    along = way / np.hypot(*way)
    return along, np.array([-along[1], along[0]])


def _places(drawing: Drawing, line: DrawnLine) -> _Places:
    along, square = _directions(drawing)
    from_heel = (line.points - drawing.axis_from) @ along
    aside = (line.points - drawing.axis_from) @ square
    front = from_heel > drawing.values[0] / 2
    drawn = line.points[line.drawn]

    def away(index: np.intp) -> float:
        return float(np.hypot(*(drawn - line.points[index]).T).min(initial=np.inf))

    return _Places(
        away(from_heel.argmax()),
        away(np.where(front, aside, -np.inf).argmax()),
        away(np.where(front, aside, np.inf).argmin()),
    )


def _reading_cov(ticks: Ticks, numbers: dict[str, Any], *, round_heel: bool) -> Array:
    """Return what reading one photograph adds: the line in each of its places, the ticks."""
    line_sd = numbers["line_sd"]
    causes = [
        line_sd * _LENGTH,
        np.sqrt(2.0) * line_sd * _BREADTH,
        np.hypot(line_sd, ticks.inner_sd) * _BALL,
        np.hypot(line_sd, ticks.outer_sd) * _OUTER_BALL,
    ]
    if round_heel:
        causes.append(line_sd * _FROM_HEEL)
    return _covariance(causes)


def _scale_cov(drawing: Drawing, ticks: Ticks, scale: Scale) -> Array:
    """Return what the print's scale adds: in parts of every measure, and by turning the axis."""
    along, across, _ = scale.factors
    length, ball, outer_ball, breadth = drawing.values[_MEASURES]
    slope = np.stack(
        [
            np.array([length, ball, outer_ball, 0.0]) / along,
            np.array([0.0, 0.0, 0.0, breadth]) / across,
            _turn_does(drawing, ticks) / along,
        ],
        axis=1,
    )
    return np.asarray(slope @ scale.cov @ slope.T)
