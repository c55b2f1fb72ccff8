"""Wearers, lasts and simulated gauge readings, as the tests of the core need them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

import numpy as np

from heelball.fit.answers import Choice, PlaceVerdict, StateVerdict, TradeAnswer
from heelball.fit.choice import answer
from heelball.fit.trade_rule import raw_marks, trade_rule
from heelball.fit.wearer import DayState, Place, Wearer
from heelball.foot.prior import feet_prior
from heelball.foot.reading import Reading
from heelball.foot.vector import FEET, Foot, Population
from heelball.last.values import Advice, Label, Last
from heelball.scales.letters import format_letter
from heelball.units import format_fraction

#: Foot length of gauge size 0 and a whole size [mm]: 22 and 1 barleycorns on the men's gauge; the
#: women's gauge is men + 1. Written here by hand, so that the tests do not ask the package.
BARLEYCORN = 25.4 / 3
ZERO_AT = {"men": 22 * BARLEYCORN, "women": 21 * BARLEYCORN}
RATIO = {"men": 0.741, "women": 0.739}
GAUGE = {"men": "gauge-men", "women": "gauge-women"}
AVERAGE = {"men": 0, "women": -2}


def half_size(foot_length: float, sex: str) -> str:
    """Return the half size nearest a foot length [mm] on the gauge, as a fitter writes it."""
    return written(Fraction(round(2 * (foot_length - ZERO_AT[sex]) / BARLEYCORN), 2))


def written(size: Fraction) -> str:
    return format_fraction(size)


def whole_letter(breadth: float, line: str, sex: str) -> str:
    """Return the whole letter nearest a breadth [mm] at a size line (rule R)."""
    length = ZERO_AT[sex] + BARLEYCORN * float(sum(Fraction(part) for part in line.split()))
    men_size = length / BARLEYCORN - 22
    above = (breadth - 69.85 - 3.175 * men_size) / 4.7625
    return format_letter(Fraction(round(above) + AVERAGE[sex]), quarters=False)


def gauge(foot: Foot, what: str, value: str, *, sex: str = "men", line: str | None = None, **more) -> Reading:
    return Reading(foot, what, GAUGE[sex], value, line=line, **more)  # type: ignore[arg-type]


def mm(foot: Foot, what: str, value: float, method: str = "ruler", **more) -> Reading:
    return Reading(foot, what, "mm", str(value), method=method, **more)  # type: ignore[arg-type]


def gauge_readings(
    feet: np.ndarray, offsets: np.ndarray, technique: np.ndarray, noise: np.ndarray, sex: str
) -> tuple[Reading, ...]:
    """Return length, ball and breadth of both feet as a fitter would write them down.

    Parameters
    ----------
    feet
        True length, heel-to-ball, breadth, girth and heel of both feet [mm], shape (2, 5).
    offsets
        The gauge's own, for length, ball, breadth [mm], shape (3,).
    technique
        The fitter's, likewise.
    noise
        Of each reading [mm], shape (2, 3).
    """
    found = []
    for i, foot in enumerate(FEET):
        length, ball, breadth = feet[i, :3] + offsets + technique + noise[i]
        ball_mark = half_size(ball / RATIO[sex], sex)
        found += [
            gauge(foot, "length", half_size(length, sex), sex=sex),
            gauge(foot, "ball", ball_mark, sex=sex),
            gauge(foot, "breadth", whole_letter(breadth, ball_mark, sex), sex=sex, line=ball_mark),
        ]
    return tuple(found)


def wearer(
    *rows: Reading, population: Population = "men", day: Sequence[DayState] = (), code: str = "W1", **more
) -> Wearer:
    return Wearer(code, population, tuple(rows), day=tuple(day), **more)


def alike(
    length: str, ball: str, letter: str, *, line: str | None = None, sex: str = "men"
) -> tuple[Reading, ...]:
    """Return the same gauge readings of both feet."""
    return tuple(
        gauge(foot, what, value, sex=sex, line=at)
        for foot in FEET
        for what, value, at in (("length", length, None), ("ball", ball, None), ("breadth", letter, line))
    )


def halves(low: float, high: float) -> list[Fraction]:
    return [Fraction(s, 2) for s in range(round(2 * low), round(2 * high) + 1)]


def offer(sizes: Iterable[Fraction | int], widths: str | None = "B C D E EE") -> tuple[Label, ...]:
    letters: list[str | None] = [None] if widths is None else list(widths.split())
    return tuple(Label(Fraction(size), width) for size in sizes for width in letters)


def last(
    low: float = 4,
    high: float = 17,
    order: float | None = None,
    *,
    basis: str = "ball",
    widths: str | None = "A B C D E EE EEE",
    scale: str = "us-men",
    code: str = "N7",
    labels: tuple[Label, ...] | None = None,
    **more,
) -> Last:
    advice = more.pop("advice", ())
    if order is not None:
        advice = (Advice(basis, Fraction(order)),)  # type: ignore[arg-type]
    return Last(
        code,
        "Northmoor",
        scale,
        offer(halves(low, high), widths) if labels is None else labels,
        advice=advice,
        **more,
    )


def verdict(said: Choice | StateVerdict, foot: Foot, place: Place) -> PlaceVerdict:
    """Return the verdict on a place that is judged."""
    found = said.by_place[foot][place]
    assert found is not None
    return found


def chosen(who: Wearer, what: Last) -> Choice:
    return answer(who, [what]).choices[0]


def random_wearers(generator: np.random.Generator, count: int, sex: str = "men") -> list[Wearer]:
    """Return wearers drawn from MODEL 1's prior and read with MODEL 2's errors."""
    found = []
    for i, draw in enumerate(feet_prior(sex).sample(generator, count)):
        feet = draw[:10].reshape(2, 5)
        ball, length, breadth = draw[10:]
        technique = generator.normal(0, (0.7, 1.5, 0.7))
        noise = generator.normal(0, 1.5, (2, 3))
        rows = gauge_readings(feet, np.array([length, ball, breadth]), technique, noise, sex)
        found.append(Wearer(f"S{i}", sex, rows))  # type: ignore[arg-type]
    return found


def ruled(who: Wearer, what: Last) -> TradeAnswer:
    """Return the trade rule's answer."""
    return trade_rule(raw_marks(who), what)
