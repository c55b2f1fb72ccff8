"""The trade's own rule, from raw readings, without any posterior (MODEL 7).

Common practice, no source. It is always shown beside the computed answer; it takes the larger
of length size and ball size, never averages feet or sizes, and never orders smaller.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from math import floor
from statistics import fmean
from typing import Final

from attrs import frozen

from heelball.fit.answers import Reason, TradeAnswer
from heelball.fit.day import largest_breadth_growth
from heelball.fit.wearer import Wearer
from heelball.foot.evidence import load_factor
from heelball.foot.marks import ball_ratio, mark_of
from heelball.foot.reading import Reading
from heelball.foot.vector import FEET, Foot
from heelball.last.built_for import ONE_SIZE, basis_of, letters_of, nominal_length
from heelball.last.values import Advice, Label, Last
from heelball.package_data import defaults
from heelball.scales import gauge_breadth
from heelball.scales.catalogue import GAUGE_OF, size_scale
from heelball.scales.letters import format_letter
from heelball.scales.size_scale import SizeScale, Straight
from heelball.units import format_fraction

#: Sizes and letters are compared to this many digits, so that a mark is never missed by rounding.
_DIGITS: Final = 6
_TINY: Final = 1e-6

_BREADTH_PER_LETTER: Final = float(gauge_breadth.BREADTH_PER_LETTER)
_LETTERS_PER_SIZE: Final = float(gauge_breadth.BREADTH_PER_SIZE / gauge_breadth.BREADTH_PER_LETTER)


@frozen
class _Marks:
    """What was read of one foot: foot lengths of its length and ball size, and breadth [mm]."""

    length: float | None
    ball: float | None
    breadth: float | None

    @property
    def larger(self) -> float | None:
        """The larger of length size and ball size, as a foot length [mm]."""
        known = [value for value in (self.length, self.ball) if value is not None]
        return max(known) if known else None


@frozen
class _OnGauge:
    """Both feet's marks, as foot lengths and mm, with what went through one gauge's formula."""

    gauge: SizeScale
    feet: Mapping[Foot, _Marks]
    steps: tuple[Reason, ...]


@frozen
class RawMarks:
    """A wearer's raw readings made ready for the rule; the same for every last.

    `growth` is the day's largest growth in breadth beyond the ordinary state [mm].
    """

    ways: tuple[_OnGauge, ...]
    growth: float


def raw_marks(wearer: Wearer) -> RawMarks:
    """Return a wearer's marks: standing gauge marks averaged, else other readings in mm.

    Readings in mm go through the formula of the wearer's gauge or population; a wearer with
    neither has two ways to be read, one on each gauge.
    """
    growth = largest_breadth_growth(wearer.day, defaults()["trade_rule"]["swell_share"])
    ways = []
    for gauge in _gauges(wearer):
        steps: list[Reason] = []
        feet = {foot: _marks_of(foot, wearer, gauge, steps) for foot in FEET}
        ways.append(_OnGauge(gauge, feet, tuple(steps)))
    return RawMarks(tuple(ways), growth)


def trade_rule(marks: RawMarks, last: Last) -> TradeAnswer:
    """Return what the trade rule orders from one last, with its steps.

    A wearer of no stated population and without a gauge mark: the rule is followed on both
    gauges, and the larger answer stands first, the other in `also`.
    """
    answers = [_followed(way, marks.growth, last) for way in marks.ways]
    if len(answers) == 1:
        return answers[0]
    answers.sort(key=lambda answer: -1 if answer.order is None else answer.order.size, reverse=True)
    first, second = answers
    also = first.also
    if second.order is not None and second.order != first.order:
        also = (second.order, *also)
    both = Reason("trade-both-gauges", {"gauges": [way.gauge.name for way in marks.ways]})
    return TradeAnswer(first.order, (both, *first.steps), also, first.referral or second.referral)


def _gauges(wearer: Wearer) -> list[SizeScale]:
    """Return the gauge whose formula mm readings go through; both where none is said."""
    marked = [r.scale for r in wearer.readings if _on_gauge(r)]
    if marked:
        return [size_scale(marked[0])]
    if wearer.population != "unstated":
        return [size_scale(GAUGE_OF[wearer.population])]
    return [size_scale(GAUGE_OF["men"]), size_scale(GAUGE_OF["women"])]


def _on_gauge(reading: Reading) -> bool:
    return reading.method == "gauge" and reading.scale.startswith("gauge-")


def _marks_of(foot: Foot, wearer: Wearer, own_gauge: SizeScale, steps: list[Reason]) -> _Marks:
    found: dict[str, float | None] = {}
    ratio = float(ball_ratio(own_gauge, wearer.population))
    anything = any(reading.foot == foot for reading in wearer.readings)
    for what in ("length", "ball", "breadth"):
        read = [r for r in wearer.readings if r.foot == foot and r.what == what]
        standing = [r for r in read if _on_gauge(r) and r.load == "standing"]
        # A ball size is a mark: on its own scale it stands for that scale's foot length.
        values = [
            mark_of(r, wearer.readings, wearer.population).value
            / (float(ball_ratio(size_scale(r.scale), wearer.population)) if what == "ball" else 1.0)
            for r in standing
        ]
        if not standing and read:
            steps.append(Reason("trade-not-gauge", {"foot": foot, "what": what}))
            values = [
                load_factor(r.load, r.what)[0]
                * mark_of(r, wearer.readings, own_gauge.population or "unstated").value
                / (ratio if what == "ball" else 1.0)
                for r in read
            ]
        if not read and anything and what == "ball":
            steps.append(Reason("trade-no-ball", {"foot": foot}))
        found[what] = fmean(values) if values else None
    return _Marks(**found)


def _followed(way: _OnGauge, growth: float, last: Last) -> TradeAnswer:
    steps = list(way.steps)
    population = size_scale(last.label_scale).population
    # The rule speaks in the gauge of the label scale's population; for all adults, the wearer's own.
    gauge = size_scale(GAUGE_OF[population]) if population else way.gauge
    sizes: dict[Foot, float] = {}
    referral = False
    for foot, marks in way.feet.items():
        if marks.larger is None:
            continue
        length = None if marks.length is None else _size(gauge, marks.length)
        ball = None if marks.ball is None else _size(gauge, marks.ball)
        sizes[foot] = _size(gauge, marks.larger)
        facts = {"foot": foot, "length": _text(length), "ball": _text(ball), "taken": _text(sizes[foot])}
        steps.append(Reason("trade-foot", facts))
        limit = defaults()["trade_rule"]["length_over_ball_sizes"]
        if length is not None and ball is not None and length - ball > limit + _TINY:
            referral = True
            steps.append(Reason("trade-length-over-ball", {"foot": foot, "sizes": length - ball}))
    if not sizes:
        return TradeAnswer(None, (*steps, Reason("trade-nothing-read")))
    size = max(sizes.values())
    both = len(sizes) == len(FEET)
    if both:
        larger = max(FEET, key=lambda foot: sizes[foot])
        same = sizes["left"] == sizes["right"]
        steps.append(Reason("trade-larger-foot", {"size": _text(size), "foot": larger, "same": same}))
    order, pair_steps = _order_for(way.feet, size, last, gauge, growth)
    steps += pair_steps
    also: tuple[Label, ...] = ()
    if both and abs(sizes["left"] - sizes["right"]) >= 1 - _TINY:
        own = {foot: _order_for({foot: way.feet[foot]}, sizes[foot], last, gauge, growth)[0] for foot in FEET}
        steps.append(Reason("trade-feet-apart", {"left": own["left"], "right": own["right"]}))
        also = tuple(dict.fromkeys(one for one in own.values() if one is not None and one != order))
    return TradeAnswer(order, tuple(steps), also, referral)


def _order_for(
    feet: Mapping[Foot, _Marks], size: float, last: Last, gauge: SizeScale, growth: float
) -> tuple[Label | None, list[Reason]]:
    """Return the label for these feet at a size of the gauge, with the steps to it."""
    steps: list[Reason] = []
    position = _letters(feet, _length(gauge, size))
    if position is None:
        steps.append(Reason("trade-no-breadth"))
        position = 0.0
    scale = size_scale(last.label_scale)
    average = gauge_breadth.AVERAGE_LETTER[scale.population]
    letter = _whole_letter(position, growth, average, size, steps)
    wanted = _target(feet, size, last, gauge, steps)
    aim = _length(scale, wanted)
    taken = _offered(aim, last)
    if taken is None:
        nearest = scale.nearest(Fraction(wanted))
        steps.append(Reason("trade-offer-ends", {"maker": last.maker, "wanted": scale.format(nearest)}))
        return None, steps
    moved = (nominal_length(taken, last.label_scale) - aim) / ONE_SIZE
    steps.append(Reason("trade-label-size", {"size": scale.format(taken), "scale": scale.title}))
    if moved > defaults()["trade_rule"]["offered_within_sizes"] + _TINY:
        steps.append(Reason("trade-moved-up", {"size": scale.format(taken), "sizes": moved}))
        position = round(position - _LETTERS_PER_SIZE * moved, _DIGITS)
        letter = _whole_letter(position, growth, average, None, steps)
    return _with_letter(taken, letter, position, last, gauge, steps), steps


def _letters(feet: Mapping[Foot, _Marks], length: float) -> float | None:
    """Return letters above the average at a foot length [mm], the largest over the feet."""
    breadths = [marks.breadth for marks in feet.values() if marks.breadth is not None]
    if not breadths:
        return None
    average = gauge_breadth.AT_LENGTH_ZERO + gauge_breadth.SLOPE * length
    return round((max(breadths) - average) / _BREADTH_PER_LETTER, _DIGITS)


def _whole_letter(
    position: float, growth: float, average: int, size: float | None, steps: list[Reason]
) -> int:
    """Return the whole letter above the average to order, and say which two it lies between."""
    low = floor(position)
    part = position - low
    because = "position"
    taken = low
    if part >= 0.75 - _TINY:
        taken = low + 1
    elif part >= 0.25 - _TINY and part + growth / _BREADTH_PER_LETTER >= 0.75 - _TINY:
        taken, because = low + 1, "swelling"
    facts = {
        "read": format_letter(position + average),
        # To the quarter a position may look like one that the rule takes up when it falls short of it.
        "short": abs(part - 0.75) < 0.125 and taken == low,
        "lower": format_letter(low + average, quarters=False),
        "upper": format_letter(low + 1 + average, quarters=False),
        "taken": format_letter(taken + average, quarters=False),
        "because": because,
        "between": 0.25 + _TINY < part <= 0.75 + _TINY,
        "at": _text(size),
    }
    steps.append(Reason("trade-letter", facts))
    return taken


def _target(
    feet: Mapping[Foot, _Marks], size: float, last: Last, gauge: SizeScale, steps: list[Reason]
) -> float:
    """Return the size wanted on the label's own scale, before the offer."""
    scale = size_scale(last.label_scale)
    if not last.advice:
        steps.append(Reason("trade-no-advice", {"maker": last.maker, "size": _text(size)}))
        return _size(scale, _length(gauge, size))
    advice = last.advice[0]
    lengths = [marks.length for marks in feet.values() if marks.length is not None]
    from_length = max(lengths) if lengths and advice.basis != "ball" else _length(gauge, size)
    if advice.basis == "label":
        assert advice.scale is not None
        assert advice.order is not None
        named = size_scale(advice.scale)
        number = _size(named, from_length)
        facts = {"maker": last.maker, "order": advice.order, "scale": named.title, "read": _text(number)}
        steps.append(Reason("trade-advice-label", facts))
        return number + float(advice.order)
    read = _size(gauge, from_length)
    order = float(advice.order) if advice.order is not None else _from_table(advice, read, gauge, last)
    facts = {
        "maker": last.maker,
        "order": Fraction(round(order * 8), 8),
        "from": advice.basis,
        "read": _text(read),
        "target": _text(read + order),
    }
    steps.append(Reason("trade-advice", facts))
    return _size(scale, _length(gauge, read + order))


def _from_table(advice: Advice, read: float, gauge: SizeScale, last: Last) -> float:
    """Return the order in gauge sizes: between rows along a straight line, constant beyond the ends."""
    rows = sorted(
        (float(row), _size(gauge, nominal_length(label, last.label_scale)) - float(row))
        for row, label in advice.table
    )
    if read <= rows[0][0]:
        return rows[0][1]
    for (x0, y0), (x1, y1) in pairwise(rows):
        if read <= x1:
            return y0 + (y1 - y0) * (read - x0) / (x1 - x0)
    return rows[-1][1]


def _offered(aim: float, last: Last) -> Fraction | None:
    """Return the offered size within an eighth of a size of a length [mm], else the next larger."""
    within = defaults()["trade_rule"]["offered_within_sizes"] * ONE_SIZE + _TINY
    above = [(nominal_length(size, last.label_scale) - aim, size) for size in last.by_size]
    close = [(abs(off), size) for off, size in above if abs(off) <= within]
    if close:
        return min(close)[1]
    return min(((off, size) for off, size in above if off > 0), default=(0.0, None))[1]


def _with_letter(
    size: Fraction, letter: int, position: float, last: Last, gauge: SizeScale, steps: list[Reason]
) -> Label | None:
    """Return the label of a size with the letter wanted, else the next wider, else None."""
    basis = basis_of(last.label_scale, gauge.population or "unstated")
    here = last.by_size[size]
    if any(label.width is None for label in here):
        off = position - letters_of(here[0], last, basis)
        if abs(off) > 0.5:
            steps.append(Reason("trade-one-width", {"off": off}))
        return here[0]
    wanted = format_letter(letter + basis.average_letter, quarters=False)
    by_letters = sorted(((letters_of(label, last, basis), label) for label in here), key=lambda one: one[0])
    for letters, label in by_letters:
        # Widths of other scales rarely fall on a whole letter: half a letter short still counts as it.
        if letters >= letter - (_TINY if last.width_scale == "us" else 0.5):
            if letters >= letter + 0.5:
                steps.append(Reason("trade-wider", {"wanted": wanted, "taken": label.width}))
            return label
    named = size_scale(last.label_scale).format(size)
    steps.append(Reason("trade-too-narrow", {"wanted": wanted, "size": named}))
    return None


@lru_cache(maxsize=64)
def _line(scale: str) -> tuple[float, float]:
    """Return shift and step of an adults' scale, ``length = (size + shift) * step`` [mm]."""
    line = size_scale(scale).line
    assert isinstance(line, Straight)
    return float(line.shift), float(line.step)


def _size(scale: SizeScale, foot_length: float) -> float:
    """Return the size of a foot length [mm], free of the last digits, so that marks stay marks."""
    shift, step = _line(scale.name)
    return round(foot_length / step - shift, _DIGITS)


def _length(scale: SizeScale, size: float) -> float:
    """Return the foot length of a size [mm]."""
    shift, step = _line(scale.name)
    return (size + shift) * step


def _text(size: float | None) -> str | None:
    """Write a size to the nearest eighth, as a fitter would say it."""
    return None if size is None else format_fraction(Fraction(round(size * 8), 8))
