"""Small shops of the learning tests: a few lasts of a few makers, and who tried which pair."""

from __future__ import annotations

from fractions import Fraction

import numpy as np

from benchmarks.invented import wearer
from evaluation.try_ons import label_near
from heelball.fit.wearer import PLACES, Place, Verdict, Wearer
from heelball.foot.vector import FEET, Foot
from heelball.last.values import Advice, Label, Last, Stiffness
from heelball.learn.problem import Problem, problem_of
from heelball.learn.try_on import TryOn

#: Every size of men's boots in five letters.
LABELS = tuple(
    Label(Fraction(halves, 2), letter) for halves in range(12, 30) for letter in ("B", "C", "D", "E", "EE")
)
STIFFNESSES: tuple[Stiffness, ...] = ("stiff", "medium", "soft")
#: What stands for a word until one is drawn.
ALL_RIGHT: dict[tuple[Foot, Place], Verdict] = {(foot, place): "right" for foot in FEET for place in PLACES}


def eight_lasts() -> tuple[Last, ...]:
    """Return eight lasts of three makers: with advice and without, of every stiffness and toe."""
    return tuple(
        Last(
            f"L{i}",
            f"maker {i % 3}",
            "us-men",
            LABELS,
            stiffness=STIFFNESSES[i % 3],
            toe=("round", "pointed")[i % 4 == 3],
            advice=(Advice("ball", Fraction(i - 3, 2)),) if i % 2 else (),
        )
        for i in range(8)
    )


def small_problem(generator: np.random.Generator) -> Problem:
    """Return 8 lasts × 20 wearers × 4 pairs, words still to be drawn; four wearers are unmeasured."""
    lasts = eight_lasts()
    wearers = {f"W{i:02d}": wearer(f"W{i:02d}", generator) for i in range(20)}
    for code in list(wearers)[::5]:
        wearers[code] = Wearer(code, "men")
    tried = [
        TryOn(code, lasts[at].code, label_near(one, lasts[at], generator), ALL_RIGHT, sock=2.0)
        for code, one in wearers.items()
        for at in generator.choice(len(lasts), 4, replace=False)
    ]
    return problem_of(lasts, wearers, tried)
