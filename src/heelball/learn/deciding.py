"""Keep, try another sock or insole, or exchange: what becomes of the pair that arrived (MODEL 6 and 9)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, Literal

import numpy as np
from attrs import evolve, frozen

from heelball.fit.answers import PlaceVerdict
from heelball.fit.day import states_of
from heelball.fit.losses import Judging, Mixed, joint_by_state, judge, judged_margins
from heelball.fit.ranking import serves
from heelball.fit.verdict import default_costs
from heelball.fit.wearer import PLACES, DayState, Place, Wearer
from heelball.foot.vector import FEET, Foot
from heelball.last.values import Label, Last
from heelball.learn.arrived import Arrived, TriedOn
from heelball.package_data import defaults

Say = Literal["keep", "adjust", "exchange"]

#: Places that a wearer must have called right on both feet before a word speaks for the whole pair.
_TELLING: Final[tuple[Place, ...]] = ("ball", "toe", "breadth")


@frozen
class Option:
    """One thing that could be worn.

    Parameters
    ----------
    label
        Of the last.
    sock, insole
        Sock worn all day in place of the day's own, None: as the day has it; insole added to
        the day's own [mm].
    loss, chance
        Over the wearer's day.
    serves
        Whether neither the chance nor a place is too unlikely.
    """

    label: Label
    sock: float | None
    insole: float
    loss: float
    chance: float
    serves: bool


@frozen(eq=False)
class Decided:
    """What becomes of the pair.

    Parameters
    ----------
    say, to
        The step, and the label to exchange it for; None with ``exchange``: no label of the last
        serves, another last.
    chance, serves
        Of what is to be worn being right all over, and whether it serves; where no label of the
        last serves, of the least wrong.
    own, adjusted, other
        The pair as it is, with the sock or insole of least loss, and the other label of least loss.
    can_go_back
        Whether an exchange is still possible.
    all_right
        Whether the wearer called every place right that was asked of, ball, toe and breadth of
        both feet among them.
    foot, place, doubtful
        The place of the pair that costs most, and how it is expected to be.
    """

    say: Say
    to: Label | None
    chance: float
    serves: bool
    own: Option
    adjusted: Option
    other: Option | None
    can_go_back: bool
    all_right: bool
    foot: Foot
    place: Place
    doubtful: PlaceVerdict


def decide(
    found: Arrived, wearer: Wearer, label: Label, tried: Sequence[TriedOn], days_left: int | None = None
) -> Decided:
    """Return what becomes of a pair.

    Parameters
    ----------
    found
        What is known once the pair has spoken.
    wearer
        For the day, the places judged, and an own orthosis: then no insole is added.
    label
        Of the pair.
    tried
        What the wearer said of it, the earliest first.
    days_left
        Until it can no longer go back; None: as the maker's terms have it.
    """
    shelf = found.shelf
    last = shelf.lasts[0]
    states = states_of(wearer.day)
    told_of_heel = any(place == "heel" for one in tried for _, place in one.verdicts)
    heel = told_of_heel or any(reading.what == "heel" for reading in wearer.readings)
    judging = Judging(states, judged_margins(heel), default_costs(), np.zeros(len(PLACES)))
    mixed = judge(shelf, found.margins, found.weights, judging)
    at = last.labels.index(label)
    own = _option(found, mixed, judging, at)
    adjusted = min(_adjustments(found, wearer, judging, at), key=lambda one: one.loss)
    rest = mixed.loss[0].copy()
    rest[at] = np.inf
    best = int(rest.argmin())
    other = _option(found, mixed, judging, best) if np.isfinite(rest[best]) else None
    back = can_go_back(last, days_left)
    # A numb foot calls everything right.
    all_right = _all_right(tried) and not wearer.signs.numbness
    say, worn = _step(own, adjusted, other if back else None, back=back, all_right=all_right)
    worst = int(mixed.by_place[0, at].argmax())
    return Decided(
        say=say,
        to=worn.label if say == "exchange" and worn.serves else None,
        chance=worn.chance,
        serves=worn.serves or all_right,
        own=own,
        adjusted=adjusted,
        other=other,
        can_go_back=back,
        all_right=all_right,
        foot=FEET[worst // len(PLACES)],
        place=PLACES[worst % len(PLACES)],
        doubtful=_verdict(found, mixed, judging, at, worst),
    )


def can_go_back(last: Last, days_left: int | None) -> bool:
    """Return whether a pair can still be exchanged; a maker's terms that nobody asked for may allow it."""
    return last.terms.exchange_days != 0 if days_left is None else days_left > 0


def _step(
    own: Option, adjusted: Option, other: Option | None, *, back: bool, all_right: bool
) -> tuple[Say, Option]:
    """Return the step and what would be worn: each change has to save what it is worth before it is made."""
    if all_right:
        # What a wearer feels now stands above what is computed of it.
        return "keep", own
    options: list[tuple[float, Say, Option]] = [
        (own.loss, "keep", own),
        (adjusted.loss + defaults()["check"]["adjust_gain"], "adjust", adjusted),
    ]
    if other is not None:
        options.append((other.loss + defaults()["check"]["exchange_gain"], "exchange", other))
    least = min(options, key=lambda one: one[2].loss)
    if back and not least[2].serves:
        return "exchange", least[2]
    _, say, option = min(options, key=lambda one: one[0])
    return (least[1], least[2]) if least[2].serves and not option.serves else (say, option)


def _all_right(tried: Sequence[TriedOn]) -> bool:
    """Return whether all that was last said of each place is right, and the telling places were asked of."""
    said = {where: word for one in tried for where, word in one.verdicts.items()}
    telling = {(foot, place) for foot in FEET for place in _TELLING}
    return said.keys() >= telling and all(word == "right" for word in said.values())


def _adjustments(found: Arrived, wearer: Wearer, judging: Judging, at: int) -> Iterator[Option]:
    for sock, insole, states in _other_days(judging.states, orthosis=wearer.signs.orthosis):
        changed = evolve(judging, states=states)
        mixed = judge(found.shelf, found.margins, found.weights, changed)
        yield evolve(_option(found, mixed, changed, at), sock=sock, insole=insole)


def _other_days(
    states: tuple[DayState, ...], *, orthosis: bool
) -> Iterator[tuple[float | None, float, tuple[DayState, ...]]]:
    """Yield the day in every sock it is not worn in anyway, then with an insole added."""
    for sock in defaults()["day"]["sock"].values():
        if any(state.sock != sock for state in states):
            yield float(sock), 0.0, tuple(evolve(state, sock=float(sock)) for state in states)
    if not orthosis:
        insole = float(defaults()["check"]["insole"])
        yield None, insole, tuple(evolve(state, insole=state.insole + insole) for state in states)


def _option(found: Arrived, mixed: Mixed, judging: Judging, at: int) -> Option:
    by_state = joint_by_state(mixed, found.shelf, judging, np.array([0]), np.array([at]))[0]
    chance = float(by_state @ judging.shares)
    wrong = mixed.little[:, 0, at] + mixed.much[:, 0, at]
    right = 1 - np.einsum("p,psm,s->m", mixed.weights, wrong, judging.shares)
    return Option(
        label=found.shelf.lasts[0].labels[at],
        sock=None,
        insole=0.0,
        loss=float(mixed.loss[0, at]),
        chance=chance,
        serves=bool(serves(chance, right[judging.judged])),
    )


def _verdict(found: Arrived, mixed: Mixed, judging: Judging, at: int, margin: int) -> PlaceVerdict:
    """Return how one place of the pair is expected to be over the day; its margin is without taste."""
    mean = np.array([one.mean[0, at, margin] - judging.growth[:, margin] for one in found.bare])
    second = mean**2 + np.array([[one.variance[0, at, margin]] for one in found.bare])
    little, much = mixed.little[:, 0, at, :, margin], mixed.much[:, 0, at, :, margin]
    share = np.outer(mixed.weights, judging.shares)
    centre = float((share * mean).sum())
    low, high = float((share * little).sum()), float((share * much).sum())
    sd = float(np.sqrt(max(float((share * second).sum()) - centre**2, 0.0)))
    return PlaceVerdict(centre, sd, low, max(1 - low - high, 0.0), high)
