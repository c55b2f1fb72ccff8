"""Words heard by one small Gaussian: expectation propagation, one word after the other (Minka 2001).

For a wearer with a few pairs, or one more try-on. `propagation` is the same for whole records.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from attrs import frozen

from heelball.gaussian.normal import Array, Gaussian
from heelball.learn.words import hear

#: How far a word goes toward its new site, and when no mean moves by more than this many sds.
_DAMPING: Final = 0.7
_AT_REST: Final = 1e-4
_SWEEPS: Final = 60


@frozen(eq=False)
class Words:
    """n words about linear numbers of a state: ``margin less taste = design @ state + offset``.

    Parameters
    ----------
    design, offset
        Shapes (n, k), (n,) [mm].
    scatter_variance
        From one report to the next [mm²], shape (n,).
    lower, upper
        Between which each word is meant [mm], shapes (n,); see `words.limits`.
    lapse
        How often a word is said whatever the margin.
    """

    design: Array
    offset: Array
    scatter_variance: Array
    lower: Array
    upper: Array
    lapse: float

    def __len__(self) -> int:
        """Return how many words there are."""
        return len(self.offset)


def all_words(told: Sequence[Words]) -> Words:
    """Return the words of several pairs or reports as one; at least one of them."""
    return Words(
        design=np.concatenate([one.design for one in told]),
        offset=np.concatenate([one.offset for one in told]),
        scatter_variance=np.concatenate([one.scatter_variance for one in told]),
        lower=np.concatenate([one.lower for one in told]),
        upper=np.concatenate([one.upper for one in told]),
        lapse=told[0].lapse,
    )


@frozen(eq=False)
class AfterWords:
    """A state after words: the Gaussian, the words' log evidence, and whether it came to rest."""

    state: Gaussian
    log_evidence: float
    settled: bool


def after_words(state: Gaussian, words: Words) -> AfterWords:
    """Return what a state is once words about it were heard.

    Parameters
    ----------
    state
        Of k numbers, before the words.
    words
        About it.
    """
    count = len(words)
    precision, shift = np.zeros(count), np.zeros(count)
    log_scale = np.zeros(count)
    mean, cov = state.mean.copy(), state.cov.copy()
    settled = count == 0
    for _ in range(_SWEEPS):
        if settled:
            break
        before = mean.copy()
        for i in range(count):
            row = words.design[i]
            seen = cov @ row
            variance, centre = float(row @ seen), float(row @ mean)
            left = 1 / variance - precision[i]
            if left <= 1e-3 / variance:
                continue
            own_variance, own_mean = 1 / left, (centre / variance - shift[i]) / left
            said = hear(
                np.array([own_mean + words.offset[i]]),
                np.array([own_variance + words.scatter_variance[i]]),
                words.lower[i : i + 1],
                words.upper[i : i + 1],
                words.lapse,
            )
            slope, bend = float(said.slope[0]), float(said.bend[0])
            # A likely lapse leaves its cavity wider: it moves the mean and leaves the variance.
            bend = min(bend, 0.0)
            narrowed = 1 + own_variance * bend
            new = -bend / narrowed
            new_shift = (slope - own_mean * bend) / narrowed
            more = _DAMPING * (new - precision[i])
            pulled = _DAMPING * (new_shift - shift[i])
            log_scale[i] = float(said.log_chance[0]) + _site_scale(own_mean, own_variance, new, new_shift)
            share = 1 + more * variance
            mean = mean + seen * (pulled - more * centre) / share
            cov = cov - np.outer(seen, seen) * (more / share)
            precision[i] += more
            shift[i] += pulled
        sd = np.sqrt(np.diagonal(cov))
        settled = bool((np.abs(mean - before) <= _AT_REST * np.maximum(sd, 1e-12)).all())
    cov = (cov + cov.T) / 2
    evidence = float(log_scale.sum()) + _log_left(state, words, precision, shift)
    return AfterWords(Gaussian(mean, cov), evidence, settled)


def _site_scale(mean: float, variance: float, precision: float, shift: float) -> float:
    """Return minus the log of a site's integral over its cavity."""
    together = 1 / variance + precision
    pull = mean / variance + shift
    log = -0.5 * np.log(variance * together) - 0.5 * mean**2 / variance + 0.5 * pull**2 / together
    return -float(log)


def _log_left(state: Gaussian, words: Words, precision: Array, shift: Array) -> float:
    """Return the log of all sites' integral over the state."""
    used = np.flatnonzero((precision > 0) | (shift != 0))
    if len(used) == 0:
        return 0.0
    rows = words.design[used]
    spread, expected = rows @ state.cov @ rows.T, rows @ state.mean
    tau, nu = precision[used], shift[used]
    # Of exp(nu z - tau z² / 2) over z normal; a precision of 0 is no obstacle here.
    inner = np.eye(len(used)) + spread * tau
    pulled = nu - tau * expected
    quadratic = pulled @ np.linalg.solve(inner, spread @ pulled)
    _, log_det = np.linalg.slogdet(inner)
    return float(nu @ expected - 0.5 * tau @ expected**2 + 0.5 * quadratic - 0.5 * log_det)
