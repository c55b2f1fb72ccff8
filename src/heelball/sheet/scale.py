"""How true the print is: what bars, a card and the paper's own edges say of its scale, and applying it."""

from __future__ import annotations

from itertools import combinations
from typing import Any, Final

import numpy as np
from attrs import evolve, frozen

from heelball.gaussian.normal import Gaussian
from heelball.package_data import defaults
from heelball.sheet.layout import FootFrame
from heelball.sheet.values import Array, Circumstances, DrawnLine, Refused, Scale, Ticks, Witness

#: Length of the printed bars [mm].
BAR: Final = 150.0

_ACROSS: Final = np.array([1.0, 0.0])
_UP: Final = np.array([0.0, 1.0])
_REMEDY: Final = (
    "Write the bar's length in millimetres as a ruler shows it; if it is so, print the sheet again at "
    "100 %, not fitted to the page."
)


@frozen(eq=False)
class _Said:
    """What one witness says of the scale along the page's width and height, weighted by `way`."""

    witness: Witness
    name: str
    way: Array
    value: float
    sd: float


def scale_of(
    told: Circumstances,
    frame: FootFrame,
    edges: tuple[float | None, float | None] | None = None,
) -> Scale:
    """Return the scale of a print from all that speaks of it.

    Parameters
    ----------
    told
        What was measured on the bars, and which line of the ladder the card's edge met.
    frame
        The foot's directions on the page.
    edges
        True width of the paper over its width in the photograph [the print's mm], and its height
        alike; None where two opposite edges are not both seen.

    Raises
    ------
    Refused
        ``print_scale``: where the print is not within the least and most that are read.
    """
    numbers = defaults()["sheet_scale"]
    said = _said(told, edges, numbers)
    page = _prior(numbers["wide_sd"] if said else numbers["untold_sd"], numbers["directions_sd"])
    page = page.condition(
        np.array([one.way for one in said]).reshape(-1, 2),
        np.array([one.value for one in said]),
        np.array([one.sd**2 for one in said]),
    )
    _check(page, numbers)
    remarks, apart = _contradictions(said, numbers)
    # Which of two is wrong cannot be known: the truth may lie at either.
    page_cov = page.cov + (apart / 2) ** 2
    factors, slope = _in_foot_frame(page.mean, frame)
    cov = slope @ page_cov @ slope.T
    return Scale(
        mean=float(factors[0]),
        sd=float(np.sqrt(cov[0, 0])),
        witness=_surest(said),
        factors=factors,
        cov=cov,
        page=page.mean,
        page_cov=page_cov,
        remarks=(*_what_spoke(said, numbers), *remarks),
    )


def true_points(points: Array, scale: Scale) -> Array:
    """Return points of the foot's frame in true mm; the heel edge stays at 0 along.

    Parameters
    ----------
    points
        Shape (..., 2), in the print's mm.
    """
    along, across, shear = scale.factors
    return np.stack([along * points[..., 0], across * points[..., 1] + shear * points[..., 0]], axis=-1)


def print_points(points: Array, scale: Scale) -> Array:
    """Return where true points of the foot's frame stand in the print's mm: the inverse of `true_points`."""
    along, across, shear = scale.factors
    there = points[..., 0] / along
    return np.stack([there, (points[..., 1] - shear * there) / across], axis=-1)


def true_line(line: DrawnLine, scale: Scale) -> DrawnLine:
    """Return a drawn line in true mm."""
    return evolve(line, points=true_points(line.points, scale), spread=line.spread * scale.mean)


def true_ticks(ticks: Ticks, scale: Scale) -> Ticks:
    """Return where the ticks lead, in true mm."""
    return Ticks(
        true_points(ticks.inner, scale),
        true_points(ticks.outer, scale),
        ticks.inner_sd * scale.mean,
        ticks.outer_sd * scale.mean,
    )


def line_on(line: DrawnLine, scale: Scale) -> DrawnLine:
    """Return a true line in the print's mm: the inverse of `true_line`."""
    return evolve(line, points=print_points(line.points, scale), spread=line.spread / scale.mean)


def ticks_on(ticks: Ticks, scale: Scale) -> Ticks:
    """Return true ticks in the print's mm: the inverse of `true_ticks`."""
    return Ticks(
        print_points(ticks.inner, scale),
        print_points(ticks.outer, scale),
        ticks.inner_sd / scale.mean,
        ticks.outer_sd / scale.mean,
    )


def true_tape(read: float, scale: Scale) -> float:
    """Return what was read on the printed tape, which runs along the page's height, in true mm."""
    return float(read * scale.page[1])


def _said(
    told: Circumstances, edges: tuple[float | None, float | None] | None, numbers: dict[str, Any]
) -> list[_Said]:
    said: list[_Said] = []
    if told.bar is not None:
        along, across = told.bar
        sd = numbers["ruler_sd"] / BAR
        said.append(_Said("bar", "the bar along the page", _UP, along / BAR, sd))
        if across is not None:
            said.append(_Said("bar", "the bar across the page", _ACROSS, across / BAR, sd))
    if told.card is not None:
        said.append(_Said("card", "the card", _ACROSS, told.card / 100, numbers["card_sd"]))
    for way, ratio, which in zip((_ACROSS, _UP), edges or (None, None), ("width", "height"), strict=True):
        if ratio is not None:
            said.append(_Said("edges", f"the paper's {which}", way, ratio, numbers["edges_sd"]))
    return said


def _prior(common_sd: float, directions_sd: float) -> Gaussian:
    """Return width and height of the page before any witness: one scale, the two a little apart.

    Either of them alone has `common_sd`.
    """
    half = directions_sd**2 / 4
    apart = half * np.array([[1.0, -1.0], [-1.0, 1.0]])
    return Gaussian(np.ones(2), common_sd**2 - half + apart)


def _check(page: Gaussian, numbers: dict[str, Any]) -> None:
    """Refuse a print that is surely too small or too large."""
    reach = 2 * np.sqrt(np.diag(page.cov))
    surely = (page.mean + reach < numbers["least"]) | (page.mean - reach > numbers["most"])
    if surely.any():
        percent = 100 * page.mean[int(np.argmax(np.abs(page.mean - 1) * surely))]
        least, most = 100 * numbers["least"], 100 * numbers["most"]
        text = f"The sheet was printed at {percent:.1f} % of its size; {least:g} to {most:g} % can be read."
        raise Refused("print_scale", text, _REMEDY)


def _contradictions(said: list[_Said], numbers: dict[str, Any]) -> tuple[list[str], float]:
    """Return a sentence for each two witnesses too far apart, and the greatest distance of such two."""
    remarks: list[str] = []
    apart = 0.0
    for one, other in combinations(said, 2):
        variance = one.sd**2 + other.sd**2
        if not np.array_equal(one.way, other.way):
            variance += numbers["directions_sd"] ** 2
        distance = abs(one.value - other.value)
        if distance > numbers["contradiction_sd"] * np.sqrt(variance):
            remarks.append(
                f"The scale is in doubt: {one.name} says {100 * one.value:.1f} %, "
                f"{other.name} {100 * other.value:.1f} %."
            )
            apart = max(apart, distance)
    return remarks, apart


def _what_spoke(said: list[_Said], numbers: dict[str, Any]) -> list[str]:
    if not said:
        percent = 100 * numbers["untold_sd"]
        return [f"Nothing was measured that proves the print's scale: taken as 1, ± {percent:g} %."]
    if len({one.witness for one in said}) > 1:
        names = [one.name for one in said]
        return [f"The scale is from {', '.join(names[:-1])} and {names[-1]}."]
    return []


def _surest(said: list[_Said]) -> Witness:
    return min(said, key=lambda one: one.sd).witness if said else "none"


def _in_foot_frame(page: Array, frame: FootFrame) -> tuple[Array, Array]:
    """Return the three factors of `Scale`, and their slope by the page's two, shape (3, 2)."""
    step = 1e-6
    at = _factors(page, frame)
    slope = np.stack([(_factors(page + one, frame) - at) / step for one in step * np.eye(2)], axis=1)
    return at, slope


def _factors(page: Array, frame: FootFrame) -> Array:
    """Return what a stretch of the page does in the foot's frame, turned so that the heel edge stays."""
    directions = np.stack([frame.along, frame.inner])
    stretch = directions @ np.diag(page) @ directions.T
    # The heel edge runs along the second direction.
    edge = float(np.hypot(*stretch[1]))
    return np.array([np.linalg.det(stretch) / edge, edge, stretch[1] @ stretch[0] / edge])
