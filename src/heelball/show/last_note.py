"""A last as a bench note: the foot each label is built for, how sure, and where it came from."""

from __future__ import annotations

from typing import Final

from heelball.last.description import LastFacts
from heelball.last.values import Advice, Last, MeasuredPair
from heelball.scales.catalogue import size_scale
from heelball.show.labels import label_text, offer_text, sizes_text
from heelball.show.page import Line, heading, items, paragraph, table
from heelball.show.run_words import contradictions_texts, source_text
from heelball.units import format_mm

_TOES: Final = {
    "round": "round toe",
    "almond": "almond toe",
    "pointed": "pointed toe",
    "hard-cap": "hard toe cap",
}


def last_note(facts: LastFacts) -> list[Line]:
    """Return one last's note, at most 80 columns wide."""
    last = facts.last
    lines = heading(f"{last.code} by {last.maker}")
    about = f"{size_scale(last.label_scale).title} labels {offer_text(last)}"
    like = f"{last.stiffness}, {_TOES[last.toe]}, {_closing(last)}"
    lines += paragraph(f"{about}; {like}.", first="  ")
    lines += items(_said_of_it(last))
    lines.append(Line(""))
    rows: list[tuple[str, ...]] = [("label", "length", "heel-to-ball", "breadth", "girth", "heel")]
    for label in facts.labels:
        figures = (label.built_for[measure] for measure in ("length", "ball", "breadth", "girth", "heel"))
        rows.append(
            (label_text(label.label, last), *(f"{figure.mean:.1f} ±{figure.sd:.1f}" for figure in figures))
        )
    lines += table(rows, right=range(1, 6))
    lines.append(Line(""))
    lines += paragraph("The foot each label is built for, in mm, ± one standard deviation.", first="  ")
    by_source: dict[tuple[str, ...], list[str]] = {}
    for label in facts.labels:
        by_source.setdefault(label.sources, []).append(label_text(label.label, last))
    for kinds, labels in by_source.items():
        whose = "All figures" if len(by_source) == 1 else f"Those of {', '.join(labels)}"
        lines += paragraph(
            f"{whose} come from {_joined([source_text(kind, last) for kind in kinds])}.", first="  "
        )
    if facts.contradictions:
        lines.append(Line(""))
        lines += heading("Does not agree")
        lines += items(contradictions_texts(facts))
    return lines


def _closing(last: Last) -> str:
    return "laced" if last.closing == "lace" else "pull-on"


def advice_text(advice: Advice, last: Last) -> str:
    """Return what a maker advises of a last, in a sentence."""
    named = {"ball": "the ball size", "length": "the length size"}.get(advice.basis)
    named = named or f"the {size_scale(advice.scale or last.label_scale).title} size"
    if advice.order is None:
        return f"{last.maker} gives a table of {len(advice.table)} gauge readings and their labels."
    if advice.order == 0:
        return f"{last.maker} says: order {named}."
    side = "down" if advice.order < 0 else "up"
    return f"{last.maker} says: {sizes_text(advice.order)} {side} from {named}."


def measured_text(pair: MeasuredPair, last: Last) -> str:
    """Return what was measured on one pair of a last, in a sentence."""
    width = f" {pair.width}" if pair.width else ""
    label = f"{size_scale(last.label_scale).format(pair.size)}{width}"
    figures = [
        f"{name} {format_mm(value)} mm"
        for name, value in (
            ("inside length", pair.inside_length),
            ("flex line", pair.flex_line),
            ("ball girth", pair.ball_girth),
        )
        if value is not None
    ]
    how = "From a drawing of" if pair.from_drawing else "Measured on"
    return f"{how} the {label}: {', '.join(figures)}."


def _said_of_it(last: Last) -> list[str]:
    """Return what the maker advises, and the pairs measured."""
    said = [advice_text(advice, last) for advice in last.advice]
    said += [measured_text(pair, last) for pair in last.measured]
    return said or ["No advice and no pair measured: only the labels speak."]


def _joined(texts: list[str]) -> str:
    return texts[0] if len(texts) == 1 else f"{', '.join(texts[:-1])} and {texts[-1]}"
