"""A foot in the trade's terms: the sizes and letters its measures stand for (MODEL 2)."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from heelball.foot.marks import ball_ratio
from heelball.foot.reading import Reading
from heelball.foot.vector import Population
from heelball.scales import gauge_breadth
from heelball.scales.catalogue import GAUGE_OF, size_scale
from heelball.scales.letters import format_letter
from heelball.scales.size_scale import SizeScale
from heelball.units import MILLIMETRES


def spoken_scales(readings: Sequence[Reading], population: Population) -> tuple[SizeScale, ...]:
    """Return the scales a wearer's feet are spoken of on.

    The scale the fitter used; for mm readings the population's gauge; both gauges where the
    population is unstated too.
    """
    used = [r.scale for r in readings if r.what in ("ball", "length") and r.scale not in MILLIMETRES]
    if used:
        return (size_scale(used[0]),)
    if population != "unstated":
        return (size_scale(GAUGE_OF[population]),)
    return (size_scale(GAUGE_OF["men"]), size_scale(GAUGE_OF["women"]))


def length_size(foot_length: float, scale: SizeScale) -> Fraction:
    """Return the size of a foot length [mm], to the nearest label."""
    return scale.nearest(scale.size(foot_length))


def ball_size(heel_to_ball: float, scale: SizeScale, population: Population) -> Fraction:
    """Return the size whose feet bend at a heel-to-ball length [mm], to the nearest label."""
    return length_size(heel_to_ball / float(ball_ratio(scale, population)), scale)


def breadth_letter(foot_breadth: float, size: Fraction, scale: SizeScale) -> str:
    """Return the width letter, to the quarter, of a breadth [mm] at a size line of a scale."""
    length = scale.foot_length(size)
    average = gauge_breadth.AVERAGE_LETTER[scale.population]
    return format_letter(gauge_breadth.letters(length, Fraction(foot_breadth)) + average)
