"""One wearer's choice as a bench note: what to order, the doubtful place first, and why."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import takewhile
from typing import Final

from heelball.fit.answers import Answer, Choice, Reason
from heelball.fit.wearer import PLACES, Wearer
from heelball.foot.vector import FEET, MEASURES
from heelball.last.values import Label, Last
from heelball.learn.question import Question, worth_asking, worth_of_all
from heelball.show.care_words import STANDING
from heelball.show.choice_words import deciding_place, tips_when
from heelball.show.labels import MEASURE_WORDS, label_text, percent
from heelball.show.letter import lasts_to_ask_about, question_to_maker, worth_text
from heelball.show.page import Line, heading, items, paragraph, table
from heelball.show.slip_words import slip_question
from heelball.show.terms import bends_and_measures, terms_of
from heelball.show.words import sentence, sentences

#: Rows of the list of other lasts; the rest are counted.
_LISTED: Final = 40

#: Slips asked about; the rest are counted.
_ASKED: Final = 3


def choice_note(
    answer: Answer, wearer: Wearer, worth: Callable[[Last], Sequence[Question]] = worth_asking
) -> list[Line]:
    """Return one wearer's note, at most 80 columns wide.

    The lasts that were worked out in full are told in full, the others in a ranked list. An
    urgent sign opens the note: no order stands above it.

    Parameters
    ----------
    answer, wearer
        What is told, and of whom.
    worth
        What a maker's answers about one last are worth; whoever tells of many wearers works it
        out once.
    """
    lines = heading(answer.code)
    urgent = [reason for reason in answer.referral if reason.kind == "urgent"]
    for reason in urgent:
        lines += heading(sentence(reason))
    lines += _feet(answer, wearer)
    lines += _section("Before ordering", sentences(r for r in answer.referral if r not in urgent))
    lines += _section("Ask about", _questions(answer, wearer))
    lines += _section("Mind", sentences(answer.remarks))
    told = [choice for choice in answer.choices if choice.detailed]
    if answer.choices and not answer.serves:
        lines += _made_pair(answer)
    shared = _shared_steps(told)
    lines += _section("The trade rule, for every last", shared)
    for rank, choice in enumerate(told, start=1):
        lines.append(Line(""))
        lines += _told(choice, rank, answer, shared)
    lines += _others(answer.choices[len(told) :], len(told))
    for maker, lasts in lasts_to_ask_about([choice.last for choice in told]).items():
        lines.append(Line(""))
        lines += heading(f"A question to {maker}, drafted")
        questions = worth_of_all(lasts, worth)
        lines += question_to_maker(maker, lasts, questions)
        lines += paragraph(worth_text(questions), first="  ")
    lines.append(Line(""))
    lines += paragraph(STANDING)
    return lines


def _section(title: str, texts: Sequence[str]) -> list[Line]:
    return [Line(""), *heading(title), *items(texts)] if texts else []


def _questions(answer: Answer, wearer: Wearer) -> list[str]:
    """Return the likeliest slips as questions: one slip often makes several others likely."""
    asked = [slip_question(slip, wearer.readings) for slip in answer.slips[:_ASKED]]
    more = len(answer.slips) - _ASKED
    return [*asked, f"And {more} less likely."] if more > 0 else asked


def _shared_steps(told: Sequence[Choice]) -> list[str]:
    """Return the first steps of the trade rule that are the same for every last told of."""
    if len(told) < 2:
        return []
    steps = [sentences(choice.trade_rule.steps, choice.last) for choice in told]
    return [texts[0] for texts in takewhile(lambda texts: len(set(texts)) == 1, zip(*steps, strict=False))]


def _feet(answer: Answer, wearer: Wearer) -> Iterator[Line]:
    """Yield each foot: trade terms first, millimetres beneath."""
    for foot in FEET:
        figures = answer.feet[foot]
        said = bends_and_measures(figures, wearer)
        letters = " or ".join(terms.letter for terms in terms_of(figures, wearer) if terms.letter)
        words = ", ".join(part for part in (said, f"{letters} across" if letters else "") if part)
        yield from paragraph(words or "nothing known", first=f"  {foot:<6}", rest=" " * 8)
        known = [
            f"{MEASURE_WORDS[measure]} {figure.mean:.0f} ±{figure.sd:.0f}"
            for measure in MEASURES[:3]
            if (figure := figures[measure]).mean is not None and figure.sd is not None
        ]
        if known:
            yield from paragraph(f"{', '.join(known)} mm", first=" " * 8)


def _made_pair(answer: Answer) -> Iterator[Line]:
    """Yield what a made pair would need: no label of any last serves."""
    yield Line("")
    yield from heading("No label of any last serves; a made pair would need")
    if answer.made_pair is None:
        return
    for foot in FEET:
        needs = [
            f"{MEASURE_WORDS[measure]} {figure.mean:.0f} ±{figure.sd:.0f}"
            for measure in MEASURES
            if (figure := answer.made_pair[foot][measure]).mean is not None and figure.sd is not None
        ]
        yield from paragraph(f"{', '.join(needs)} mm", first=f"  {foot:<6}", rest=" " * 8)


def _told(choice: Choice, rank: int, answer: Answer, shared: Sequence[str]) -> Iterator[Line]:
    last = choice.last
    name = f"{rank}. {last.code} by {last.maker}"
    label = label_text(choice.label, last)
    yield from heading(
        f"{name}: order {label}" if choice.order else f"{name}: none serves, {label} is least wrong"
    )
    by_kind = {reason.kind: reason for reason in choice.why}
    yield from paragraph(sentence(by_kind["doubtful-place"], last), first="   Doubtful    ")
    yield from _side_by_side(choice, len(shared))
    following = choice.next_reading
    if following is not None:
        what = f"the {following.foot} {MEASURE_WORDS[following.what]}: of one more reading it tells most"
        yield from paragraph(f"{what}.", first="   Re-measure  ")
    if choice.two_sizes is not None:
        two = choice.two_sizes
        pair = f"left {label_text(two.left, last)}, right {label_text(two.right, last)}"
        yield from paragraph(
            f"{pair}: loss {two.loss:.2f} against {choice.loss:.2f}.", first="   Two sizes   "
        )
    yield from _next_best(choice)
    said_elsewhere = {"doubtful-place", "none-serves", "trade-agrees", "trade-differs", "trade-orders-none"}
    yield from _listed(choice, [reason for reason in choice.why if reason.kind not in said_elsewhere], "Also")
    said_above = [
        reason for reason in choice.cautions if reason in answer.remarks or reason.kind == "standing"
    ]
    yield from _listed(choice, [reason for reason in choice.cautions if reason not in said_above], "Mind")
    yield from _detail(choice)


def _side_by_side(choice: Choice, shared: int) -> Iterator[Line]:
    last, rule = choice.last, choice.trade_rule
    computed = _order_text(choice.order, last)
    trade = _order_text(rule.order, last)
    also = f" (also {', '.join(label_text(label, last) for label in rule.also)})" if rule.also else ""
    yield from paragraph(f"computed {computed}; trade rule {trade}{also}.", first="   Two answers ")
    for reason in choice.why:
        if reason.kind in ("trade-differs", "trade-orders-none"):
            yield from paragraph(sentence(reason, last), first=" " * 15)
    for text in sentences(rule.steps, last)[shared:]:
        yield from paragraph(text, first=f"{' ' * 15}- ")


def _order_text(label: Label | None, last: Last) -> str:
    return "none" if label is None else label_text(label, last)


def _next_best(choice: Choice) -> Iterator[Line]:
    runner_up = choice.runner_up
    if runner_up is None:
        return
    tips = tips_when(runner_up)
    said = f"{label_text(runner_up.label, choice.last)}, loss {runner_up.loss:.2f} against {choice.loss:.2f}"
    yield from paragraph(f"{said}{f'; it would win {tips}' if tips else ''}.", first="   Next best   ")


def _listed(choice: Choice, reasons: Sequence[Reason], title: str) -> Iterator[Line]:
    first = f"   {title:<12}"
    for text in sentences(reasons, choice.last):
        yield from paragraph(text, first=f"{first}- ", rest=" " * 17)
        first = " " * 15


def _detail(choice: Choice) -> Iterator[Line]:
    """Yield the figures: margin and chance of being right, place by place, and the chance of all."""
    rows = [("", "left, mm", "right by", "right, mm", "right by")]
    for place in PLACES:
        row = []
        for foot in FEET:
            verdict = choice.by_place[foot][place]
            if verdict is None:
                row += ["not judged", ""]
            else:
                row += [f"{verdict.mean:+.1f} ±{verdict.sd:.1f}", percent(verdict.right)]
        rows.append((place, row[0], row[1], row[2], row[3]))
    yield from table(rows, indent=15, right=(1, 2, 3, 4))
    states = ", ".join(f"{state.name} {percent(state.chance)}" for state in choice.by_state)
    whole = f"Right all over by chance {percent(choice.chance)}"
    whole += f" ({states})" if len(choice.by_state) > 1 else ""
    yield from paragraph(f"{whole}; loss {choice.loss:.2f}.", first=" " * 15)


def _others(choices: Sequence[Choice], before: int) -> Iterator[Line]:
    """Yield the other lasts as a ranked list."""
    if not choices:
        return
    yield Line("")
    yield from heading("Other lasts, the better first")
    rows = [("", "last", "maker", "order", "trade rule", "doubtful")]
    for rank, choice in enumerate(choices[:_LISTED], start=before + 1):
        order = label_text(choice.label, choice.last)
        rows.append(
            (
                f"{rank}.",
                choice.last.code,
                choice.last.maker,
                order if choice.order else f"none ({order})",
                _order_text(choice.trade_rule.order, choice.last),
                deciding_place(choice),
            )
        )
    yield from table(rows)
    if len(choices) > _LISTED:
        yield from paragraph(f"and {len(choices) - _LISTED} more; --json lists them all.", first="  ")
    if any(choice.order is None for choice in choices[:_LISTED]):
        yield from paragraph("none: no label serves; the least wrong stands beside it.", first="  ")
