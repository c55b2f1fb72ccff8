"""Which question to a maker is worth most: the expected fall of the least loss (MODEL 6).

An answer observes the run of a last: advice its sizes, in the gauge's terms; a flex line, an inside
length or a girth one place of one label; a drawing all three. The answer moves every label's
margins, so what it is worth is the least loss now less the least loss expected once it is known.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import product
from typing import Final, Literal

import numpy as np
from attrs import evolve, frozen

from heelball.fit.choice import feet_of
from heelball.fit.day import states_of
from heelball.fit.imagined import judged_rows
from heelball.fit.known_run import KnownRun
from heelball.fit.losses import Judging, judged_margins, losses, place_chances
from heelball.fit.margins import MARGINS, Margins, read_margins
from heelball.fit.shelf import Shelf, shelve
from heelball.fit.verdict import default_costs
from heelball.fit.wearer import Wearer
from heelball.foot.evidence import weights_of
from heelball.foot.posterior import FeetPosterior
from heelball.foot.prior import STATE_SIZE, feet_prior
from heelball.foot.reading import Reading
from heelball.foot.vector import FEET, MEASURES, Population
from heelball.gaussian.normal import Array, Gaussian
from heelball.last.built_for import RUN_PLACES
from heelball.last.run import (
    MEASURED_AT,
    OFFSET_PLACES,
    PLACE,
    RUN_STATE,
    SIZES,
    one_size,
    run_design,
    run_variances,
)
from heelball.last.values import Last
from heelball.learn.pair_words import OWN, in_state, with_run
from heelball.package_data import defaults
from heelball.scales.catalogue import size_scale

Askable = Literal["advice", "flex_line", "inside_length", "ball_girth", "drawing"]

#: What can be asked, and what of a boot each answer tells.
QUESTIONS: Final[dict[Askable, tuple[str, ...]]] = {
    "advice": (),
    "flex_line": ("flex_line",),
    "inside_length": ("inside_length",),
    "ball_girth": ("ball_girth",),
    "drawing": ("flex_line", "inside_length", "ball_girth"),
}

#: Nodes of the quadrature in each direction, for one number answered and for several.
_NODES_OF_ONE: Final = 9
_NODES_OF_SEVERAL: Final = 5

#: Lasts of one letter that are worked out.
_FEW: Final = 3

#: Typical wearers stand at these sds of foot length about the mean, the other measures going with it.
_TYPICAL: Final = (-1.0, 0.0, 1.0)


@frozen
class Question:
    """A question, and the loss its answer is expected to save."""

    asked: Askable
    gain: float


#: The questions where nothing says which is worth most.
IN_ANY_ORDER: Final = tuple(Question(asked, 0.0) for asked in QUESTIONS)


def typical_wearers(last: Last) -> tuple[Wearer, ...]:
    """Return wearers read in mm whom a last may be for: short, middling and long feet of its population."""
    population: Population = "women" if size_scale(last.label_scale).population == "women" else "men"
    ((sex, _),) = weights_of(population)
    prior = feet_prior(sex)
    toward = prior.cov[0, : len(MEASURES)] / np.sqrt(prior.cov[0, 0])
    found = []
    for sds in _TYPICAL:
        foot = prior.mean[: len(MEASURES)] + sds * toward
        readings = tuple(
            Reading(one, what, "mm", f"{foot[i]:.1f}", method="gauge")
            for one in FEET
            for i, what in enumerate(MEASURES[:3])
        )
        found.append(Wearer(f"typical {sds:+g}", population, readings))
    return tuple(found)


def worth_asking(
    last: Last, wearers: Sequence[Wearer] = (), known: Mapping[str, KnownRun] | None = None
) -> tuple[Question, ...]:
    """Return the questions about a last, what saves most first.

    Parameters
    ----------
    last
        With everything known of it.
    wearers
        Whom it is asked for; none: typical ones.
    known
        Runs learned from try-ons, by the last's code.
    """
    people = wearers or typical_wearers(last)
    each = [_gains(last, feet_of(one), one, known) for one in people]
    mean = {asked: float(np.mean([one[asked] for one in each])) for asked in QUESTIONS}
    return _by_gain(mean)


def worth_of_all(
    lasts: Sequence[Last], worth: Callable[[Last], Sequence[Question]] = worth_asking
) -> tuple[Question, ...]:
    """Return the questions about several lasts, what saves most on average first.

    Of many lasts the first few speak: how one maker's silent lasts run is alike unknown.

    Parameters
    ----------
    lasts
        At least one.
    worth
        What the questions about one last are worth.
    """
    each = [worth(last) for last in lasts[:_FEW]]
    return _by_gain(
        {
            asked: float(np.mean([one.gain for told in each for one in told if one.asked == asked]))
            for asked in QUESTIONS
        }
    )


def _by_gain(gains: Mapping[Askable, float]) -> tuple[Question, ...]:
    return tuple(Question(asked, gains[asked]) for asked in sorted(QUESTIONS, key=lambda one: -gains[one]))


def _gains(
    last: Last, feet: FeetPosterior, wearer: Wearer, known: Mapping[str, KnownRun] | None
) -> dict[Askable, float]:
    heel = any(reading.what == "heel" for reading in wearer.readings)
    judging = Judging(states_of(wearer.day), judged_margins(heel), default_costs())
    shelf = shelve([last], wearer.population, known)
    middle = len(last.labels) // 2
    toe_sd = float(defaults()["boot"]["toe_deduction_sd"][last.toe])
    gains = dict.fromkeys(QUESTIONS, 0.0)
    for part in feet.components:
        size = len(part.state.mean)
        state = with_run(part.state.image(judged_rows(part, size)), shelf)
        now = _least(shelf, _read(shelf, state, np.zeros((0, RUN_STATE))), judging)
        for asked, told in QUESTIONS.items():
            # Who answers in gauge readings puts the last in the gauge's frame; a learned run holds c itself.
            framed = not told and shelf.pairs[0] is None
            after = evolve(shelf, in_frame=np.ones(1, dtype=bool)) if framed else shelf
            rows, noise = _observed(shelf, middle, told, toe_sd)
            later = _expected(after, _read(after, state, rows), noise, judging)
            gains[asked] += part.weight * (now - later)
    return {asked: max(gain, 0.0) for asked, gain in gains.items()}


def _observed(shelf: Shelf, label: int, told: tuple[str, ...], toe_sd: float) -> tuple[Array, Array]:
    """Return what an answer observes of a run: rows (k, 16), and the answers' variances (k,)."""
    run = defaults()["run"]
    learned = shelf.pairs[0] is not None
    if not told and learned:
        return _sizes_of_learned()
    if not told:
        row = np.zeros((1, RUN_STATE))
        row[0, SIZES] = 1.0
        return row, np.array([float(run["advice_sd"]) ** 2])
    off, letters = float(shelf.sizes_off[0, label]), float(shelf.letters[0, label])
    framed = bool(shelf.in_frame[0])
    places = {str(kind): place for kind, place in MEASURED_AT.items()}
    rows = [run_design(framed, places[kind], off, letters) for kind in told]
    noise = np.array([float(run["measured_sd"][kind]) ** 2 for kind in told])
    if learned and "inside_length" in told:
        # A stick does not see what the toe's shape takes, which a learned run holds.
        noise[told.index("inside_length")] += toe_sd**2
    return np.array(rows), noise


def _sizes_of_learned() -> tuple[Array, Array]:
    """Return what advice observes of a learned run, whose sizes are not apart from its places.

    Advice tells the sizes s of the run as the gauge reads it, s g + q = r + c: as seen from that
    run they are its regression, and an error.
    """
    own = run_variances(grades=False)
    sizes, places = own[0], own[PLACE - SIZES : PLACE - SIZES + len(RUN_PLACES)]
    seen = sizes * np.outer(one_size(), one_size()) + np.diag(places)
    toward = np.linalg.solve(seen, sizes * one_size())
    row = np.zeros((1, RUN_STATE))
    row[0, PLACE : PLACE + len(RUN_PLACES)] = toward
    row[0, : len(OFFSET_PLACES)] = toward[: len(OFFSET_PLACES)]
    unseen = sizes - toward @ one_size() * sizes
    return row, np.array([float(defaults()["run"]["advice_sd"]) ** 2 + unseen])


def _read(shelf: Shelf, state: Gaussian, rows: Array) -> Margins:
    """Return every label's margins with the answers, free of noise, carried along."""
    size = len(state.mean)
    wearer = np.eye(STATE_SIZE, size)
    answers = in_state(rows, STATE_SIZE, size)
    own = np.eye(size)[STATE_SIZE : STATE_SIZE + OWN]
    whole = state.image(np.vstack([wearer, answers, own]))
    return read_margins(shelf, whole.mean[None], whole.cov[None])


def _least(shelf: Shelf, margins: Margins, judging: Judging) -> float:
    little, much = place_chances(margins.mean, margins.variance, shelf, judging)
    return float(losses(little, much, judging).sum(axis=-1).min())


def _expected(shelf: Shelf, margins: Margins, noise: Array, judging: Judging) -> float:
    """Return the least loss expected once the answers are known."""
    count = len(noise)
    factor = np.linalg.cholesky(margins.further_variance[0] + np.diag(noise))
    # How far each of `count` independent standard normal surprises moves every margin, (M, 10, count).
    push = np.linalg.solve(factor, margins.toward_further(shelf)[0].reshape(-1, count).T)
    push = push.T.reshape(-1, MARGINS, count)
    left = np.maximum(margins.variance[0] - (push**2).sum(axis=-1), 0.0)
    nodes, weights = np.polynomial.hermite_e.hermegauss(_NODES_OF_ONE if count == 1 else _NODES_OF_SEVERAL)
    weights = weights / weights.sum()
    surprises = np.array(list(product(nodes, repeat=count)))
    chance = np.array([np.prod(one) for one in product(weights, repeat=count)])
    mean = margins.mean[0] + np.einsum("mpk,ik->imp", push, surprises)
    little, much = place_chances(mean, np.broadcast_to(left, mean.shape), shelf, judging)
    least = losses(little, much, judging).sum(axis=-1).min(axis=-1)
    return float(chance @ least)
