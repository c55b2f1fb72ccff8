"""Simulated shops: one gauge, makers and their lasts, and wearers who say how pairs fit (MODEL 9)."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Final

import numpy as np
from attrs import evolve, frozen

from evaluation.boots import Run, advised, any_run, full_offer, true_boot, true_margins
from evaluation.people import Person, person, read_on_gauge
from heelball.fit.day import ordinary_state
from heelball.fit.verdict import thresholds
from heelball.fit.wearer import PLACES, VERDICTS, Place, Verdict, Wearer
from heelball.foot.prior import Sex, offset_prior
from heelball.foot.vector import FEET, Foot
from heelball.gaussian.normal import Array
from heelball.last.values import Label, Last
from heelball.learn.feet import feet_given
from heelball.learn.habits import Habits
from heelball.learn.try_on import TryOn
from heelball.scales import gauge_breadth
from heelball.scales.catalogue import size_scale

#: Lasts of each maker, and of ten lasts those whose maker advises.
LASTS_A_MAKER: Final = 5
_ADVISED_OF_TEN: Final = 5

#: How far off the readings the pairs are that people try on (sd): sizes, letters.
_SIZES_OFF, _LETTERS_OFF = 0.6, 0.8


@frozen(eq=False)
class Shop:
    """One shop as nature made it, with what its fitters wrote down.

    Parameters
    ----------
    sex
        Of its wearers and its boots.
    offsets
        Of its gauge, c [mm], shape (3,).
    lasts, runs
        Its lasts, and how each truly runs.
    people, wearers
        Who tries boots on, and what was read of them; by code.
    try_ons
        What they said.
    """

    sex: Sex
    offsets: Array
    lasts: tuple[Last, ...]
    runs: tuple[Run, ...]
    people: dict[str, Person]
    wearers: dict[str, Wearer]
    try_ons: tuple[TryOn, ...]

    def true_runs(self) -> Array:
        """Return what learning should find of every last, by place [mm], shape (L, 5)."""
        found = np.array([run.everywhere for run in self.runs])
        found[[bool(last.advice) for last in self.lasts], : len(self.offsets)] -= self.offsets
        return found


def shop(
    feet: Array,
    sex: Sex,
    generator: np.random.Generator,
    *,
    lasts: int,
    pairs_a_last: int,
    pairs_a_wearer: int,
    offsets: Array | None = None,
    together: Array | None = None,
) -> Shop:
    """Return a shop whose wearers are drawn from surveyed feet, each pair tried once.

    Parameters
    ----------
    feet
        Surveyed right feet of that sex [mm], shape (people, 5).
    lasts, pairs_a_last, pairs_a_wearer
        How many there are; the wearers are as many as that takes.
    offsets
        The gauge's c [mm], shape (3,); None: drawn.
    together
        How all makers' lasts run together [mm], shape (5,); None: not at all.
    """
    c = offset_prior().sample(generator, 1)[0] if offsets is None else offsets
    known = [
        _last(sex, maker, generator, np.zeros(len(PLACES)) if together is None else together)
        for maker in [any_run(generator) for _ in range(-(-lasts // LASTS_A_MAKER))]
        for _ in range(LASTS_A_MAKER)
    ][:lasts]
    boots = tuple(
        evolve(last, code=f"L{i:02d}", maker=f"maker {i // LASTS_A_MAKER}")
        for i, (last, _) in enumerate(known)
    )
    runs = tuple(run for _, run in known)
    count = lasts * pairs_a_last // pairs_a_wearer
    chosen = feet[generator.choice(len(feet), count, replace=count > len(feet))]
    people, wearers = customers(chosen, sex, c, generator)
    # Each last as often as any other; nobody the same last twice where that can be had.
    turns = np.concatenate([generator.permutation(lasts) for _ in range(pairs_a_last)])
    told = [
        try_on(code, people[code], wearers[code], boots[at], runs[at], generator)
        for i, code in enumerate(people)
        for at in turns[i * pairs_a_wearer : (i + 1) * pairs_a_wearer]
    ]
    return Shop(sex, c, boots, runs, people, wearers, tuple(told))


def customers(
    feet: Array, sex: Sex, offsets: Array, generator: np.random.Generator, prefix: str = "W"
) -> tuple[dict[str, Person], dict[str, Wearer]]:
    """Return people with these right feet, all read on the one gauge of a shop, by code."""
    people, wearers = {}, {}
    for i, right in enumerate(feet):
        code = f"{prefix}{i:03d}"
        people[code] = evolve(person(right, sex, generator), offsets=offsets)
        wearers[code] = evolve(read_on_gauge(people[code], generator), code=code)
    return people, wearers


def try_on(
    code: str, one: Person, wearer: Wearer, last: Last, run: Run, generator: np.random.Generator
) -> TryOn:
    """Return what one person says of a pair near what the readings ask for, socks and day ordinary."""
    label = label_near(wearer, last, generator)
    margins = true_margins(true_boot(last, run, label, one.offsets), one)
    ordinary = ordinary_state()
    said = words_said(margins, last.stiffness, generator)
    return TryOn(code, last.code, label, said, ordinary.sock, ordinary.swelling, ordinary.insole)


def label_near(wearer: Wearer, last: Last, generator: np.random.Generator) -> Label:
    """Return a label of the offer about where the readings, and nothing hidden, point."""
    by_place = feet_given(wearer).mean.reshape(len(FEET), len(PLACES)).mean(axis=0)
    length, breadth = by_place[PLACES.index("toe")], by_place[PLACES.index("breadth")]
    scale = size_scale(last.label_scale)
    sizes = list(last.by_size)
    size = scale.nearest(Fraction(float(scale.size(length)) + generator.normal(scale=_SIZES_OFF)))
    size = min(max(size, sizes[0]), sizes[-1])
    letters = last.by_size[size]
    off = float(gauge_breadth.letters(Fraction(float(scale.foot_length(size))), Fraction(breadth)))
    at = round(len(letters) // 2 + off + generator.normal(scale=_LETTERS_OFF))
    return letters[min(max(at, 0), len(letters) - 1)]


def words_said(
    margins: Array, stiffness: str, generator: np.random.Generator
) -> dict[tuple[Foot, Place], Verdict]:
    """Return a word for every place of both feet: margins less taste, with scatter and lapses.

    Parameters
    ----------
    margins
        Less taste [mm], shape (2, 5).
    """
    habits = Habits.default()
    lo, hi = thresholds(stiffness)
    felt = margins + generator.normal(scale=habits.scatter_sd, size=margins.shape)
    word = (felt >= lo).astype(int) + (felt > hi)
    lapsed = generator.random(margins.shape) < habits.lapse
    word = np.where(lapsed, generator.integers(len(VERDICTS), size=margins.shape), word)
    return {
        (foot, place): VERDICTS[word[f, p]] for f, foot in enumerate(FEET) for p, place in enumerate(PLACES)
    }


def _last(sex: Sex, maker: Run, generator: np.random.Generator, together: Array) -> tuple[Last, Run]:
    """Return a last that runs half as its maker's others do, in variance, and half on its own."""
    alone = any_run(generator)
    half = np.sqrt(0.5)
    run = Run(
        sizes=half * (maker.sizes + alone.sizes),
        own=half * (maker.own + alone.own) + together,
        grade=alone.grade,
        letter_grade=alone.letter_grade,
    )
    offer = full_offer(sex)
    told = generator.integers(10) < _ADVISED_OF_TEN
    return (advised(offer, run) if told else offer), run


def evenly_drawn(count: int, sd: Sequence[float] | Array, generator: np.random.Generator) -> Array:
    """Return normal draws that fill every share of the normal alike, shape (count, k).

    What a whole shop shares moves all its runs together, so that few shops would say little of
    coverage; drawn evenly they say more, and on average the same.
    """
    from scipy.special import ndtri

    sds = np.asarray(sd, dtype=np.float64)
    ranks = np.stack([generator.permutation(count) for _ in sds], axis=1)
    shares = (ranks + generator.random((count, len(sds)))) / count
    return sds * ndtri(shares)
