"""The pair that arrived: what its measures and the wearer's words make of foot, taste and run (MODEL 9).

Both feet, the gauge's offsets, the wearer's taste and the run of the pair's last are one Gaussian.
It is conditioned on what was measured of the boot and hears what the wearer said of it; every
label of the last is then read off the same Gaussian.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

import numpy as np
from attrs import evolve, frozen

from heelball.fit.day import growth
from heelball.fit.imagined import judged_rows
from heelball.fit.known_run import KnownRun
from heelball.fit.margins import Margins, read_margins
from heelball.fit.shelf import Shelf, shelve
from heelball.fit.wearer import PLACES, DayState, Place, Verdict
from heelball.foot.posterior import Component, FeetPosterior
from heelball.foot.prior import STATE_SIZE
from heelball.foot.vector import Foot
from heelball.gaussian.normal import Array, Gaussian, mixed, reweighed
from heelball.last.run import (
    MEASURED_AT,
    OFFSET_PLACES,
    PLACE,
    RUN_STATE,
    Kind,
    run_design,
    run_rows,
)
from heelball.last.values import Label, Last, MeasuredPair
from heelball.learn.hearing import AfterWords, after_words, all_words
from heelball.learn.one_more import belief_of
from heelball.learn.pair_words import OWN, TASTE, in_state, with_run, words_of
from heelball.package_data import defaults

_OFFSETS: Final = len(OFFSET_PLACES)
_TOE: Final = PLACES.index("toe")


@frozen(eq=False)
class TriedOn:
    """What a wearer said of the pair, and in what state the feet were."""

    verdicts: Mapping[tuple[Foot, Place], Verdict]
    state: DayState


@frozen
class Measured:
    """One measure of the boot [mm]; `sd` is that of `found` about `expected`, the measuring included.

    What is too far off to be the boot's, a slip of the rule or of the pen, is not `believed`: it is
    shown, and left out of everything else.
    """

    kind: Kind
    found: float
    expected: float
    sd: float

    @property
    def by(self) -> float:
        """How much more than expected [mm]."""
        return self.found - self.expected

    @property
    def believed(self) -> bool:
        """Whether it can be the boot's."""
        return abs(self.by) <= float(defaults()["check"]["slip_sd"]) * self.sd


@frozen(eq=False)
class Arrived:
    """What is known once the pair has spoken.

    Parameters
    ----------
    shelf
        Its last alone.
    weights, margins
        By population: the margins less taste of every label, shape (P,) and P of them.
    bare
        The same margins without the taste, as they are shown.
    run_before, run_after
        The last's true run before and after this pair, five numbers [mm] in the order of `PLACES`.
    measured
        What was measured beside what was expected.
    settled
        Whether the words came to rest.
    """

    shelf: Shelf
    weights: Array
    margins: tuple[Margins, ...]
    bare: tuple[Margins, ...]
    run_before: Gaussian
    run_after: Gaussian
    measured: tuple[Measured, ...]
    settled: bool


def arrived(
    feet: FeetPosterior,
    last: Last,
    label: Label,
    *,
    boot: MeasuredPair | None = None,
    tried: Sequence[TriedOn] = (),
    known: KnownRun | None = None,
) -> Arrived:
    """Return what a pair that arrived makes of foot, taste and run.

    Parameters
    ----------
    feet
        What readings and other pairs say of both feet; not a child's.
    last, label
        What the pair is; the label is one the last is offered in.
    boot
        What was measured of it.
    tried
        What the wearer said of it.
    known
        The last's run as learned; None: its own evidence.
    """
    runs = None if known is None else {last.code: known}
    before = shelve([last], feet.population, runs)
    at = last.labels.index(label)
    old = np.array([one.weight for one in feet.components])
    states = [with_run(one.with_shared(TASTE).state, before) for one in feet.components]
    measured = _beside(_rows(before, last, at, boot, learned=known is not None), boot, old, states)
    boot = believed(boot, measured)
    rows = _rows(before, last, at, boot, learned=known is not None)
    after = before
    if boot is not None and known is None:
        # The boot is one more measured pair of its last.
        after = shelve([evolve(last, measured=(*last.measured, boot))], feet.population)
    parts = [_part(one.with_shared(TASTE), before, after, at, rows, tried) for one in feet.components]
    weights = reweighed([one.weight for one in parts], [one.heard.log_evidence for one in parts])
    return Arrived(
        shelf=after,
        weights=weights,
        margins=tuple(_margins(after, one, tasted=True) for one in parts),
        bare=tuple(_margins(after, one, tasted=False) for one in parts),
        run_before=mixed(old, [_run(one.before, one.start, before) for one in parts]),
        run_after=mixed(weights, [_run(one.heard.state, one.start, after) for one in parts]),
        measured=measured,
        settled=all(one.heard.settled for one in parts),
    )


@frozen(eq=False)
class _Rows:
    """What was measured, as observations of the run's state: rows (k, 16), values and variances (k,)."""

    kinds: tuple[Kind, ...]
    design: Array
    value: Array
    variance: Array
    learned: bool


@frozen(eq=False)
class _Part:
    """One population: its state before the pair and after, and where the run stands in it."""

    component: Component
    weight: float
    start: int
    before: Gaussian
    heard: AfterWords


def _part(
    component: Component, before: Shelf, after: Shelf, label: int, rows: _Rows, tried: Sequence[TriedOn]
) -> _Part:
    start = len(component.state.mean)
    known = with_run(component.state, before)
    state = known
    size = len(state.mean)
    if rows.learned:
        state = state.condition(in_state(rows.design, start, size), rows.value, rows.variance)
    elif len(rows.value):
        state = with_run(component.state, after)
    told = [
        words_of(component, after, label, one.verdicts, start, size, grown=growth(one.state))
        for one in tried
        if one.verdicts
    ]
    heard = after_words(state, all_words(told)) if told else AfterWords(state, 0.0, settled=True)
    return _Part(component, component.weight, start, known, heard)


def _rows(shelf: Shelf, last: Last, label: int, boot: MeasuredPair | None, *, learned: bool) -> _Rows:
    """Return what was measured of a boot, as `run_evidence` would have it of its last."""
    told = {} if boot is None else {kind: getattr(boot, kind) for kind in MEASURED_AT}
    kinds = tuple(kind for kind, found in told.items() if found is not None)
    design, value, variance = np.zeros((len(kinds), RUN_STATE)), np.zeros(len(kinds)), np.zeros(len(kinds))
    boots, own = defaults()["boot"], defaults()["run"]["measured_sd"]
    for i, kind in enumerate(kinds):
        place = MEASURED_AT[kind]
        built = float(shelf.built[0, label, place])
        if place == _TOE:
            # A stick reaches the tip: what the toe's shape takes is not in what it measures.
            built += float(boots["toe_deduction"][last.toe])
        sizes_off, letters = float(shelf.sizes_off[0, label]), float(shelf.letters[0, label])
        design[i] = run_design(bool(shelf.in_frame[0]), place, sizes_off, letters)
        value[i] = told[kind] - built
        variance[i] = (own[kind] if boot is None or boot.sd_mm is None else boot.sd_mm) ** 2
        shape = float(boots["toe_deduction_sd"][last.toe]) ** 2
        if learned and place == _TOE and shape:
            # A learned run holds the shape's part. By the last's own evidence that is a share of
            # the run and a rest; try-ons see their sum alone, so that this stays true after them.
            alone = belief_of(last)
            share = shape / float(alone.cov[_OFFSETS + _TOE, _OFFSETS + _TOE])
            design[i] *= 1 - share
            value[i] -= share * float(alone.mean[_OFFSETS + _TOE])
            variance[i] += shape * (1 - share)
    return _Rows(kinds, design, value, variance, learned)


def _beside(
    rows: _Rows, boot: MeasuredPair | None, weights: Array, states: Sequence[Gaussian]
) -> tuple[Measured, ...]:
    """Return what was measured beside what was expected, the measuring included.

    Parameters
    ----------
    weights, states
        By population: the chance of each, and all that was known before, the run at the end.
    """
    seen = []
    for state in states:
        size = len(state.mean)
        one = state.image(in_state(rows.design, size - OWN - 1, size))
        seen.append(Gaussian(one.mean, one.cov + np.diag(rows.variance)))
    expected = mixed(weights, seen)
    found = [float(getattr(boot, kind)) for kind in rows.kinds]
    return tuple(
        Measured(
            kind,
            found[i],
            found[i] - float(rows.value[i] - expected.mean[i]),
            float(np.sqrt(expected.cov[i, i])),
        )
        for i, kind in enumerate(rows.kinds)
    )


def believed(boot: MeasuredPair | None, measured: Sequence[Measured]) -> MeasuredPair | None:
    """Return what was measured of a boot less what cannot be the boot's; None where nothing is left."""
    if boot is None or not any(one.believed for one in measured):
        return None
    slips: dict[str, Any] = {one.kind: None for one in measured if not one.believed}
    return evolve(boot, **slips)


def _run(state: Gaussian, start: int, shelf: Shelf) -> Gaussian:
    """Return the true run at the labels that evidence names, what the toe's shape takes in it."""
    design = in_state(run_rows(bool(shelf.in_frame[0])), start, len(state.mean))
    design[_TOE, start + OWN] = 1.0
    return state.image(design)


def _margins(shelf: Shelf, part: _Part, *, tasted: bool) -> Margins:
    """Return every label's margins, less taste or without it."""
    state, start = part.heard.state, part.start
    size = len(state.mean)
    design = np.zeros((STATE_SIZE + OWN, size))
    design[:STATE_SIZE] = judged_rows(part.component, size) if tasted else np.eye(STATE_SIZE, size)
    own = np.arange(OWN)
    design[STATE_SIZE + own, start + own] = 1.0
    # What the toe's shape takes has been heard of: from here on it is part of the toe's own number.
    design[STATE_SIZE + PLACE - _OFFSETS + _TOE, start + OWN] = 1.0
    known = state.image(design)
    return read_margins(evolve(shelf, toe_variance=np.zeros(1)), known.mean[None], known.cov[None])
