"""Where the figures of a last came from, and what does not agree, in words."""

from __future__ import annotations

from typing import Final

from heelball.last.description import LastFacts
from heelball.last.values import Last
from heelball.scales.catalogue import size_scale
from heelball.show.labels import label_text
from heelball.show.trade_words import Facts
from heelball.units import format_mm

_MEASURED: Final = {"flex_line": "flex line", "inside_length": "inside length", "ball_girth": "ball girth"}


def source_text(kind: str, last: Last) -> str:
    """Return where a figure came from, in words."""
    if kind == "size scale":
        return f"the size scale, {size_scale(last.label_scale).title}"
    if kind == "advice":
        return f"{last.maker}'s advice"
    paper = [pair.from_drawing for pair in last.measured]
    where = "a drawing" if all(paper) else "a drawing and a pair" if any(paper) else "a pair"
    return f"the {_MEASURED[kind]} measured on {where}"


def contradiction_text(facts: Facts) -> str:
    """Return the sentence about evidence that speaks against what stands before it.

    Parameters
    ----------
    facts
        A contradiction's `kind`, `label` as stamped, `found`, `expected` and `sd`, and the code of
        its `last`.
    """
    kind, code = facts["kind"], facts["last"]
    found, expected = (_runs(kind, facts[which]) for which in ("found", "expected"))
    if kind == "advice":
        return (
            f"An advice says that {code} {found}; what stands before it says that it {expected}"
            f" (±{facts['sd']:.1f}). Ask the maker which holds."
        )
    label = f" of the {facts['label']}" if facts["label"] is not None else ""
    return (
        f"By the {_MEASURED[kind]}{label} {code} {found}; what stands before it says that it {expected}"
        f" (±{format_mm(facts['sd'])} mm). Measure it again."
    )


def contradictions_texts(facts: LastFacts) -> list[str]:
    """Return the sentences about what contradicts among a last's evidence."""
    last = facts.last
    return [
        contradiction_text(
            {
                "kind": one.kind,
                "label": one.label and label_text(one.label, last),
                "found": one.found,
                "expected": one.expected,
                "sd": one.sd,
                "last": last.code,
            }
        )
        for one in facts.contradictions
    ]


def _runs(kind: str, value: float) -> str:
    """Return how a last runs, in the words of that place."""
    if kind == "advice":
        return f"runs {abs(value):.1f} sizes {'long' if value > 0 else 'short'}"
    more, less = {
        "flex_line": ("ahead", "behind"),
        "inside_length": ("long", "short"),
        "ball_girth": ("wide", "narrow"),
    }[kind]
    verb = "bends" if kind == "flex_line" else "runs"
    return f"{verb} {format_mm(abs(value))} mm {more if value > 0 else less}"
