"""A few wearers and lasts with words simulated by the model, written by hand from its formulas."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from attrs import frozen

from heelball.fit.wearer import PLACES, Wearer
from heelball.foot.vector import FEET
from heelball.last.values import Advice, Label, Last, MeasuredPair
from heelball.learn.feet import feet_given
from heelball.learn.problem import boot_at
from heelball.learn.try_on import TryOn
from tests.fittings import gauge

LABELS = tuple(Label(Fraction(size, 2), width) for size in range(14, 28) for width in ("B", "D", "EE"))

#: One size, and the sds of s and q by place, as the model has them.
ONE_SIZE = np.array([6.27, 8.467, 3.175, 6.35, 1.59])
SIZES_SD, PLACE_SD = 0.6, np.array([2.5, 2.5, 2.5, 5.0, 2.5])
LO = np.array([-8.0, 8.0, -5.0, -18.0, -14.0])
HI = np.array([7.0, 23.0, 7.0, 18.0, 14.0])
TASTE_SD = np.array([2.0, 2.0, 2.0, 6.0, 3.0])
SCATTER_SD = np.array([3.0, 3.0, 3.0, 7.0, 4.0])


@frozen(eq=False)
class World:
    """What there is to learn from, and the true runs, shape (L, 5)."""

    lasts: list[Last]
    wearers: dict[str, Wearer]
    try_ons: list[TryOn]
    runs: np.ndarray


def world(
    generator: np.random.Generator,
    *,
    lasts: int = 12,
    makers: int = 3,
    wearers: int = 24,
    each: int = 4,
    measured: bool = True,
    lapse: float = 0.02,
    scatter_sd: np.ndarray = SCATTER_SD,
) -> World:
    """Simulate words: half the lasts with advice, a quarter with a measured pair."""
    half = np.sqrt(0.5)
    maker_s = generator.normal(0, SIZES_SD * half, makers)
    maker_q = generator.normal(0, PLACE_SD * half, (makers, 5))
    offsets = generator.normal(0, [3.0, 1.0, 1.0])
    made, runs = [], np.zeros((lasts, 5))
    for i in range(lasts):
        size = maker_s[i % makers] + generator.normal(0, SIZES_SD * half)
        run = size * ONE_SIZE + maker_q[i % makers] + generator.normal(0, PLACE_SD * half)
        advice: tuple[Advice, ...] = ()
        pairs: tuple[MeasuredPair, ...] = ()
        if i % 2:
            advice = (Advice("ball", order=Fraction(-round(2 * size), 2)),)
            run[:3] -= offsets
        if i % 4 == 2:
            built = boot_at(Last("", "", "us-men", LABELS), Label(Fraction(10), "D"))
            pairs = (
                MeasuredPair(Fraction(10), "D", flex_line=float(built[0] + run[0] + generator.normal(0, 2))),
            )
        made.append(Last(f"L{i:02d}", f"maker {i % makers}", "us-men", LABELS, advice=advice, measured=pairs))
        runs[i] = run
    boots = np.array([boot_at(made[0], label) for label in LABELS])
    people, try_ons = {}, []
    for w in range(wearers):
        code = f"W{w:03d}"
        size = str(int(generator.integers(8, 12)))
        readings = tuple(
            gauge(foot, what, "D" if what == "breadth" else size, line=size if what == "breadth" else None)
            for foot in FEET
            for what in ("length", "ball", "breadth")
        )
        people[code] = Wearer(code, "men", readings)
        known = feet_given(people[code])
        feet = known.mean + known.by_offsets @ offsets
        feet = feet + np.linalg.cholesky(known.cov) @ generator.standard_normal(10)
        fit = feet + np.tile(generator.normal(0, TASTE_SD), 2)
        if not measured:
            people[code] = Wearer(code, "men")
        for at in generator.choice(lasts, each, replace=False):
            near = np.abs(boots[:, 1] - 15 - feet[1]) + np.abs(boots[:, 2] - feet[2])
            at_label = int(np.argsort(near)[generator.integers(2)])
            margin = (
                np.tile(boots[at_label] + runs[at], 2) - fit + generator.normal(0, np.tile(scatter_sd, 2))
            )
            word = np.where(
                margin < np.tile(LO, 2), "little", np.where(margin < np.tile(HI, 2), "right", "much")
            )
            slip = generator.random(10) < lapse
            word = np.where(slip, generator.choice(["little", "right", "much"], 10), word)
            slots = [(foot, place) for foot in FEET for place in PLACES]
            verdicts = dict(zip(slots, word.tolist(), strict=True))
            try_ons.append(TryOn(code, made[at].code, LABELS[at_label], verdicts, sock=2.0))
    return World(made, people, try_ons, runs)
