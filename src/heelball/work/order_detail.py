"""The last that is looked at, told in full: both answers, the drawing with its table, and why."""

from __future__ import annotations

from functools import partial
from typing import Final

from attrs import frozen

from heelball.fit.answers import Answer, Choice
from heelball.fit.wearer import PLACES, Wearer
from heelball.foot.vector import FEET
from heelball.last.values import Label
from heelball.records.values import KeptLast
from heelball.show.choice_words import tips_when
from heelball.show.drawn import feet_in_boot
from heelball.show.figures import figures
from heelball.show.foot_plates import FootPlate, foot_plates
from heelball.show.labels import MEASURE_WORDS, label_text, percent, size_text
from heelball.show.lengths import Units, figure_text, in_units
from heelball.show.words import sentence, sentences

# Told in places of their own.
_ELSEWHERE: Final = (
    "doubtful-place",
    "none-serves",
    "trade-agrees",
    "trade-differs",
    "trade-orders-none",
)
_AGAINST_RULE: Final = ("trade-agrees", "trade-differs", "trade-orders-none")


@frozen
class Offered:
    """A label that can be ordered: as it is said, and the fields of an order."""

    text: str
    size: str
    width: str


@frozen
class TableRow:
    """A row beside the drawing: a foot and the boot at one place, and what that means."""

    foot: str
    place: str
    boot: str
    foot_measure: str
    difference: str
    words: str


@frozen
class PlaceRow:
    """A row of the detail's figures: margins and the chance of right at one place of both feet."""

    place: str
    left: str
    left_right_by: str
    right: str
    right_right_by: str


@frozen
class Detail:
    """One last told in full.

    Parameters
    ----------
    last_id, maker_id, code, maker
        Which last.
    computed, trade_rule
        Both answers; None where one orders nothing.
    least_wrong
        What comes nearest where no label serves.
    also
        What else the trade rule would take.
    doubtful, against_rule
        The doubtful place, and how the answers stand to each other: a sentence each.
    none_serves
        The sentence where no label serves; empty where one does.
    steps, why, cautions
        Sentences.
    runner_up, next_reading, two_sizes
        A sentence, or empty.
    plates, table
        The drawing, foot by foot, and the rows that say the same.
    places, whole
        The figures, and the chance that all is right.
    """

    last_id: str
    maker_id: str
    code: str
    maker: str
    computed: Offered | None
    trade_rule: Offered | None
    least_wrong: Offered | None
    also: str
    doubtful: str
    none_serves: str
    against_rule: str
    steps: tuple[str, ...]
    why: tuple[str, ...]
    cautions: tuple[str, ...]
    runner_up: str
    next_reading: str
    two_sizes: str
    plates: tuple[FootPlate, ...]
    table: tuple[TableRow, ...]
    places: tuple[PlaceRow, ...]
    whole: str


def detail_of(answer: Answer, choice: Choice, wearer: Wearer, kept: KeptLast, units: Units = "mm") -> Detail:
    """Return one last of an answer told in full.

    Parameters
    ----------
    answer, choice
        Whose feet, and the answer's choice that was worked out in full.
    wearer
        The same wearer, with the day that the answer is for.
    kept
        The choice's last as kept.
    units
        What lengths are written in.
    """
    last = choice.last
    names = (last.code, last.maker, answer.code)
    said = partial(in_units, units=units, kept={name: name for name in names})
    by_kind = {reason.kind: sentence(reason, last) for reason in choice.why}
    feet, boot = feet_in_boot(answer, choice, wearer)
    rows = figures(feet, boot, units)
    shared = {sentence(reason) for reason in answer.remarks}
    return Detail(
        last_id=kept.id,
        maker_id=kept.maker_id,
        code=last.code,
        maker=last.maker,
        computed=_offered(choice, choice.order),
        trade_rule=_offered(choice, choice.trade_rule.order),
        least_wrong=_offered(choice, choice.least_wrong),
        also=", ".join(label_text(label, last) for label in choice.trade_rule.also),
        doubtful=said(by_kind.get("doubtful-place", "")),
        none_serves=said(by_kind.get("none-serves", "")),
        against_rule=said(" ".join(text for kind, text in by_kind.items() if kind in _AGAINST_RULE)),
        steps=tuple(map(said, sentences(choice.trade_rule.steps, last))),
        why=tuple(said(text) for kind, text in by_kind.items() if kind not in _ELSEWHERE),
        cautions=tuple(said(text) for text in sentences(choice.cautions, last) if text not in shared),
        runner_up=said(_runner_up(choice)),
        next_reading=_next_reading(choice),
        two_sizes=_two_sizes(choice),
        plates=foot_plates(feet, boot, title=f"{last.code}, {boot.label}", units=units),
        table=tuple(
            TableRow(
                row.foot,
                row.place,
                figure_text(row.of_boot, units),
                figure_text(row.of_foot, units),
                _signed(row.difference, units),
                row.words,
            )
            for row in rows
        ),
        places=_places(choice, units),
        whole=_whole(choice),
    )


def _offered(choice: Choice, label: Label | None) -> Offered | None:
    if label is None:
        return None
    size = size_text(label.size, choice.last.label_scale)
    return Offered(label_text(label, choice.last), size, label.width or "")


def _runner_up(choice: Choice) -> str:
    runner_up = choice.runner_up
    if runner_up is None:
        return ""
    label = label_text(runner_up.label, choice.last)
    tips = tips_when(runner_up)
    if tips is None:
        return f"{label} comes next; no change of one measure that may well be true would tip it."
    return f"{label} comes next; it would come first {tips}."


def _next_reading(choice: Choice) -> str:
    following = choice.next_reading
    if following is None:
        return ""
    return (
        f"Measure the {following.foot} {MEASURE_WORDS[following.what]} next:"
        " of one more reading it tells most."
    )


def _two_sizes(choice: Choice) -> str:
    two = choice.two_sizes
    if two is None:
        return ""
    left, right = (label_text(label, choice.last) for label in (two.left, two.right))
    return (
        f"The feet by themselves would take different sizes: left {left}, right {right};"
        f" loss {two.loss:.2f} against {choice.loss:.2f} for one size."
    )


def _places(choice: Choice, units: Units) -> tuple[PlaceRow, ...]:
    rows = []
    for place in PLACES:
        cells: list[str] = []
        for foot in FEET:
            verdict = choice.by_place[foot][place]
            if verdict is None:
                cells += ["not judged", ""]
            else:
                margin = f"{_signed(verdict.mean, units)} ±{figure_text(verdict.sd, units)}"
                cells += [margin, percent(verdict.right)]
        rows.append(PlaceRow(place, *cells))
    return tuple(rows)


def _signed(length: float, units: Units) -> str:
    amount = figure_text(abs(length), units)
    if not any(sign in "123456789" for sign in amount):
        return amount
    return f"{'+' if length > 0 else '−'}{amount}"


def _whole(choice: Choice) -> str:
    whole = f"Right all over by chance {percent(choice.chance)}"
    if len(choice.by_state) > 1:
        whole += f" ({_by_state(choice)})"
    return f"{whole}; loss {choice.loss:.2f}."


def _by_state(choice: Choice) -> str:
    return ", ".join(f"{state.name} {percent(state.chance)}" for state in choice.by_state)
