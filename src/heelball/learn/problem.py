"""Lasts, wearers and try-ons as the arrays that learning works on (MODEL 9)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from heelball.errors import InputError
from heelball.errors import Problem as Refusal
from heelball.fit.day import growth
from heelball.fit.wearer import PLACES, VERDICTS, DayState, Wearer
from heelball.foot.evidence import is_child
from heelball.foot.vector import FEET
from heelball.gaussian.normal import Array
from heelball.last.built_for import built_for, letters_of, nominal_length
from heelball.last.values import Label, Last
from heelball.learn.feet import SLOTS, FeetGiven, feet_given, offsets_given
from heelball.learn.habits import STIFFNESSES
from heelball.learn.run_prior import RunPrior, learning_basis, run_prior
from heelball.learn.try_on import TryOn
from heelball.package_data import defaults
from heelball.scales.catalogue import size_scale

Positions = NDArray[np.intp]

_TOE = PLACES.index("toe")


@frozen(eq=False)
class Verdicts:
    """n words, each about one place of one foot in one try-on.

    Parameters
    ----------
    wearer, last, slot, word
        Positions among wearers, lasts, both feet's ten places and `VERDICTS`, shapes (n,).
    stiffness
        Position in `STIFFNESSES`, shape (n,).
    boot
        What the label is built for, less what its toe takes and the foot's growth in the state of
        the try-on [mm], shape (n,).
    try_on
        Which try-on each is from, shape (n,).
    """

    wearer: Positions
    last: Positions
    slot: Positions
    word: Positions
    stiffness: Positions
    boot: Array
    try_on: Positions

    def __len__(self) -> int:
        """Return how many words there are."""
        return len(self.wearer)


@frozen(eq=False)
class Problem:
    """What there is to learn from.

    Parameters
    ----------
    lasts, makers, wearers
        Codes; lasts and wearers sorted.
    maker_of
        Maker of each last, shape (L,).
    prior
        What is known of the lasts before any try-on.
    foot_mean, foot_by_offsets, foot_cov
        Each wearer's feet given the gauge's offsets, shapes (W, 10), (W, 10, 3), (W, 10, 10).
    measured
        Which wearers have readings, shape (W,).
    verdicts
        What was told.
    """

    lasts: tuple[str, ...]
    makers: tuple[str, ...]
    wearers: tuple[str, ...]
    maker_of: Positions
    prior: RunPrior
    foot_mean: Array
    foot_by_offsets: Array
    foot_cov: Array
    measured: NDArray[np.bool_]
    verdicts: Verdicts


def problem_of(lasts: Sequence[Last], wearers: Mapping[str, Wearer], try_ons: Sequence[TryOn]) -> Problem:
    """Return lasts, wearers and try-ons as arrays.

    Parameters
    ----------
    lasts
        Every last that a try-on names, and any others of their makers.
    wearers
        By code. Someone in a try-on who is not among them is unmeasured, population unstated.
    try_ons
        In any order.

    Raises
    ------
    InputError
        Where a try-on names a last that is not given or a wearer who is a child, or where a last
        is numbered on a child's scale.
    """
    by_code = {last.code: last for last in lasts}
    _refuse(by_code, wearers, try_ons)
    ordered = [by_code[code] for code in sorted(by_code)]
    makers = sorted({last.maker for last in ordered})
    codes = sorted({*wearers, *(one.wearer for one in try_ons)})
    people = [wearers.get(code, Wearer(code)) for code in codes]
    people = [one for one in people if not is_child(one.readings)]
    known = _feet_of(people)
    marks = (mark for one in people for mark in one.gauge_marks)
    return Problem(
        lasts=tuple(last.code for last in ordered),
        makers=tuple(makers),
        wearers=tuple(one.code for one in people),
        maker_of=np.array([makers.index(last.maker) for last in ordered], dtype=np.intp),
        prior=run_prior(ordered, offsets_given(marks)),
        foot_mean=np.array([one.mean for one in known]).reshape(-1, SLOTS),
        foot_by_offsets=np.array([one.by_offsets for one in known]).reshape(-1, SLOTS, 3),
        foot_cov=np.array([one.cov for one in known]).reshape(-1, SLOTS, SLOTS),
        measured=np.array([bool(one.readings) for one in people], dtype=bool),
        verdicts=_verdicts(ordered, [one.code for one in people], try_ons),
    )


def boot_at(last: Last, label: Label) -> Array:
    """Return what a label is built for before any run, less what the toe's shape takes, shape (5,)."""
    basis = learning_basis(last)
    length = np.array(nominal_length(label.size, last.label_scale))
    built = built_for(length, np.array(letters_of(label, last, basis)), basis)
    built[_TOE] -= float(defaults()["boot"]["toe_deduction"][last.toe])
    return built


def growth_in(try_on: TryOn) -> Array:
    """Return how much bigger the foot was than in the ordinary state, by place [mm], shape (5,)."""
    return growth(DayState("", 1.0, try_on.sock, try_on.swelling, try_on.insole))


def _refuse(lasts: Mapping[str, Last], wearers: Mapping[str, Wearer], try_ons: Sequence[TryOn]) -> None:
    problems = [
        Refusal(
            f"last {code}, label_scale", last.label_scale, "an adults' scale: children's lasts are not judged"
        )
        for code, last in sorted(lasts.items())
        if size_scale(last.label_scale).population == "child"
    ]
    children = {code for code, one in wearers.items() if is_child(one.readings)}
    for one in try_ons:
        if one.last not in lasts:
            problems.append(Refusal(one.place, f"last {one.last}", "a last that is among those given"))
        if one.wearer in children:
            problems.append(
                Refusal(
                    one.place, f"wearer {one.wearer}, a child", "an adult: children's feet are not judged"
                )
            )
    if problems:
        raise InputError(problems)


def _feet_of(people: Sequence[Wearer]) -> list[FeetGiven]:
    """Return everyone's feet; those without any reading of one population are the same feet."""
    bare: dict[str, FeetGiven] = {}
    found = []
    for one in people:
        if one.readings:
            found.append(feet_given(one))
            continue
        if one.population not in bare:
            bare[one.population] = feet_given(Wearer(one.code, one.population))
        found.append(bare[one.population])
    return found


def _verdicts(lasts: Sequence[Last], wearers: Sequence[str], try_ons: Sequence[TryOn]) -> Verdicts:
    last_at = {last.code: i for i, last in enumerate(lasts)}
    wearer_at = {code: i for i, code in enumerate(wearers)}
    slot_at = {
        (foot, place): f * len(PLACES) + p for f, foot in enumerate(FEET) for p, place in enumerate(PLACES)
    }
    word_at = {word: i for i, word in enumerate(VERDICTS)}
    boots: dict[tuple[str, Label], list[float]] = {}
    grown: dict[tuple[float, str, float], list[float]] = {}
    rows: list[tuple[int, int, int, int, int, int]] = []
    boot: list[float] = []
    for i, one in enumerate(try_ons):
        at = last_at[one.last]
        last = lasts[at]
        if (one.last, one.label) not in boots:
            boots[one.last, one.label] = boot_at(last, one.label).tolist()
        state = (one.sock, one.swelling, one.insole)
        if state not in grown:
            grown[state] = growth_in(one).tolist()
        built, more = boots[one.last, one.label], grown[state]
        stiffness = STIFFNESSES.index(last.stiffness)
        wearer = wearer_at[one.wearer]
        for where, word in one.verdicts.items():
            slot = slot_at[where]
            rows.append((wearer, at, slot, word_at[word], stiffness, i))
            boot.append(built[slot % len(PLACES)] - more[slot % len(PLACES)])
    table = np.array(rows, dtype=np.intp).reshape(-1, 6)
    return Verdicts(
        wearer=table[:, 0],
        last=table[:, 1],
        slot=table[:, 2],
        word=table[:, 3],
        stiffness=table[:, 4],
        boot=np.array(boot, dtype=np.float64),
        try_on=table[:, 5],
    )
