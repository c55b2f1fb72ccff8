"""Slips of the pen: readings that another reading of the same mark would explain far better.

A slip is asked about, never repaired in silence (MODEL 2).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import permutations
from typing import Literal

import numpy as np
from attrs import evolve, frozen

from heelball.errors import UnreadableText
from heelball.foot.evidence import log_evidences
from heelball.foot.marks import is_letter
from heelball.foot.reading import GaugeMark, Reading
from heelball.foot.vector import Population
from heelball.package_data import defaults
from heelball.scales.catalogue import size_scale
from heelball.scales.letters import format_letter, parse_letter
from heelball.scales.size_scale import SizeScale
from heelball.units import MILLIMETRES, parse_number

SlipKind = Literal[
    "other-scale", "inch-for-cm", "length-for-ball", "left-for-right", "seated", "digits", "one-step"
]


@frozen
class Slip:
    """A likely slip: which readings, what kind, and the odds for it against none.

    `meant` holds the readings as they would then stand.
    """

    readings: tuple[int, ...]
    kind: SlipKind
    odds: float
    meant: tuple[Reading, ...]


@frozen
class _Hypothesis:
    kind: SlipKind
    prior_odds: float
    changed: dict[int, Reading]


#: Scales that are taken for one another, because the other population's is beside it.
_OTHER_SCALE = {
    "gauge-men": "gauge-women",
    "gauge-women": "gauge-men",
    "us-men": "us-women",
    "us-women": "us-men",
    "us-women-common": "us-men",
    "us-men-old": "us-women-old",
    "us-women-old": "us-men-old",
    "jis-men": "jis-women",
    "jis-women": "jis-men",
}


def likely_slips(
    readings: Sequence[Reading], population: Population, gauge_marks: Sequence[GaugeMark] = ()
) -> tuple[Slip, ...]:
    """Return the slips whose odds are above 1, the likeliest first.

    Parameters
    ----------
    readings
        All readings of one wearer.
    population
        The wearer's; both are weighed where it is unstated.
    gauge_marks
        The fitter's own calibration of the gauge.
    """
    hypotheses = list(_hypotheses(readings))
    if not hypotheses:
        return ()
    cases = [tuple(readings)]
    cases += [tuple(h.changed.get(i, r) for i, r in enumerate(readings)) for h in hypotheses]
    evidence = log_evidences(cases, population, gauge_marks)
    found = []
    for hypothesis, gain in zip(hypotheses, evidence[1:] - evidence[0], strict=True):
        odds = hypothesis.prior_odds * float(np.exp(min(gain, 700.0)))
        if odds > defaults()["slips"]["named_above"]:
            which = tuple(sorted(hypothesis.changed))
            found.append(Slip(which, hypothesis.kind, odds, tuple(hypothesis.changed[i] for i in which)))
    return tuple(sorted(found, key=lambda slip: (-slip.odds, slip.readings, slip.kind)))


def _hypotheses(readings: Sequence[Reading]) -> Iterator[_Hypothesis]:
    yield from _wrong_circumstances(readings)
    yield from _wrong_marks(readings)
    yield from _exchanged(readings)


def _weighed(readings: Sequence[Reading]) -> list[int]:
    """Return which readings bear on the state: all but insteps."""
    return [i for i, reading in enumerate(readings) if reading.what != "instep"]


def _written(readings: Sequence[Reading]) -> list[int]:
    """Return which readings were written down one by one, as a pen may slip; those of a sheet were not."""
    return [i for i in _weighed(readings) if not readings[i].shared_errors]


def _drawn(readings: Sequence[Reading]) -> list[tuple[int, ...]]:
    """Return the readings of each sheet together: those that share an error were drawn as one."""
    of_error: dict[str, list[int]] = {}
    for i in _weighed(readings):
        names = [name for name, _ in readings[i].shared_errors]
        if names:
            sheet = next((of_error[name] for name in names if name in of_error), [])
            sheet.append(i)
            of_error |= dict.fromkeys(names, sheet)
    return list({id(sheet): tuple(sheet) for sheet in of_error.values()}.values())


def _wrong_circumstances(readings: Sequence[Reading]) -> Iterator[_Hypothesis]:
    """Yield the other population's scale and a seated foot: of each reading or sheet, and of all together."""
    odds = defaults()["slips"]["odds"]
    changes: tuple[tuple[SlipKind, Callable[[Reading], Reading | None]], ...] = (
        ("other-scale", _on_other_scale),
        ("seated", _seated),
    )
    told_at_once = [*((i,) for i in _written(readings)), *_drawn(readings)]
    for kind, change in changes:
        changed = [
            {i: other for i in which if (other := change(readings[i])) is not None} for which in told_at_once
        ]
        changed = [one for one in changed if one]
        for one in changed:
            yield _Hypothesis(kind, odds, one)
        if len(changed) > 1:
            yield _Hypothesis(kind, odds, {i: other for one in changed for i, other in one.items()})


def _wrong_marks(readings: Sequence[Reading]) -> Iterator[_Hypothesis]:
    """Yield single marks written wrong: inch for cm, digits exchanged, one step out."""
    odds, step_odds = defaults()["slips"]["odds"], defaults()["slips"]["step_odds"]
    for i in _written(readings):
        reading = readings[i]
        if reading.scale in ("cm", "in"):
            swapped = evolve(reading, scale="in" if reading.scale == "cm" else "cm")
            yield _Hypothesis("inch-for-cm", odds, {i: swapped})
        for value in _digits_exchanged(reading.value):
            if _reads(other := evolve(reading, value=value)):
                yield _Hypothesis("digits", odds, {i: other})
        for value in _one_step_out(reading):
            if _reads(other := evolve(reading, value=value)):
                yield _Hypothesis("one-step", step_odds, {i: other})


def _exchanged(readings: Sequence[Reading]) -> Iterator[_Hypothesis]:
    """Yield pairs exchanged: length and ball of a foot, left and right of a measure or of a whole sheet.

    Only readings of one sitting are exchanged by a slip of the pen; and a wearer of many sittings
    has too many other pairs to weigh.
    """
    odds = defaults()["slips"]["odds"]
    for left, right in permutations(_drawn(readings), 2):
        a, b = readings[left[0]], readings[right[0]]
        if a.sitting == b.sitting and (a.foot, b.foot) == ("left", "right"):
            # What a drawing errs by goes with it.
            swapped = {i: evolve(readings[i], foot="right") for i in left}
            swapped |= {i: evolve(readings[i], foot="left") for i in right}
            yield _Hypothesis("left-for-right", odds, swapped)
    for i, j in permutations(_written(readings), 2):
        a, b = readings[i], readings[j]
        if a.sitting != b.sitting:
            continue
        across = (a.foot, b.foot) == ("left", "right") and a.what == b.what
        along = a.foot == b.foot and (a.what, b.what) == ("length", "ball")
        if (across or along) and a != evolve(b, foot=a.foot):
            kind: SlipKind = "left-for-right" if across else "length-for-ball"
            exchanged = {i: _with_mark(a, b), j: _with_mark(b, a)}
            if all(map(_reads, exchanged.values())):
                yield _Hypothesis(kind, odds, exchanged)


def _with_mark(reading: Reading, other: Reading) -> Reading:
    return evolve(reading, scale=other.scale, value=other.value, line=other.line)


def _on_other_scale(reading: Reading) -> Reading | None:
    scale = _OTHER_SCALE.get(reading.scale)
    changed = evolve(reading, scale=scale) if scale else None
    return changed if changed is not None and _reads(changed) else None


def _seated(reading: Reading) -> Reading | None:
    return evolve(reading, load="seated") if reading.load == "standing" else None


def _digits_exchanged(text: str) -> Iterator[str]:
    for i in range(len(text) - 1):
        a, b = text[i], text[i + 1]
        if a.isdigit() and b.isdigit() and a != b:
            yield text[:i] + b + a + text[i + 2 :]


def _one_step_out(reading: Reading) -> Iterator[str]:
    if reading.scale in MILLIMETRES:
        return
    if is_letter(reading):
        position, _ = parse_letter(reading.value)
        yield from (format_letter(position - 1), format_letter(position + 1))
        return
    scale = size_scale(reading.scale)
    size = scale.parse(reading.value, quarters=True)
    whole = _whole_size(scale)
    yield from (scale.format(size - whole), scale.format(size + whole))


def _whole_size(scale: SizeScale) -> int:
    return 10 if scale.numbering == "millimetres" else 1


def _reads(reading: Reading) -> bool:
    """Return whether the mark can stand on its scale at all."""
    try:
        if reading.scale in MILLIMETRES:
            return parse_number(reading.value) > 0
        if is_letter(reading):
            parse_letter(reading.value)
            if reading.line is not None:
                size_scale(reading.scale).parse(reading.line, quarters=True)
        else:
            size_scale(reading.scale).parse(reading.value, quarters=True)
    except UnreadableText:
        return False
    return True
