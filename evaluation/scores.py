"""How well words of pairs nobody has heard of yet are foreseen: log chances, three ways."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Final

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from heelball.fit.day import growth, ordinary_state
from heelball.fit.wearer import PLACES, VERDICTS, Wearer
from heelball.foot.vector import FEET
from heelball.gaussian.normal import Array
from heelball.gaussian.probability import below
from heelball.last.values import Last
from heelball.learn.habits import Habits
from heelball.learn.learning import settle
from heelball.learn.predict import chances_of_words
from heelball.learn.problem import boot_at, problem_of
from heelball.learn.propagation import State
from heelball.learn.try_on import TryOn

#: How much wearers and lasts are drawn towards 0, tried in turn on a part of what was heard.
_RIDGES: Final = (0.3, 1.0, 3.0, 10.0, 30.0)

#: Everyone knows that some words are slips: as little as this is left for each.
_LEAST_CHANCE: Final = 0.02 / len(VERDICTS)


@frozen
class Scores:
    """Mean log chance of a word that was then said, by what it was foreseen from.

    Parameters
    ----------
    learned
        All that try-ons taught.
    ignoring
        Readings and makers' words alone.
    as_numbers
        Words taken for the numbers -1, 0, 1 in a linear regression.
    """

    learned: float
    ignoring: float
    as_numbers: float


def scores(
    state: State,
    lasts: Sequence[Last],
    wearers: Mapping[str, Wearer],
    heard: Sequence[TryOn],
    later: Sequence[TryOn],
) -> Scores:
    """Return how well the words of later pairs were foreseen.

    Parameters
    ----------
    state
        What was learned from those heard; every wearer and last is in it.
    """
    by_code = {last.code: last for last in lasts}
    before = settle(problem_of(lasts, wearers, ()), Habits.default())

    def foreseen_by(known: State) -> Callable[[TryOn], Array]:
        return lambda one: chances_of_words(known, one.wearer, by_code[one.last], one.label, ordinary_state())

    return Scores(
        learned=_mean_log_chance(foreseen_by(state), later),
        ignoring=_mean_log_chance(foreseen_by(before), later),
        as_numbers=_as_numbers(before, by_code, heard, later),
    )


def _mean_log_chance(foreseen: Callable[[TryOn], Array], later: Sequence[TryOn]) -> float:
    return float(np.mean(np.concatenate([_log_chances(foreseen(one), one) for one in later])))


def _log_chances(chance: Array, one: TryOn) -> Array:
    """Return the log chance of each word of a try-on, by the chances (10, 3) of all words."""
    at = [FEET.index(foot) * len(PLACES) + PLACES.index(place) for foot, place in one.verdicts]
    logs: Array = np.log(chance[at, [VERDICTS.index(word) for word in one.verdicts.values()]])
    return logs


def _as_numbers(
    before: State, lasts: Mapping[str, Last], heard: Sequence[TryOn], later: Sequence[TryOn]
) -> float:
    """Regress words as numbers on expected margins, with each last and each wearer, place by place."""
    known, new = _rows(before, lasts, heard), _rows(before, lasts, later)
    inner = np.arange(len(known.margin)) % 5 > 0
    found = []
    for place in range(len(PLACES)):
        ridge = max(_RIDGES, key=lambda one: _log_chance(known, inner, known, ~inner, place, one))
        every = np.ones(len(known.margin), dtype=bool)
        found.append(_log_chance(known, every, new, np.ones(len(new.margin), dtype=bool), place, ridge))
    return float(np.mean(found))


@frozen(eq=False)
class _Rows:
    """Feet of try-ons: expected margins and words as numbers (n, 5), indicators (n, 1 + lasts + wearers)."""

    margin: Array
    number: Array
    who: Array


def _rows(before: State, lasts: Mapping[str, Last], tried: Sequence[TryOn]) -> _Rows:
    problem = before.problem
    margin, number, who = [], [], []
    for one in tried:
        wearer = problem.wearers.index(one.wearer)
        boot = boot_at(lasts[one.last], one.label) - growth(ordinary_state())
        for foot, mean in zip(FEET, problem.foot_mean[wearer].reshape(len(FEET), -1), strict=True):
            row = np.zeros(1 + len(problem.lasts) + len(problem.wearers))
            row[[0, 1 + problem.lasts.index(one.last), 1 + len(problem.lasts) + wearer]] = 1.0
            margin.append(boot - mean)
            number.append([VERDICTS.index(one.verdicts[foot, place]) - 1.0 for place in PLACES])
            who.append(row)
    return _Rows(np.array(margin), np.array(number), np.array(who))


def _log_chance(
    known: _Rows, learnt: NDArray[np.bool_], new: _Rows, asked: NDArray[np.bool_], place: int, ridge: float
) -> float:
    """Return the mean log chance that a ridge regression gives to words about one place."""
    design = np.column_stack([known.margin[learnt, place], known.who[learnt]])
    drawn = np.full(design.shape[1], ridge)
    drawn[:2] = 1e-6
    number = known.number[learnt, place]
    precision = design.T @ design + np.diag(drawn)
    weights = np.linalg.solve(precision, design.T @ number)
    used = float(np.trace(np.linalg.solve(precision, design.T @ design)))
    rest = float(((number - design @ weights) ** 2).sum() / max(len(number) - used, 1.0))
    row = np.column_stack([new.margin[asked, place], new.who[asked]])
    mean = row @ weights
    sd = np.sqrt(rest * (1 + np.einsum("ni,ij,nj->n", row, np.linalg.inv(precision), row)))
    little, much = below((-0.5 - mean) / sd), below((mean - 0.5) / sd)
    chance = np.stack([little, 1 - little - much, much], axis=1)
    chance = (1 - len(VERDICTS) * _LEAST_CHANCE) * chance + _LEAST_CHANCE
    said = new.number[asked, place].astype(int) + 1
    return float(np.log(chance[np.arange(len(said)), said]).mean())
