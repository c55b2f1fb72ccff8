"""One pair that arrived, checked for its wearer: what is said of it, and all that stands beside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date as Date
from typing import Final

from attrs import evolve, frozen

from heelball.fit.answers import Reason
from heelball.fit.cautions import last_cautions, wearer_cautions
from heelball.fit.day import ordinary_state
from heelball.fit.known_run import KnownRun
from heelball.fit.referral import referrals
from heelball.fit.wearer import Wearer
from heelball.foot.evidence import is_child
from heelball.last.values import Label, Last, MeasuredPair
from heelball.learn.arrived import Arrived, TriedOn, arrived
from heelball.learn.deciding import Decided, decide
from heelball.learn.owned import weigh

#: What is settled before a pair is ordered, and no news once it came.
_BEFORE: Final = ("no-exchanges", "no-advice")


@frozen(eq=False)
class Checked:
    """What is said of a pair that arrived.

    Parameters
    ----------
    wearer, last, label
        Whose pair, and what it is.
    found, decided
        What is known once it has spoken, and what becomes of it.
    days_left
        Until it can no longer go back; None: not told.
    referral, cautions
        What calls for someone else first, and what is to be told beside.
    """

    wearer: str
    last: Last
    label: Label
    found: Arrived
    decided: Decided
    days_left: int | None
    referral: tuple[Reason, ...]
    cautions: tuple[Reason, ...]

    @property
    def needs_care(self) -> bool:
        """Whether somebody must look first, or what is left to wear does not serve."""
        return bool(self.referral) or not self.decided.serves


def check_pair(
    wearer: Wearer,
    lasts: Mapping[str, Last],
    last: Last,
    label: Label,
    *,
    today: Date,
    boot: MeasuredPair | None = None,
    tried: Sequence[TriedOn] = (),
    days_left: int | None = None,
    known: Mapping[str, KnownRun] | None = None,
) -> Checked | None:
    """Return what is said of a pair that arrived; None for a child, whose feet are not judged.

    Parameters
    ----------
    wearer
        Where a pair of this very label is among the wearer's own, it is this pair: its words count
        where `tried` has none, and never twice.
    lasts
        By code, for the wearer's other pairs.
    last, label
        What the pair is; the label is one the last is offered in.
    today
        For the age of readings.
    boot, tried
        What was measured of it, and said of it.
    days_left
        Until it can no longer go back; None: as the maker's terms have it.
    known
        Runs learned from try-ons, by the last's code.
    """
    if is_child(wearer.readings):
        return None
    itself = [
        one for one in wearer.pairs if (one.last, one.size, one.width) == (last.code, label.size, label.width)
    ]
    others = evolve(wearer, pairs=tuple(one for one in wearer.pairs if one not in itself))
    if not tried:
        tried = tuple(TriedOn(one.verdicts, ordinary_state()) for one in itself if one.verdicts)
    feet = weigh(others, lasts, known)
    found = arrived(feet, last, label, boot=boot, tried=tried, known=(known or {}).get(last.code))
    told = (
        *wearer_cautions(others, today, feet),
        *last_cautions(last, found.shelf.contradictions[0]),
        Reason("standing"),
    )
    return Checked(
        wearer=wearer.code,
        last=last,
        label=label,
        found=found,
        decided=decide(found, others, label, tried, days_left),
        days_left=days_left,
        referral=referrals(wearer),
        cautions=tuple(one for one in told if one.kind not in _BEFORE),
    )
