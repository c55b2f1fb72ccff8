"""Words of invented wearers about invented lasts, as arrays: as many as are asked for, in seconds."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from attrs import evolve, frozen
from numpy.typing import NDArray

from heelball.fit.wearer import PLACES, VERDICTS, Wearer
from heelball.foot.reading import Reading
from heelball.foot.vector import FEET
from heelball.last.run import one_size, run_variances
from heelball.last.values import Advice, Label, Last
from heelball.learn.feet import feet_given, offsets_given
from heelball.learn.habits import STIFFNESSES, Habits
from heelball.learn.problem import Problem, Verdicts, boot_at
from heelball.learn.run_prior import run_prior
from heelball.learn.try_on import TryOn
from heelball.scales.letters import format_letter
from heelball.units import format_fraction

#: Every size of men's boots in three letters.
LABELS = tuple(Label(Fraction(halves, 2), letter) for halves in range(12, 30) for letter in ("B", "D", "EE"))

#: Makers have so many lasts each.
_EACH = 5

#: Try-ons simulated at one time.
_AT_ONCE = 20_000


@frozen(eq=False)
class ToldProblem:
    """What there is to learn from, the true runs (L, 5) [mm], the lasts, and the label of each try-on."""

    problem: Problem
    runs: NDArray[np.float64]
    lasts: tuple[Last, ...]
    labels: NDArray[np.intp]

    def values(self) -> tuple[dict[str, Wearer], list[TryOn]]:
        """Return the same wearers, read to half sizes and whole letters, and the same try-ons as values."""
        problem, verdicts = self.problem, self.problem.verdicts
        zero, step = 22 * 25.4 / 3, 25.4 / 3
        wearers = {}
        for code, mean in zip(problem.wearers, problem.foot_mean, strict=True):
            readings = []
            for i, foot in enumerate(FEET):
                ball, length, breadth = mean[5 * i : 5 * i + 3]
                size = format_fraction(Fraction(round(2 * (ball / 0.741 - zero) / step), 2))
                longer = format_fraction(Fraction(round(2 * (length - zero) / step), 2))
                letter = round((breadth - 69.85 - 3.175 * (ball / 0.741 / step - 22)) / 4.7625)
                width = format_letter(Fraction(min(max(letter, -4), 5)), quarters=False)
                readings += [
                    Reading(foot, "length", "gauge-men", longer),
                    Reading(foot, "ball", "gauge-men", size),
                    Reading(foot, "breadth", "gauge-men", width, line=size),
                ]
            wearers[code] = Wearer(code, "men", tuple(readings))
        slots = [(foot, place) for foot in FEET for place in PLACES]
        words = verdicts.word.reshape(-1, 10)
        try_ons = [
            TryOn(
                problem.wearers[verdicts.wearer[10 * i]],
                problem.lasts[verdicts.last[10 * i]],
                LABELS[self.labels[i]],
                dict(zip(slots, (VERDICTS[word] for word in said), strict=True)),
                2.0,
            )
            for i, said in enumerate(words)
        ]
        return wearers, try_ons


def told_problem(
    generator: np.random.Generator, *, lasts: int, wearers: int, try_ons: int, lapse: float = 0.02
) -> ToldProblem:
    """Simulate words by the model: half of the lasts with advice, every wearer read on the gauge."""
    makers = max(1, lasts // _EACH)
    half = np.sqrt(run_variances(grades=False)[:6] / 2)
    of_maker = generator.normal(0, 1, (makers, 6)) * half
    own = generator.normal(0, 1, (lasts, 6)) * half
    offsets = generator.normal(0, np.sqrt(np.diagonal(offsets_given(()).cov)))
    maker = np.arange(lasts) % makers
    both = of_maker[maker] + own
    runs = both[:, :1] * one_size() + both[:, 1:]
    made = []
    for i in range(lasts):
        last = Last(f"L{i:05d}", f"M{maker[i]:05d}", "us-men", LABELS)
        if i % 2:
            order = Fraction(-round(2 * float(both[i, 0])), 2)
            last = evolve(last, advice=(Advice("ball", order=order),))
            runs[i, :3] -= offsets
        made.append(last)
    readings = tuple(
        Reading(foot, what, "gauge-men", value, line="10" if what == "breadth" else None)  # type: ignore[arg-type]
        for foot in FEET
        for what, value in (("length", "10"), ("ball", "10"), ("breadth", "D"))
    )
    read, unread = feet_given(Wearer("W", "men", readings)), feet_given(Wearer("W", "men"))
    spread = np.linalg.cholesky(unread.cov - read.cov + 1e-6 * np.eye(10))
    mean = unread.mean + generator.normal(size=(wearers, 10)) @ spread.T - read.by_offsets @ offsets
    feet = (
        mean
        + read.by_offsets @ offsets
        + generator.normal(size=(wearers, 10)) @ np.linalg.cholesky(read.cov).T
    )
    habits = Habits.default()
    fits = feet + np.tile(generator.normal(0, 1, (wearers, 5)) * habits.taste_sd, 2)
    who, which = generator.integers(wearers, size=try_ons), generator.integers(lasts, size=try_ons)
    boots = np.array([boot_at(made[0], label) for label in LABELS])
    lo, hi = (np.tile(one, 2) for one in habits.bands("stiff"))
    labels = np.empty(try_ons, dtype=np.intp)
    boot, word = np.empty((try_ons, 10)), np.empty((try_ons, 10), dtype=np.intp)
    for start in range(0, try_ons, _AT_ONCE):
        some = slice(start, start + _AT_ONCE)
        foot = feet[who[some]][:, None, :]
        seen = generator.normal(0, 4, (foot.shape[0], 1, 2))
        near = np.abs(boots[:, 1] - 15 - foot[:, :, 1] + seen[:, :, 0]) + np.abs(
            boots[:, 2] - foot[:, :, 2] + seen[:, :, 1]
        )
        labels[some] = near.argmin(axis=1)
        boot[some] = np.tile(boots[labels[some]], 2)
        margin = boot[some] + np.tile(runs[which[some]], 2) - fits[who[some]]
        margin += generator.normal(size=margin.shape) * np.tile(habits.scatter_sd, 2)
        said = np.where(margin < lo, 0, np.where(margin < hi, 1, 2))
        slip = generator.random(said.shape) < lapse
        word[some] = np.where(slip, generator.integers(3, size=said.shape), said)
    count = 10 * try_ons
    verdicts = Verdicts(
        wearer=np.repeat(who, 10),
        last=np.repeat(which, 10),
        slot=np.tile(np.arange(10), try_ons),
        word=word.ravel(),
        stiffness=np.full(count, STIFFNESSES.index("stiff")),
        boot=boot.ravel(),
        try_on=np.repeat(np.arange(try_ons), 10),
    )
    problem = Problem(
        lasts=tuple(last.code for last in made),
        makers=tuple(f"M{i:05d}" for i in range(makers)),
        wearers=tuple(f"W{i:06d}" for i in range(wearers)),
        maker_of=maker,
        prior=run_prior(made, offsets_given(())),
        foot_mean=mean,
        foot_by_offsets=np.tile(read.by_offsets, (wearers, 1, 1)),
        foot_cov=np.tile(read.cov, (wearers, 1, 1)),
        measured=np.ones(wearers, dtype=bool),
        verdicts=verdicts,
    )
    return ToldProblem(problem, runs, tuple(made), labels)
