"""One wearer judged against one last, with the arrays in sight."""

from __future__ import annotations

import numpy as np
from attrs import frozen

from heelball.fit.day import states_of
from heelball.fit.losses import Judging, judged_margins
from heelball.fit.margins import Margins, margins_of
from heelball.fit.ranking import Ranking, rank
from heelball.fit.shelf import Shelf, shelve
from heelball.fit.verdict import default_costs
from heelball.fit.wearer import Wearer
from heelball.foot.posterior import feet_posterior
from heelball.gaussian.normal import Gaussian
from heelball.last.values import Last


@frozen(eq=False)
class Judged:
    """What was judged: the last alone on its shelf, the wearer's states, and the ranking."""

    shelf: Shelf
    states: list[tuple[float, Gaussian]]
    judging: Judging
    ranking: Ranking


def wearer_states(who: Wearer) -> list[tuple[float, Gaussian]]:
    """Return weight and state (both feet, the gauge's offsets) of each population."""
    feet = feet_posterior(who.readings, who.gauge_marks, who.population)
    return [(c.weight, Gaussian(c.state.mean[:13], c.state.cov[:13, :13])) for c in feet.components]


def judged(who: Wearer, *lasts: Last, heel: bool = False) -> Judged:
    shelf, states = shelve(lasts, who.population), wearer_states(who)
    judging = Judging(states_of(who.day), judged_margins(heel), default_costs())
    return Judged(shelf, states, judging, rank(shelf, states, judging))


def margins(who: Wearer, what: Last) -> Margins:
    """Return every label's margins for the wearer's (first) population."""
    return margins_of(shelve([what], who.population), wearer_states(who)[0][1])


def label_margins(who: Wearer, what: Last, label: int = 0) -> tuple[np.ndarray, np.ndarray]:
    """Return mean (10,) and covariance (10, 10) of one label's margins."""
    shelf = shelve([what], who.population)
    found = margins_of(shelf, wearer_states(who)[0][1])
    return found.mean[0, label], found.covariance(shelf, np.array([0]), np.array([label]))[0]
