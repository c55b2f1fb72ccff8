"""One wearer's choice from each last, put together from a shelf's ranking."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from attrs import evolve, frozen

from heelball.fit.answers import (
    Choice,
    NextReading,
    PlaceVerdict,
    Reason,
    RunnerUp,
    StateVerdict,
    TradeAnswer,
    TwoSizes,
)
from heelball.fit.cautions import last_cautions, leather_caution
from heelball.fit.day import states_of
from heelball.fit.imagined import Candidate, candidates, judged_rows, with_candidates
from heelball.fit.losses import Judging, joint_by_state, judged_margins
from heelball.fit.next_reading import gains
from heelball.fit.ranking import Ranking, margins_on, rank_all, serves
from heelball.fit.reasons import against_trade_rule, likelier_label, none_serves, place_reason, run_reason
from heelball.fit.shelf import Shelf
from heelball.fit.tipping import Tip, tipping_points
from heelball.fit.trade_rule import RawMarks, raw_marks, trade_rule
from heelball.fit.verdict import default_costs
from heelball.fit.wearer import PLACES, Place, Wearer
from heelball.foot.posterior import FeetPosterior
from heelball.foot.prior import STATE_SIZE
from heelball.foot.vector import FEET, Foot
from heelball.gaussian.normal import Array, Gaussian
from heelball.last.built_for import ONE_SIZE
from heelball.last.values import Label, Last
from heelball.package_data import defaults

#: Labels of least loss whose chances are compared, to say when a likelier one was not taken.
_COMPARED = 4

# Where the chance of right stands among mean, sd, too little, right, too much.
_RIGHT = 3


@frozen(eq=False)
class _Detail:
    """What is worked out for the first lasts only: gains, the likeliest other label, the tip."""

    gain: Array
    likelier: int
    likelier_chance: float
    tip: Tip | None


class TradeRule:
    """The trade rule's answers for one wearer, each worked out once.

    They depend on the day by one number only: the largest growth in breadth.
    """

    def __init__(self) -> None:
        self._answers: dict[tuple[float, str], TradeAnswer] = {}

    def __call__(self, marks: RawMarks, last: Last) -> TradeAnswer:
        """Return the rule's answer from one last."""
        asked = (marks.growth, last.code)
        if asked not in self._answers:
            self._answers[asked] = trade_rule(marks, last)
        return self._answers[asked]


@frozen(eq=False)
class Composing:
    """One wearer, ready to be held against shelf after shelf.

    Parameters
    ----------
    wearer, marks
        The wearer, and the raw marks that the trade rule counts.
    judging
        The day, the places judged and their costs.
    states, wider
        Weight and state of each population: feet and offsets (13 numbers), and the same with the
        imagined readings behind them. Where pairs worn tell of the wearer's taste, it is added to
        the feet.
    bare
        The same feet without taste, for the margins that are shown; None where `states` are bare.
    imagined, noise
        The readings that could be taken next, and their noise variances in each population [mm²].
    remarks
        What is to be told beside every boot.
    rule
        The trade rule, with the answers it gave this wearer before.
    """

    wearer: Wearer
    marks: RawMarks
    judging: Judging
    states: tuple[tuple[float, Gaussian], ...]
    wider: tuple[tuple[float, Gaussian], ...]
    bare: tuple[tuple[float, Gaussian], ...] | None
    noise: tuple[Array, ...]
    imagined: tuple[Candidate, ...]
    remarks: tuple[Reason, ...]
    rule: TradeRule

    @classmethod
    def of(
        cls,
        wearer: Wearer,
        feet: FeetPosterior,
        remarks: tuple[Reason, ...],
        *,
        rule: TradeRule | None = None,
    ) -> Composing:
        """Make a wearer ready, given what is known of both feet."""
        heel_read = any(reading.what == "heel" for reading in wearer.readings)
        judging = Judging(states_of(wearer.day), judged_margins(heel_read), default_costs())
        if feet.pairs:
            judging = evolve(judging, taste_sd=np.zeros(len(PLACES)))
        imagined = candidates(wearer.readings, wearer.population)
        wider = [(c.weight, with_candidates(c, imagined)) for c in feet.components]
        return cls(
            wearer=wearer,
            marks=raw_marks(wearer),
            judging=judging,
            states=tuple(
                (c.weight, c.state.image(judged_rows(c, len(c.state.mean)))) for c in feet.components
            ),
            bare=_bare(feet) if feet.pairs else None,
            wider=tuple((weight, state) for weight, (state, _) in wider),
            noise=tuple(noise for _, (_, noise) in wider),
            imagined=imagined,
            remarks=remarks,
            rule=rule or TradeRule(),
        )

    def ranked(self, shelves: Iterator[Shelf], *, detailed: bool) -> Iterator[tuple[Shelf, Ranking]]:
        """Yield each shelf with its ranking; a detailed one carries the imagined readings along."""
        return rank_all(shelves, self.wider if detailed else self.states, self.judging)

    def choices(self, shelf: Shelf, ranking: Ranking, *, detailed: bool) -> list[Choice]:
        """Return the choice from each last of a shelf."""
        told = self._verdicts(shelf, ranking)
        if not detailed:
            return [self._choice(shelf, ranking, i, one, None) for i, one in enumerate(told)]
        gain = gains(ranking.mixed, shelf, self.judging, self.noise)
        likelier = self._likelier(shelf, ranking)
        tips = tipping_points(ranking.mixed, shelf, self.judging, ranking.best, ranking.runner_up)
        return [
            self._choice(shelf, ranking, i, one, _Detail(gain[i], *likelier[i], tips[i]))
            for i, one in enumerate(told)
        ]

    def _choice(
        self, shelf: Shelf, ranking: Ranking, i: int, told: _Verdicts, detail: _Detail | None
    ) -> Choice:
        """Return the choice from one last, with reasons where its detail was worked out."""
        last, mixed = shelf.lasts[i], ranking.mixed
        best = int(ranking.best[i])
        label, loss = last.labels[best], float(mixed.loss[i, best])
        chance = float(ranking.chance_by_state[i] @ self.judging.shares)
        by_state = tuple(
            StateVerdict(
                state.name,
                state.share,
                float(ranking.chance_by_state[i, s]),
                self._by_place(told.by_state[s]),
            )
            for s, state in enumerate(self.judging.states)
        )
        good = bool(serves(chance, told.right[self.judging.judged]))
        deciding = int(mixed.by_place[i, best].argmax())
        foot, place = FEET[deciding // len(PLACES)], PLACES[deciding % len(PLACES)]
        trade = self.rule(self.marks, last)
        choice = Choice(
            last=last,
            order=label if good else None,
            least_wrong=None if good else label,
            chance=chance,
            loss=loss,
            by_place=self._by_place(told.over_day),
            by_state=by_state,
            trade_rule=trade,
            why=(),
            cautions=(),
            runner_up=self._runner_up(shelf, ranking, i, None if detail is None else detail.tip),
            deciding_foot=foot,
            deciding_place=place,
            next_reading=None if detail is None else self._next_reading(detail.gain),
            two_sizes=self._two_sizes(shelf, ranking, i),
            losses=mixed.loss[i, : len(last.labels)].copy(),
            detailed=detail is not None,
        )
        if detail is None:
            return evolve(choice, trade_rule=evolve(trade, steps=()))
        return evolve(
            choice, why=self._why(choice, detail, shelf.pairs[i]), cautions=self._cautions(shelf, i, choice)
        )

    def _verdicts(self, shelf: Shelf, ranking: Ranking) -> list[_Verdicts]:
        """Return the margins and chances of each last's best label, mixed over populations."""
        mixed = ranking.mixed
        # What is shown is the margin without the taste that the chances are judged with.
        shown = mixed.margins if self.bare is None else margins_on(shelf, self.bare)[1]
        rows, best = np.arange(len(ranking.best)), ranking.best
        growth = self.judging.growth
        mean = np.array([m.mean[rows, best][:, None, :] - growth for m in shown])
        variance = np.array([m.variance[rows, best][:, None, :] for m in shown])
        parts = np.stack([mean, mean**2 + variance, mixed.little[:, rows, best], mixed.much[:, rows, best]])
        # Parts (4), lasts, states, margins; then the same over the day.
        by_state = np.einsum("p,apnsm->ansm", mixed.weights, parts)
        over_day = np.einsum("ansm,s->anm", by_state, self.judging.shares)
        states, day = _summary(*by_state), _summary(*over_day)
        return [
            _Verdicts(day[i].tolist(), states[i].tolist(), right=day[i, :, _RIGHT]) for i in range(len(rows))
        ]

    def _by_place(self, told: list[list[float]]) -> dict[Foot, dict[Place, PlaceVerdict | None]]:
        verdicts = [
            PlaceVerdict(*one) if judged else None
            for one, judged in zip(told, self.judging.judged.tolist(), strict=True)
        ]
        return {
            foot: dict(zip(PLACES, verdicts[f * len(PLACES) :], strict=False)) for f, foot in enumerate(FEET)
        }

    def _runner_up(self, shelf: Shelf, ranking: Ranking, i: int, tipped: Tip | None) -> RunnerUp | None:
        other = int(ranking.runner_up[i])
        if other < 0:
            return None
        chance = float(ranking.runner_up_by_state[i] @ self.judging.shares)
        return RunnerUp(
            label=shelf.lasts[i].labels[other],
            chance=chance,
            loss=float(ranking.mixed.loss[i, other]),
            tips_foot=tipped.foot if tipped else None,
            tips_what=tipped.what if tipped else None,
            tips_by=tipped.change if tipped else None,
        )

    def _next_reading(self, gain: Array) -> NextReading | None:
        most = int(gain.argmax())
        if gain[most] < defaults()["choice"]["least_gain"]:
            return None
        return NextReading(self.imagined[most].foot, self.imagined[most].what, float(gain[most]))

    def _two_sizes(self, shelf: Shelf, ranking: Ranking, i: int) -> TwoSizes | None:
        by_foot = ranking.mixed.by_place[i].reshape(-1, len(FEET), len(PLACES)).sum(axis=-1)
        own = by_foot.argmin(axis=0)
        apart = abs(shelf.foot_length[i, own[0]] - shelf.foot_length[i, own[1]]) / ONE_SIZE
        if apart < defaults()["choice"]["two_sizes_apart"] - 1e-6:
            return None
        labels = shelf.lasts[i].labels
        return TwoSizes(labels[own[0]], labels[own[1]], float(by_foot[own[0], 0] + by_foot[own[1], 1]))

    def _why(self, choice: Choice, detail: _Detail, pairs: int | None) -> tuple[Reason, ...]:
        last, label = choice.last, choice.label
        verdict = choice.by_place[choice.deciding_foot][choice.deciding_place]
        assert verdict is not None
        found = [] if choice.order else [none_serves(label, choice.chance, last)]
        found.append(place_reason(choice.deciding_foot, choice.deciding_place, verdict))
        trade_loss = self._loss_of(choice, choice.trade_rule.order)
        found.append(against_trade_rule(label, choice.loss, choice.trade_rule, trade_loss, last))
        if detail.likelier_chance > choice.chance:
            other = last.labels[detail.likelier]
            found.append(likelier_label(label, choice.chance, other, detail.likelier_chance, last))
        found.append(run_reason(last, pairs))
        return tuple(found)

    def _loss_of(self, choice: Choice, label: Label | None) -> float | None:
        return None if label is None else float(choice.losses[choice.last.labels.index(label)])

    def _likelier(self, shelf: Shelf, ranking: Ranking) -> list[tuple[int, float]]:
        """Return, last by last, the likeliest of the next labels by loss and its chance."""
        loss = ranking.mixed.loss
        order = np.argsort(loss, axis=1, kind="stable")[:, 1:_COMPARED]
        last, column = np.nonzero(np.isfinite(np.take_along_axis(loss, order, axis=1)))
        by_state = joint_by_state(ranking.mixed, shelf, self.judging, last, order[last, column])
        chance = np.full(order.shape, -1.0)
        chance[last, column] = by_state @ self.judging.shares
        if order.shape[1] == 0:
            return [(-1, -1.0)] * len(shelf.lasts)
        most = chance.argmax(axis=1)
        rows = np.arange(len(most))
        return list(zip(order[rows, most].tolist(), chance[rows, most].tolist(), strict=True))

    def _cautions(self, shelf: Shelf, i: int, choice: Choice) -> tuple[Reason, ...]:
        by_foot = (choice.by_place[foot] for foot in FEET)
        snug = [v for places in by_foot for v in (places["breadth"], places["girth"]) if v is not None]
        return (
            *self.remarks,
            *last_cautions(choice.last, shelf.contradictions[i]),
            *leather_caution(snug),
            Reason("standing"),
        )


def _bare(feet: FeetPosterior) -> tuple[tuple[float, Gaussian], ...]:
    """Return weight and state, feet and offsets (13 numbers), of each population."""
    return tuple((c.weight, c.state.image(np.eye(STATE_SIZE, len(c.state.mean)))) for c in feet.components)


@frozen(eq=False)
class _Verdicts:
    """One label's ten margins: mean, sd, too little, right, too much, over the day and by state."""

    over_day: list[list[float]]
    by_state: list[list[list[float]]]
    right: Array


def _summary(mean: Array, second: Array, little: Array, much: Array) -> Array:
    """Return mean, sd, too little, right and too much, stacked last: (N, ..., 10) to (N, ..., 10, 5)."""
    sd = np.sqrt(np.maximum(second - mean**2, 0.0))
    summary: Array = np.stack([mean, sd, little, np.maximum(1 - little - much, 0.0), much], axis=-1)
    return summary
