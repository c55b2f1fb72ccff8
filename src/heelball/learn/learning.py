"""How each last really runs, learned from everything anyone reported (MODEL 9)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np

from heelball.fit.wearer import Wearer
from heelball.last.values import Last
from heelball.learn.habits import Habits
from heelball.learn.habits_learned import learned_habits
from heelball.learn.outcome import outcome
from heelball.learn.problem import Problem, problem_of
from heelball.learn.propagation import State, begin, propagate, with_habits
from heelball.learn.runs import Runs
from heelball.learn.try_on import TryOn

#: Rounds of habits, and the change in every log below which they are at rest.
_HABIT_ROUNDS: Final = 8
_HABITS_AT_REST: Final = 0.02

#: Rounds of propagation between two of habits: what they leave undone the last rounds do.
_ROUNDS_BETWEEN: Final = 4


def learn(
    lasts: Sequence[Last],
    wearers: Mapping[str, Wearer],
    try_ons: Sequence[TryOn],
    *,
    habits: Habits | None = None,
) -> Runs:
    """Learn how lasts run, and what feet and tastes wearers have, from try-ons.

    Parameters
    ----------
    lasts
        Every last that a try-on names, and any others of their makers.
    wearers
        By code. Someone in a try-on who is not among them is unmeasured, population unstated.
    try_ons
        In any order; it does not change the answer.
    habits
        Held as given; None: learned too.

    Raises
    ------
    InputError
        Where a try-on names a last that is not given or a wearer who is a child, or where a last
        is numbered on a child's scale.
    """
    return outcome(settle(problem_of(lasts, wearers, try_ons), habits), lasts, try_ons)


def settle(problem: Problem, habits: Habits | None = None) -> State:
    """Return where propagation comes to rest; habits are learned where none are given."""
    if habits is not None:
        return propagate(begin(problem, habits))
    state = propagate(begin(problem, Habits.default()), exact=2)
    if len(problem.verdicts) == 0:
        return state
    for _ in range(_HABIT_ROUNDS):
        found = learned_habits(state)
        change = _change(state.habits, found)
        state = propagate(with_habits(state, found), exact=1, rounds=_ROUNDS_BETWEEN)
        if change < _HABITS_AT_REST:
            break
    return propagate(state)


def _change(before: Habits, after: Habits) -> float:
    """Return the largest change in any log."""
    pairs = (
        (before.half_width, after.half_width),
        (before.taste_sd, after.taste_sd),
        (before.scatter_sd, after.scatter_sd),
        (np.array(before.lapse), np.array(after.lapse)),
    )
    return max(float(np.abs(np.log(new / old)).max()) for old, new in pairs)
