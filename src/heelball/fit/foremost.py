"""The lasts that stand first for one wearer, told from all others without working any of them out.

Ordering lasts asks for much less than a choice does: the least loss of each, and whether that
label serves. The joint chance, which costs most, is worked out from the least loss upward and only
until enough lasts serve.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from heapq import nsmallest

import numpy as np

from heelball.fit.losses import Judging, Mixed, Positions, joint_by_state, judge
from heelball.fit.ranking import in_two_threads, margins_on, serves
from heelball.fit.shelf import Shelf
from heelball.gaussian.normal import Array, Gaussian
from heelball.last.values import Last

#: A last and what orders it: whether none of its labels serves, its least loss, its code.
_Standing = tuple[bool, float, str, Last]


def foremost(
    shelves: Iterable[Shelf], wearer: Sequence[tuple[float, Gaussian]], judging: Judging, count: int
) -> tuple[Last, ...]:
    """Return the lasts that stand first, best first: those that serve by loss, then the others by loss.

    Parameters
    ----------
    shelves
        The lasts.
    wearer
        Weight and state of each population the wearer may be of.
    judging
        Day, costs and which places are judged.
    count
        How many are wanted at most.
    """
    found: list[_Standing] = []
    for _, standing in in_two_threads(lambda shelf: _foremost(shelf, wearer, judging, count), shelves):
        found = nsmallest(count, found + standing, key=lambda one: one[:3])
    return tuple(last for *_, last in found)


def _foremost(
    shelf: Shelf, wearer: Sequence[tuple[float, Gaussian]], judging: Judging, count: int
) -> list[_Standing]:
    weights, margins = margins_on(shelf, wearer)
    mixed = judge(shelf, margins, weights, judging)
    label = mixed.loss.argmin(axis=1)
    rows = np.arange(len(label))
    loss = mixed.loss[rows, label]
    right = _right_by_place(mixed, judging, rows, label)
    # A label that fails at one place by itself needs no joint chance to fail.
    hopeful = serves(1.0, right)
    standing: list[_Standing] = []
    serving = 0
    order = np.argsort(loss, kind="stable")
    for start in range(0, len(order), count):
        some = order[start : start + count]
        good = np.zeros(len(some), dtype=bool)
        asked = np.flatnonzero(hopeful[some])
        if len(asked):
            chance = joint_by_state(mixed, shelf, judging, some[asked], label[some[asked]]) @ judging.shares
            good[asked] = serves(chance, right[some[asked]])
        for i, well in zip(some.tolist(), good.tolist(), strict=True):
            standing.append((not well, float(loss[i]), shelf.lasts[i].code, shelf.lasts[i]))
        serving += int(good.sum())
        if serving >= count:
            break
    return standing


def _right_by_place(mixed: Mixed, judging: Judging, last: Positions, label: Positions) -> Array:
    """Return the chance of right at each judged place over the day, shape (k, places)."""
    wrong = np.einsum(
        "p,pksm,s->km",
        mixed.weights,
        mixed.little[:, last, label] + mixed.much[:, last, label],
        judging.shares,
    )
    right: Array = np.maximum(1 - wrong, 0.0)[:, judging.judged]
    return right
