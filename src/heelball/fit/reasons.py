"""Why the computed answer is what it is, and why it differs from the trade rule's: as data."""

from __future__ import annotations

from heelball.fit.answers import PlaceVerdict, Reason, TradeAnswer
from heelball.fit.wearer import Place
from heelball.foot.vector import Foot
from heelball.last.values import Label, Last


def place_reason(foot: Foot, place: Place, verdict: PlaceVerdict) -> Reason:
    """Return the doubtful place, which is named first."""
    return Reason("doubtful-place", {"foot": foot, "place": place, "verdict": verdict})


def run_reason(last: Last, pairs: int | None) -> Reason:
    """Return what is known of how the last runs.

    Parameters
    ----------
    last
        With its maker's word and what was measured.
    pairs
        Try-ons that its run was learned from; None where none was learned.
    """
    if pairs is not None:
        return Reason("run-learned", {"pairs": pairs})
    if last.measured:
        return Reason("run-measured", {"pairs": len(last.measured), "advice": bool(last.advice)})
    if last.advice:
        return Reason("run-advice", {"maker": last.maker, "basis": last.advice[0].basis})
    return Reason("run-unknown", {"maker": last.maker})


def against_trade_rule(
    label: Label, loss: float, trade: TradeAnswer, trade_loss: float | None, last: Last
) -> Reason:
    """Return how the computed answer stands to the trade rule's, and what that one would cost."""
    facts = {
        "label": label,
        "loss": loss,
        "trade": trade.order,
        "trade_loss": trade_loss,
        "scale": last.label_scale,
    }
    if trade.order is None:
        return Reason("trade-orders-none", facts)
    if trade.order == label:
        return Reason("trade-agrees", facts)
    return Reason("trade-differs", facts | {"followed": _followed(trade)})


def _followed(trade: TradeAnswer) -> Reason | None:
    """Return the step that says which mark the rule followed: the larger foot's larger size."""
    larger = next((step.facts["foot"] for step in trade.steps if step.kind == "trade-larger-foot"), None)
    feet = [step for step in trade.steps if step.kind == "trade-foot"]
    return next((step for step in feet if larger in (None, step.facts["foot"])), None)


def likelier_label(
    choice_label: Label, chance: float, other: Label, other_chance: float, last: Last
) -> Reason:
    """Return why a label with the higher chance was not taken: its loss is higher."""
    facts = {"label": choice_label, "chance": chance, "other": other, "other_chance": other_chance}
    return Reason("likelier-label", facts | {"scale": last.label_scale})


def none_serves(label: Label, chance: float, last: Last) -> Reason:
    """Return that nothing offered serves, and what is least wrong."""
    return Reason("none-serves", {"label": label, "chance": chance, "scale": last.label_scale})
