"""The record of one last: ``heelball/last/1``."""

from __future__ import annotations

from typing import Any, Final

from heelball.last.description import LabelFacts, LastFacts
from heelball.show.run_words import contradictions_texts, source_text
from heelball.work.figures_json import label_record, mm

SCHEMA: Final = "heelball/last/1"


def last_record(facts: LastFacts) -> dict[str, Any]:
    """Return the contracted record: which foot each label is built for, and from what."""
    return {
        "schema": SCHEMA,
        "last": facts.last.code,
        "maker": facts.last.maker,
        "labels": [_label(label, facts) for label in facts.labels],
        "remarks": contradictions_texts(facts),
    }


def _label(label: LabelFacts, facts: LastFacts) -> dict[str, Any]:
    return {
        **label_record(label.label, facts.last),
        "built_for": {
            measure: {"mean_mm": mm(figure.mean), "sd_mm": mm(figure.sd)}
            for measure, figure in label.built_for.items()
        },
        "from": [source_text(kind, facts.last) for kind in label.sources],
    }
