"""The record of one wearer's feet: ``heelball/foot/1``."""

from __future__ import annotations

from typing import Any, Final

from heelball.fit.answers import Answer
from heelball.fit.wearer import Wearer
from heelball.foot.vector import FEET, MEASURES
from heelball.show.foot_note import foot_remarks
from heelball.show.terms import measure_terms
from heelball.work.figures_json import measures_record, slips_record

SCHEMA: Final = "heelball/foot/1"


def foot_record(answer: Answer, wearer: Wearer) -> dict[str, Any]:
    """Return the contracted record of both feet, in mm and in the trade's terms."""
    record: dict[str, Any] = {"schema": SCHEMA, "wearer": answer.code}
    for foot in FEET:
        figures = answer.feet[foot]
        measures = measures_record(figures)
        record[foot] = {
            measure: {**measures[measure], "terms": measure_terms(figures, wearer, measure)}
            for measure in MEASURES
        }
    record["slips"] = slips_record(answer.slips, wearer.readings)
    record["remarks"] = foot_remarks(answer, wearer)
    return record
