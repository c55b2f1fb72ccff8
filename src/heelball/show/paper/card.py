"""What stands on a fit card: the words, put together from an answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date as Date
from typing import Final

from heelball.fit.answers import Answer, Choice
from heelball.fit.wearer import PLACES, Place, Wearer
from heelball.foot.vector import FEET, Foot
from heelball.show.care_words import STANDING, WHEN_TO_BE_SEEN
from heelball.show.choice_words import deciding_place, tips_when, where_it_stands
from heelball.show.drawn import feet_in_boot
from heelball.show.labels import MEASURE_WORDS, label_text, percent
from heelball.show.lengths import Units, in_units
from heelball.show.paper.card_values import FitCard, Order, PlaceRow, Section
from heelball.show.paper.card_words import at_home, send_back
from heelball.show.paper.measures import NOT_READ, feet_read, measure_rows, scales_read
from heelball.show.paper.names import CODE, MAKER, NAME, cut, shown_names
from heelball.show.paper.sheet import made_text
from heelball.show.plate import Plate, plate_in_boot
from heelball.show.slip_words import slip_question
from heelball.show.terms import feet_remark
from heelball.show.words import sentence, sentences

#: Lasts on a card besides the one told in full; slips asked about; contradictions told. More are counted.
_OTHERS: Final = 3
_ASKED: Final = 3
_CONTRADICTIONS: Final = 2

_MADE: Final = "A made pair; what it would need stands on a sheet of its own."
_PLUS_MINUS: Final = "± is one standard deviation."
_TOLD_APART: Final = frozenset(
    {"doubtful-place", "none-serves", "trade-agrees", "trade-differs", "trade-orders-none"}
)


def card_of(
    answer: Answer,
    choices: Sequence[Choice],
    wearer: Wearer,
    *,
    day: Date,
    units: Units = "mm",
    name: str | None = None,
    fitter: str | None = None,
) -> FitCard:
    """Return what stands on the fit card.

    Parameters
    ----------
    answer
        What is said of the wearer.
    choices
        Those of the answer's choices that belong on the card: the first is told and drawn, the
        others get a line each. None: the answer's best.
    wearer
        Whose feet they are; of the signs only what the answer makes of them is shown.
    day
        The day on the card.
    units
        What lengths are shown in; marks stand as they were written.
    name
        The wearer's name, any text; None leaves the code alone.
    fitter
        The fitter's initials.
    """
    told = list(choices) or list(answer.choices[:1])
    writer = _Writer(units, shown_names(choice.last for choice in told))
    best = told[0] if told else None
    urgent = [reason for reason in answer.referral if reason.kind == "urgent"]
    before = writer.said(sentences(reason for reason in answer.referral if reason not in urgent))
    before += _questions(answer, wearer)
    mind = _mind(answer, best, writer)
    plate, plate_note = _plate(answer, best, wearer, units)
    ordered = best is not None and best.order is not None
    return FitCard(
        whose=cut(f"{cut(name, NAME)} · {cut(answer.code, CODE)}" if name else answer.code, NAME + CODE),
        made=made_text(day, fitter),
        day=day,
        urgent=tuple(sentences(urgent)),
        before=Section("Before ordering", tuple(before)) if before else None,
        feet=measure_rows(answer.feet, wearer, units),
        feet_notes=_feet_notes(answer, wearer),
        order=_order(answer, best, told[1 : _OTHERS + 1], writer) if best else None,
        places=_places(best, writer) if best else (),
        places_note=_places_note(best) if best else "",
        mind=Section("Mind", tuple(mind)) if mind else None,
        at_home=Section("Trying them on at home", at_home(wearer.day, units)) if ordered else None,
        send_back=Section("Sending them back", send_back(best.last)) if best and ordered else None,
        be_seen=Section("When to see a clinician", WHEN_TO_BE_SEEN),
        standing=STANDING,
        plate=plate,
        plate_note=plate_note,
    )


class _Writer:
    """Writes sentences for one card: lengths in its units, names as long as there is room."""

    def __init__(self, units: Units, names: Mapping[str, str]) -> None:
        self._units = units
        self._names = names

    def __call__(self, text: str) -> str:
        return in_units(text, self._units, self._names)

    def said(self, texts: Sequence[str]) -> list[str]:
        return [self(text) for text in texts]


def _questions(answer: Answer, wearer: Wearer) -> list[str]:
    """Return likely slips as questions; marks stand in them as they were written."""
    asked = [slip_question(slip, wearer.readings) for slip in answer.slips[:_ASKED]]
    return [*asked, *_counted(len(answer.slips) - _ASKED, "less likely")]


def _counted(more: int, what: str) -> list[str]:
    return [f"And {more} {what}."] if more > 0 else []


def _feet_notes(answer: Answer, wearer: Wearer) -> tuple[str, ...]:
    notes = [_PLUS_MINUS] if not answer.child else []
    scales = scales_read(wearer)
    notes += [scales] if scales else []
    read = feet_read(wearer)
    if not answer.child:
        if len(read) < len(FEET):
            unread = " and ".join(foot for foot in FEET if foot not in read)
            notes.append(
                f"Nothing was read of the {unread} foot: its figures are what the other makes likely."
            )
        elif any(
            NOT_READ in (row.left.read, row.right.read) for row in measure_rows(answer.feet, wearer, "mm")
        ):
            notes.append("What was not read is what the rest makes likely.")
        notes += feet_remark({foot: answer.feet[foot] for foot in read}, wearer)
    return tuple(notes)


def _order(answer: Answer, best: Choice, others: Sequence[Choice], writer: _Writer) -> Order:
    last = best.last
    label = label_text(best.label, last)
    whose = f"{cut(last.code, CODE)} by {cut(last.maker, MAKER)}"
    if best.order is not None:
        heading = f"Order {label} of {whose}"
    elif answer.serves:
        heading = f"No label of {whose} serves; {label} is least wrong"
    else:
        heading = f"No label of any last serves; {label} of {whose} is least wrong"
    rows = [(title, writer(text)) for title, text in _reasons(best)]
    if not answer.serves:
        rows.append(("Instead", _MADE))
    lines = [_other(choice) for choice in others]
    return Order(heading, tuple(rows), tuple(lines))


def _reasons(best: Choice) -> list[tuple[str, str]]:
    """Return why, the doubtful place first and the trade rule's answer beside the computed one."""
    last, rule = best.last, best.trade_rule
    by_kind = {reason.kind: reason for reason in best.why}
    rows = []
    if "doubtful-place" in by_kind:
        rows.append(("Doubtful", sentence(by_kind["doubtful-place"], last)))
    else:
        rows.append(("Doubtful", deciding_place(best)))
    against = [
        sentence(by_kind[kind], last)
        for kind in ("trade-agrees", "trade-differs", "trade-orders-none")
        if kind in by_kind
    ]
    if not against:
        against = [label_text(rule.order, last) if rule.order else "none"]
    rows.append(("Trade rule", " ".join(against)))
    why = [sentence(reason, last) for reason in best.why if reason.kind not in _TOLD_APART]
    if why:
        rows.append(("Why", " ".join(dict.fromkeys(why))))
    if best.runner_up is not None:
        tips = tips_when(best.runner_up)
        then = f"; it would win {tips}" if tips else ""
        rows.append(("Next best", f"{label_text(best.runner_up.label, last)} of the same last{then}."))
    if best.next_reading is not None:
        following = best.next_reading
        measure = MEASURE_WORDS[following.what]
        rows.append(("Re-measure", f"The {following.foot} {measure}: of one more reading it tells most."))
    if best.two_sizes is not None:
        pair = ", ".join(f"{foot} {label_text(getattr(best.two_sizes, foot), last)}" for foot in FEET)
        rows.append(("Two sizes", f"Each foot by itself: {pair}."))
    return rows


def _other(choice: Choice) -> str:
    said = label_text(choice.label, choice.last)
    which = f"{cut(choice.last.code, CODE)} by {cut(choice.last.maker, MAKER)}"
    if choice.order is None:
        return f"{which}: none serves, {said} is least wrong."
    return f"{said} of {which}; doubtful: {deciding_place(choice)}."


def _places(best: Choice, writer: _Writer) -> tuple[PlaceRow, ...]:
    return tuple(PlaceRow(place, *(_stands(best, foot, place, writer) for foot in FEET)) for place in PLACES)


def _stands(best: Choice, foot: Foot, place: Place, writer: _Writer) -> str:
    verdict = best.by_place[foot][place]
    if verdict is None:
        return "not judged"
    words = where_it_stands(place, verdict.mean).removeprefix("the boot ")
    return writer(f"{words} (±{verdict.sd:.1f} mm)")


def _places_note(best: Choice) -> str:
    states = ", ".join(
        f"{cut(state.name, CODE)} {percent(state.chance)}" for state in best.by_state[:_OTHERS]
    )
    through = f" ({states})" if len(best.by_state) > 1 else ""
    return f"Right all over by chance {percent(best.chance)}{through}."


def _mind(answer: Answer, best: Choice | None, writer: _Writer) -> list[str]:
    """Return remarks and cautions, each once; many contradictions of one last are counted."""
    # The maker's terms are told where sending back is.
    elsewhere = {"standing"} | ({"no-exchanges"} if best and best.order else set())
    cautions = [reason for reason in best.cautions if reason.kind not in elsewhere] if best else []
    apart = [reason for reason in cautions if reason.kind == "contradiction"]
    reasons = [*answer.remarks, *(reason for reason in cautions if reason not in apart)]
    last = best.last if best else None
    texts = sentences([*reasons, *apart[:_CONTRADICTIONS]], last)
    more = _counted(len(apart) - _CONTRADICTIONS, "more that do not agree")
    return [*writer.said(texts), *more]


def _plate(answer: Answer, best: Choice | None, wearer: Wearer, units: Units) -> tuple[Plate | None, str]:
    """Return the drawing, and what is to be said of it or of why there is none."""
    if best is None:
        return None, ""
    read = feet_read(wearer)
    feet, boot = feet_in_boot(answer, best, wearer)
    drawn = [foot for foot in feet if foot.foot in read]
    if not drawn:
        return None, "Nothing was read of either foot, so neither is drawn."
    plate = plate_in_boot(drawn, boot, title=f"{boot.label} of {boot.last}", units=units)
    unread = "".join(f" The {foot} foot was not read and is not drawn." for foot in FEET if foot not in read)
    short = f" {boot.toe_deduction:.0f} mm short of" if boot.toe_deduction else ""
    toe = in_units(f"Toe room counted to{short} the inside end.", units)
    return plate, f"In the {boot.label} of {cut(boot.last, CODE)}, from above. {toe}{unread}"
