"""One wearer against 1,000 lasts of 60 labels through a day of three states: the core call."""

from __future__ import annotations

import numpy as np
from scipy.stats import multivariate_normal, norm

from benchmarks.invented import day, lasts, wearer
from benchmarks.stopwatch import median_seconds, milliseconds, report
from heelball.fit.losses import Judging, both_feet, joint_by_state, judge, judged_margins
from heelball.fit.margins import margins_of
from heelball.fit.ranking import Ranking, rank_all
from heelball.fit.shelf import Shelf, Shelves
from heelball.fit.verdict import default_costs, taste_sd
from heelball.fit.wearer import Wearer
from heelball.foot.posterior import feet_posterior
from heelball.foot.prior import STATE_SIZE
from heelball.gaussian.normal import Array, Gaussian

_LASTS = 1000
_SAMPLE = 40
_RUNS = 7
_TARGET_MS = 250

#: SciPy's own absolute tolerance, and the one of about Heelball's errors.
_SCIPYS_OWN, _AS_FINE_AS_OURS = 1e-5, 1e-3


def known_feet(one: Wearer) -> list[tuple[float, Gaussian]]:
    """Return weight and state (both feet, the gauge's offsets) of the wearer's populations."""
    feet = feet_posterior(one.readings, (), one.population)
    return [(c.weight, c.state.image(np.eye(STATE_SIZE, len(c.state.mean)))) for c in feet.components]


def core_call(one: Wearer, shelves: tuple[Shelf, ...], judging: Judging) -> list[Ranking]:
    """Return the ranking of every shelf, from the wearer's readings on."""
    known = known_feet(one)
    return [ranking for _, ranking in rank_all(shelves, known, judging)]


def breakdown(one: Wearer, shelves: tuple[Shelf, ...], judging: Judging) -> dict[str, float]:
    """Return what the parts of the core call take, each timed by itself [ms]."""
    known = known_feet(one)
    weights = np.array([weight for weight, _ in known])
    margins = [[margins_of(shelf, state) for _, state in known] for shelf in shelves]
    mixed = [judge(shelf, of, weights, judging) for shelf, of in zip(shelves, margins, strict=True)]
    rows = [np.arange(len(shelf.lasts)) for shelf in shelves]
    best = [np.argsort(of.loss, axis=1)[:, :2] for of in mixed]
    parts = {
        "feet": lambda: known_feet(one),
        "margins": lambda: [margins_of(shelf, state) for shelf in shelves for _, state in known],
        "places": lambda: [judge(s, m, weights, judging) for s, m in zip(shelves, margins, strict=True)],
        "joint": lambda: [
            joint_by_state(of, shelf, judging, row, label[:, which])
            for of, shelf, row, label in zip(mixed, shelves, rows, best, strict=True)
            for which in range(2)
        ],
    }
    return {f"{name}_ms": milliseconds(median_seconds(part, _RUNS)) for name, part in parts.items()}


def plain_joint(
    rankings: list[Ranking], shelves: tuple[Shelf, ...], judging: Judging, abseps: float
) -> tuple[float, float]:
    """Time SciPy's box probability of a sample of ordered labels.

    Returns
    -------
    tuple of float
        Seconds a box, and the largest difference from Heelball's chances.
    """
    generator = np.random.default_rng(3)
    sides = np.flatnonzero(judging.judged)
    cases: list[tuple[Array, Array, Array, float]] = []
    for _ in range(_SAMPLE):
        k = int(generator.integers(len(shelves)))
        i, s = int(generator.integers(len(shelves[k].lasts))), int(generator.integers(len(judging.states)))
        shelf, found = shelves[k], rankings[k]
        margins, best = found.mixed.margins[0], int(found.best[i])
        cov = margins.covariance(shelf, np.array([i]), np.array([best]))[0] + judging.taste_covariance
        centre = margins.mean[i, best] - judging.growth[s]
        lower, upper = both_feet(shelf.lo[i]) - centre, both_feet(shelf.hi[i]) - centre
        cases.append((cov[np.ix_(sides, sides)], lower[sides], upper[sides], found.chance_by_state[i, s]))
    chances: list[float] = []

    def loop() -> None:
        chances[:] = [
            float(
                multivariate_normal.cdf(
                    upper,
                    np.zeros(len(sides)),
                    cov,
                    lower_limit=lower,
                    rng=np.random.default_rng(5),
                    abseps=abseps,
                )
            )
            for cov, lower, upper, _ in cases
        ]

    seconds = median_seconds(loop, 1, warm=False)
    worst = max(abs(chance - ours) for chance, (*_, ours) in zip(chances, cases, strict=True))
    return seconds / _SAMPLE, worst


def plain_places(rankings: list[Ranking], shelves: tuple[Shelf, ...], judging: Judging) -> float:
    """Time SciPy's normal for the ten places of one label in one state [s], both thresholds."""
    margins, shelf = rankings[0].mixed.margins[0], shelves[0]
    sd = np.sqrt(margins.variance + both_feet(taste_sd()) ** 2)
    lo, hi = both_feet(shelf.lo), both_feet(shelf.hi)

    def loop() -> None:
        for i in range(_SAMPLE):
            moved = margins.mean[i, 0] - judging.growth[0]
            norm.cdf((lo[i] - moved) / sd[i, 0])
            norm.sf((hi[i] - moved) / sd[i, 0])

    return median_seconds(loop, _RUNS) / _SAMPLE


def main() -> None:
    """Time the core call and the plain loop, and print the line."""
    generator = np.random.default_rng(1)
    one = wearer("W1", generator, day())
    offered = lasts(_LASTS, generator)
    shelving = median_seconds(lambda: tuple(Shelves(offered).chunks(one.population)), 3)
    shelves = tuple(Shelves(offered).chunks(one.population))
    judging = Judging(one.day, judged_margins(heel_read=False), default_costs())
    seconds = median_seconds(lambda: core_call(one, shelves, judging), _RUNS)
    rankings = core_call(one, shelves, judging)
    boxes = 2 * _LASTS * len(one.day)
    labels = sum(len(last.labels) for last in offered) * len(one.day)
    joint, worst = plain_joint(rankings, shelves, judging, _SCIPYS_OWN)
    loose, _ = plain_joint(rankings, shelves, judging, _AS_FINE_AS_OURS)
    places = plain_places(rankings, shelves, judging) * labels
    report(
        "many lasts",
        f"one wearer x {_LASTS} lasts x 60 labels x 3 states, from readings to arrays: places and loss of "
        "every label, joint chance of each last's first two; lasts shelved before",
        median_ms=milliseconds(seconds),
        target_ms=_TARGET_MS,
        shelving_ms=milliseconds(shelving),
        parts=breakdown(one, shelves, judging),
        reference="plain loop over scipy.stats: multivariate_normal.cdf a box (its own tolerances), norm.cdf "
        f"a label and state; timed on {_SAMPLE} boxes and {_SAMPLE} labels, scaled to {boxes} and {labels}",
        reference_s=round(joint * boxes + places, 1),
        reference_joint_s=round(joint * boxes, 1),
        reference_places_s=round(places, 1),
        ratio=round((joint * boxes + places) / seconds),
        ratio_joint_only=round(joint * boxes / seconds),
        ratio_at_abseps_1e_3=round((loose * boxes + places) / seconds),
        worst_difference=round(worst, 4),
    )


if __name__ == "__main__":
    main()
