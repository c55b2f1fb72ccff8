"""A foot in the trade's terms: what it measures, how it bends, which letter it is across."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from fractions import Fraction
from typing import Final

from attrs import frozen

from heelball.fit.answers import FootFigure
from heelball.fit.wearer import Wearer
from heelball.foot.marks import ball_ratio
from heelball.foot.vector import Foot, Measure
from heelball.scales.catalogue import GAUGE_OF, size_scale
from heelball.scales.gauge_breadth import AVERAGE_LETTER, letters
from heelball.scales.letters import format_letter
from heelball.scales.size_scale import SizeScale
from heelball.units import MILLIMETRES


@frozen
class Terms:
    """A foot on one size scale: length size, ball size, width letter; None where unknown."""

    scale: SizeScale
    length: str | None
    ball: str | None
    letter: str | None


_MEASURES: Final[tuple[Measure, ...]] = ("length", "ball", "breadth")


def terms_scales(wearer: Wearer) -> tuple[SizeScale, ...]:
    """Return the scales to speak of a wearer's feet in.

    The one most readings were written on; where all are in mm, the foot gauge of the wearer's
    population, and both gauges where that is unstated (MODEL 2).
    """
    used = Counter(reading.scale for reading in wearer.readings if reading.scale not in MILLIMETRES)
    if used:
        name, _ = max(used.items(), key=lambda item: (item[1], item[0]))
        return (size_scale(name),)
    names = ("men", "women") if wearer.population == "unstated" else (wearer.population,)
    return tuple(size_scale(GAUGE_OF[name]) for name in names)


def terms_of(figures: Mapping[Measure, FootFigure], wearer: Wearer) -> tuple[Terms, ...]:
    """Return one foot in the trade's terms, on each scale to speak of.

    Parameters
    ----------
    figures
        The foot's measures; their values in the gauge's own frame are what a gauge would say.
    wearer
        Whose foot it is.
    """
    marks = {measure: _mark(figures[measure]) for measure in _MEASURES if measure in figures}
    return tuple(_terms(marks, scale, wearer.population) for scale in terms_scales(wearer))


def _mark(figure: FootFigure) -> float | None:
    return figure.mean if figure.in_gauge_frame is None else figure.in_gauge_frame


def _terms(marks: Mapping[Measure, float | None], scale: SizeScale, population: str) -> Terms:
    length, ball, breadth = (marks.get(measure) for measure in _MEASURES)
    ball_length = None if ball is None else ball / float(ball_ratio(scale, population))
    line = ball_length if ball_length is not None else length
    letter = None
    if breadth is not None and line is not None:
        above = letters(Fraction(line), Fraction(breadth)) + AVERAGE_LETTER[scale.population]
        letter = format_letter(above)
    return Terms(
        scale,
        None if length is None else _size(length, scale),
        None if ball_length is None else _size(ball_length, scale),
        letter,
    )


def _size(foot_length: float, scale: SizeScale) -> str:
    """Return the nearest size; beyond an end of the scale, that it is beyond."""
    size = scale.nearest(scale.size(foot_length))
    if size < scale.lowest:
        return f"under {scale.format(scale.lowest)}"
    if size > scale.highest:
        return f"over {scale.format(scale.highest)}"
    return scale.format(size)


def measure_terms(figures: Mapping[Measure, FootFigure], wearer: Wearer, measure: Measure) -> str | None:
    """Return one measure in the trade's terms: a size or a letter; None where the trade has none."""
    said = []
    spoken = terms_of(figures, wearer)
    for terms in spoken:
        text = {"length": terms.length, "ball": terms.ball, "breadth": terms.letter}.get(measure)
        if text is not None:
            said.append(f"{text} ({terms.scale.name})" if len(spoken) > 1 else text)
    return " or ".join(said) or None


def a(size: str) -> str:
    """Return a size with its article: ``a 10``, ``an 11``.

    Examples
    --------
    >>> a("10 1/2"), a("11"), a("8 1/2")
    ('a 10 1/2', 'an 11', 'an 8 1/2')
    """
    number = size.split(maxsplit=1)[0]
    return f"{'an' if number[0] == '8' or number in ('11', '18', 'over', 'under') else 'a'} {size}"


def bends_and_measures(figures: Mapping[Measure, FootFigure], wearer: Wearer) -> str | None:
    """Return the plain remark on one foot: ``bends like a 10 1/2, measures a 10``.

    None where neither heel-to-ball nor length is known.
    """
    spoken = terms_of(figures, wearer)
    parts = []
    for terms in spoken:
        said = []
        if terms.ball is not None and terms.ball == terms.length:
            said.append(f"bends and measures like {a(terms.ball)}")
        else:
            if terms.ball is not None:
                said.append(f"bends like {a(terms.ball)}")
            if terms.length is not None:
                said.append(f"measures {a(terms.length)}")
        if said:
            parts.append(", ".join(said) + (f" on {terms.scale.name}" if len(spoken) > 1 else ""))
    return "; ".join(parts) or None


def feet_remark(feet: Mapping[Foot, Mapping[Measure, FootFigure]], wearer: Wearer) -> list[str]:
    """Return the plain remarks on both feet, one sentence where they are alike."""
    said = {foot: bends_and_measures(figures, wearer) for foot, figures in feet.items()}
    if said.get("left") is not None and said.get("left") == said.get("right"):
        return [f"Each foot {said['left']}."]
    return [f"The {foot} foot {text}." for foot, text in said.items() if text is not None]
