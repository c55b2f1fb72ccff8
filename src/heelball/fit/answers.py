"""What a choice gives back, as values: numbers and reasons, no sentences."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from attrs import field, frozen

from heelball.fit.wearer import Place
from heelball.foot.slips import Slip
from heelball.foot.vector import Foot, Measure
from heelball.gaussian.normal import Array
from heelball.last.values import Label, Last


@frozen
class Reason:
    """One thing worth saying, named by `kind`; `facts` are the numbers and names it needs."""

    kind: str
    facts: Mapping[str, Any] = field(factory=dict)


@frozen
class PlaceVerdict:
    """How one place of one foot is expected to be: margin [mm] and the chances of each verdict."""

    mean: float
    sd: float
    too_little: float
    right: float
    too_much: float


#: Verdicts of both feet; heel is None where no heel was read.
ByPlace = Mapping[Foot, Mapping[Place, PlaceVerdict | None]]


@frozen
class StateVerdict:
    """One state of the day: its share, the chance that all is right in it, and each place."""

    name: str
    share: float
    chance: float
    by_place: ByPlace


@frozen
class RankedLabel:
    """A label with its loss."""

    label: Label
    loss: float


@frozen
class RunnerUp:
    """The label of next least loss, and the change of a foot that would tip the choice to it.

    `tips_by` is how much longer (or, below zero, shorter) the measure `tips_what` of `tips_foot`
    would have to be [mm]; None where no change within 3 sd of what is known would do it.
    """

    label: Label
    chance: float
    loss: float
    tips_foot: Foot | None = None
    tips_what: Measure | None = None
    tips_by: float | None = None


@frozen
class NextReading:
    """The reading that is expected to save most loss, and how much it saves."""

    foot: Foot
    what: Measure
    gain: float


@frozen
class TwoSizes:
    """Each foot's own best label, and the loss of ordering one of each."""

    left: Label
    right: Label
    loss: float


@frozen
class TradeAnswer:
    """What the trade rule says: a label or none, its steps, and other answers it would give."""

    order: Label | None
    steps: tuple[Reason, ...]
    also: tuple[Label, ...] = ()
    referral: bool = False


@frozen
class Choice:
    """What to order from one last.

    `order` is None where no offered label serves; `least_wrong` then names the label that the
    chance, the loss, the places and the deciding place speak of. `losses` are those of the last's
    labels, in their order, shape (labels,). `detailed` tells whether
    reasons, the next reading and the tipping point were worked out.
    """

    last: Last
    order: Label | None
    least_wrong: Label | None
    chance: float
    loss: float
    by_place: ByPlace
    by_state: tuple[StateVerdict, ...]
    trade_rule: TradeAnswer
    why: tuple[Reason, ...]
    cautions: tuple[Reason, ...]
    runner_up: RunnerUp | None
    deciding_foot: Foot
    deciding_place: Place
    next_reading: NextReading | None
    two_sizes: TwoSizes | None
    losses: Array = field(eq=False, repr=False)
    detailed: bool

    @property
    def labels(self) -> tuple[RankedLabel, ...]:
        """Every label of the last with its loss, in the last's order."""
        pairs = zip(self.last.labels, self.losses.tolist(), strict=True)
        return tuple(RankedLabel(label, loss) for label, loss in pairs)

    @property
    def label(self) -> Label:
        """The label the figures speak of: the order, or the least wrong."""
        label = self.order or self.least_wrong
        assert label is not None
        return label


@frozen
class FootFigure:
    """One measure of one foot: mean and sd [mm]; None where nothing is known (a child's foot)."""

    mean: float | None
    sd: float | None
    in_gauge_frame: float | None = None


@frozen
class Answer:
    """Everything that is said of one wearer."""

    code: str
    feet: Mapping[Foot, Mapping[Measure, FootFigure]]
    slips: tuple[Slip, ...]
    referral: tuple[Reason, ...]
    remarks: tuple[Reason, ...]
    choices: tuple[Choice, ...]
    made_pair: Mapping[Foot, Mapping[Measure, FootFigure]] | None = None
    child: bool = False

    @property
    def urgent(self) -> bool:
        """Whether the answer opens with an urgent sign and prints no order above it."""
        return any(reason.kind == "urgent" for reason in self.referral)

    @property
    def serves(self) -> bool:
        """Whether some last has a label that serves."""
        return any(choice.order is not None for choice in self.choices)
