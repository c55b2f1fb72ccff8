"""One wearer held against a few lasts while the day changes: what the day does not move is kept."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date as Date

from attrs import evolve, frozen

from heelball.fit.answers import Answer, Choice
from heelball.fit.choice import best_first, described
from heelball.fit.composing import Composing, TradeRule
from heelball.fit.shelf import Shelves
from heelball.fit.wearer import DayState, Wearer
from heelball.foot.posterior import FeetPosterior, feet_posterior
from heelball.last.values import Last


@frozen(eq=False)
class Holding:
    """A wearer and a few lasts, ready to be answered for under any day.

    The feet, the slips, the shelves and the trade rule's answers (which change only with the
    day's largest growth) are worked out once.

    Parameters
    ----------
    wearer, feet, known
        Readings, what they tell, and what is said of the wearer without any last.
    shelves, rule
        The lasts made ready, and the trade rule with the answers it gave.
    """

    wearer: Wearer
    feet: FeetPosterior
    known: Answer
    shelves: Shelves
    rule: TradeRule

    @classmethod
    def of(cls, wearer: Wearer, lasts: Sequence[Last], *, today: Date | None = None) -> Holding:
        """Make a wearer and some lasts ready.

        Raises
        ------
        InputError
            Where a last is numbered on a child's scale.
        """
        feet = feet_posterior(wearer.readings, wearer.gauge_marks, wearer.population)
        return cls(wearer, feet, described(wearer, feet, today), Shelves(lasts), TradeRule())

    def answer(self, day: Sequence[DayState], *, look_at: str | None = None) -> Answer:
        """Return the answer for a day, one last of it in full.

        Parameters
        ----------
        day
            States of the day; none is one ordinary state.
        look_at
            Code of the last to be told in full; None: the one that stands first.
        """
        if self.known.child or not len(self.shelves):
            return self.known
        wearer = evolve(self.wearer, day=tuple(day))
        composing = Composing.of(wearer, self.feet, self.known.remarks, rule=self.rule)
        choices = sorted(self._choices(composing, self.shelves, detailed=False), key=best_first)
        codes = [choice.last.code for choice in choices]
        at = codes.index(look_at) if look_at in codes else 0
        choices[at : at + 1] = self._choices(composing, Shelves([choices[at].last]), detailed=True)
        made_pair = None if any(choice.order for choice in choices) else self.known.feet
        return evolve(self.known, choices=tuple(choices), made_pair=made_pair)

    def _choices(self, composing: Composing, shelves: Shelves, *, detailed: bool) -> list[Choice]:
        ranked = composing.ranked(shelves.chunks(self.wearer.population), detailed=detailed)
        return [
            choice
            for shelf, ranking in ranked
            for choice in composing.choices(shelf, ranking, detailed=detailed)
        ]
