"""One wearer held against a few lasts while the day changes: what the day does not move is kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date as Date

from attrs import evolve, frozen

from heelball.fit.answers import Answer, Choice
from heelball.fit.choice import best_first, described, feet_of
from heelball.fit.composing import Composing, TradeRule
from heelball.fit.known_run import KnownRun
from heelball.fit.margins import Margins
from heelball.fit.ranking import margins_on, rank_margins
from heelball.fit.shelf import Shelf, Shelves
from heelball.fit.wearer import DayState, Wearer
from heelball.foot.posterior import FeetPosterior
from heelball.gaussian.normal import Array, Gaussian
from heelball.last.values import Last


@frozen(eq=False)
class _Shelved:
    """Lasts made ready, with the margins that no day changes: weights and margins by population."""

    shelf: Shelf
    weights: Array
    margins: list[Margins]


class Holding:
    """A wearer and a few lasts, ready to be answered for under any day.

    The feet, the slips, the margins before any day and the trade rule's answers (which change
    only with the day's largest growth) are worked out once.

    Parameters
    ----------
    wearer, lasts
        Whose day changes, and the lasts held.
    today
        For the age of readings; None leaves it out.
    feet, known
        Feet by more than readings, and learned runs, as in `answer` and `Shelves`.

    Raises
    ------
    InputError
        Where a last is numbered on a child's scale.
    """

    def __init__(
        self,
        wearer: Wearer,
        lasts: Sequence[Last],
        *,
        today: Date | None = None,
        feet: FeetPosterior | None = None,
        known: Mapping[str, KnownRun] | None = None,
    ) -> None:
        self._wearer = wearer
        self._feet = feet or feet_of(wearer)
        self._runs = known
        self._rule = TradeRule()
        self._in_full: dict[str, list[_Shelved]] = {}
        self._held: list[_Shelved] = []
        self.known = described(wearer, self._feet, today)
        if not self.known.child:
            composing = Composing.of(wearer, self._feet, self.known.remarks, rule=self._rule)
            self._held = self._shelved(lasts, composing.states)

    def answer(self, day: Sequence[DayState], *, look_at: str | None = None) -> Answer:
        """Return the answer for a day, one last of it in full.

        Parameters
        ----------
        day
            States of the day; none is one ordinary state.
        look_at
            Code of the last to be told in full; None: the one that stands first.
        """
        if not self._held:
            return self.known
        wearer = evolve(self._wearer, day=tuple(day))
        composing = Composing.of(wearer, self._feet, self.known.remarks, rule=self._rule)
        choices = sorted(self._choices(composing, self._held, detailed=False), key=best_first)
        codes = [choice.last.code for choice in choices]
        at = codes.index(look_at) if look_at in codes else 0
        choices[at : at + 1] = self._choices(composing, self._one(choices[at].last, composing), detailed=True)
        made_pair = None if any(choice.order for choice in choices) else self.known.feet
        return evolve(self.known, choices=tuple(choices), made_pair=made_pair)

    def _shelved(self, lasts: Sequence[Last], states: Sequence[tuple[float, Gaussian]]) -> list[_Shelved]:
        shelves = Shelves(lasts, self._runs).chunks(self._wearer.population)
        return [_Shelved(shelf, *margins_on(shelf, states)) for shelf in shelves]

    def _one(self, last: Last, composing: Composing) -> list[_Shelved]:
        """Return one last made ready to be told in full: with the readings that could be taken next."""
        if last.code not in self._in_full:
            self._in_full[last.code] = self._shelved([last], composing.wider)
        return self._in_full[last.code]

    @staticmethod
    def _choices(composing: Composing, held: Sequence[_Shelved], *, detailed: bool) -> list[Choice]:
        found: list[Choice] = []
        for one in held:
            ranking = rank_margins(one.shelf, one.weights, one.margins, composing.judging)
            found += composing.choices(one.shelf, ranking, detailed=detailed)
        return found
