"""Every label of every last ranked for one wearer: arrays in, arrays out (MODEL 6)."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from itertools import chain, islice
from typing import TypeVar

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from heelball.fit.losses import Judging, Mixed, Positions, joint_by_state, judge
from heelball.fit.margins import Margins, margins_of
from heelball.fit.shelf import Shelf
from heelball.gaussian.normal import Array, Gaussian
from heelball.package_data import defaults

T = TypeVar("T")


@frozen(eq=False)
class Ranking:
    """The labels of N lasts ranked.

    Parameters
    ----------
    mixed
        Chances and losses of every label, place by place.
    best, runner_up
        Position of the label of least and next least loss of each last, shape (N,); the runner-up
        is -1 where a last has one label only.
    chance_by_state, runner_up_by_state
        Their joint chances, shape (N, S).
    """

    mixed: Mixed
    best: Positions
    runner_up: Positions
    chance_by_state: Array
    runner_up_by_state: Array


def rank(shelf: Shelf, wearer: Sequence[tuple[float, Gaussian]], judging: Judging) -> Ranking:
    """Judge every label of every last, and order the labels of each last by loss.

    Parameters
    ----------
    shelf
        N lasts.
    wearer
        Weight and state of each population the wearer may be of.
    judging
        Day, costs and which places are judged.
    """
    return rank_margins(shelf, *margins_on(shelf, wearer), judging)


def margins_on(shelf: Shelf, wearer: Sequence[tuple[float, Gaussian]]) -> tuple[Array, list[Margins]]:
    """Return the weight and the margins of each population: what of a ranking no day changes."""
    return np.array([weight for weight, _ in wearer]), [margins_of(shelf, state) for _, state in wearer]


def rank_margins(shelf: Shelf, weights: Array, margins: Sequence[Margins], judging: Judging) -> Ranking:
    """Judge labels whose margins are known, and order the labels of each last by loss."""
    mixed = judge(shelf, margins, weights, judging)
    loss = mixed.loss
    n = len(shelf.lasts)
    rows = np.arange(n)
    best = loss.argmin(axis=1)
    rest = loss.copy()
    rest[rows, best] = np.inf
    second = rest.argmin(axis=1)
    alone = ~np.isfinite(rest[rows, second])
    both = joint_by_state(mixed, shelf, judging, np.tile(rows, 2), np.concatenate([best, second]))
    chance, second_chance = both[:n], both[n:]
    near = ~alone & (rest[rows, second] - loss[rows, best] <= defaults()["choice"]["tie"])
    for i in np.flatnonzero(near):
        order = tied_order(mixed, shelf, judging, int(i))
        best[i], second[i] = order[0], order[1]
        pair = joint_by_state(mixed, shelf, judging, np.array([i, i]), np.array(order[:2]))
        chance[i], second_chance[i] = pair
    return Ranking(mixed, best, np.where(alone, -1, second), chance, second_chance)


def rank_all(
    shelves: Iterable[Shelf], wearer: Sequence[tuple[float, Gaussian]], judging: Judging
) -> Iterator[tuple[Shelf, Ranking]]:
    """Yield each shelf with its ranking, in order."""
    return in_two_threads(lambda shelf: rank(shelf, wearer, judging), shelves)


def in_two_threads(work: Callable[[Shelf], T], shelves: Iterable[Shelf]) -> Iterator[tuple[Shelf, T]]:
    """Yield each shelf with what `work` makes of it, in order.

    Two shelves are worked on at a time, and no more than three are held: NumPy and SciPy let go
    of the interpreter's lock, so two processors halve the time. A shelf that stands alone is
    worked on where it is asked for: threads would only cost.
    """
    rest = iter(shelves)
    first = list(islice(rest, 2))
    if len(first) < 2:
        yield from ((shelf, work(shelf)) for shelf in first)
        return
    with ThreadPoolExecutor(2) as threads:
        waiting: deque[tuple[Shelf, Future[T]]] = deque()
        for shelf in chain(first, rest):
            waiting.append((shelf, threads.submit(work, shelf)))
            if len(waiting) > 2:
                done, result = waiting.popleft()
                yield done, result.result()
        for shelf, result in waiting:
            yield shelf, result.result()


def tied_order(mixed: Mixed, shelf: Shelf, judging: Judging, last: int) -> list[int]:
    """Return one last's labels by loss; ties by chance, then smaller size, then narrower letter."""
    loss = mixed.loss[last]
    tie = defaults()["choice"]["tie"]
    offered = [int(j) for j in np.argsort(loss, kind="stable") if np.isfinite(loss[j])]
    ordered: list[int] = []
    while offered:
        tied = [j for j in offered if loss[j] - loss[offered[0]] <= tie]
        if len(tied) > 1:
            by_state = joint_by_state(mixed, shelf, judging, np.full(len(tied), last), np.array(tied))
            chance = dict(zip(tied, by_state @ judging.shares, strict=True))
            tied.sort(key=lambda j: (-chance[j], shelf.foot_length[last, j], shelf.letters[last, j]))
        ordered += tied
        offered = [j for j in offered if j not in tied]
    return ordered


def serves(chance: Array | float, right_by_place: Array) -> NDArray[np.bool_]:
    """Return whether labels serve: neither their chance nor some judged place is too unlikely.

    Parameters
    ----------
    chance
        That all is right, weighed over the day, shape (...).
    right_by_place
        Chances of right at each judged place, weighed over the day, shape (..., places).

    Returns
    -------
    array of bool
        Shape (...).
    """
    limits = defaults()["choice"]
    served: NDArray[np.bool_] = np.logical_and(
        np.asarray(chance) >= limits["least_chance"],
        (right_by_place >= limits["least_place_chance"]).all(axis=-1),
    )
    return served
