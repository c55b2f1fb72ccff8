"""Both feet as a bench note: in mm, in the trade's terms, with ±, and a plain remark."""

from __future__ import annotations

from heelball.fit.answers import Answer
from heelball.fit.wearer import Wearer
from heelball.foot.vector import FEET, MEASURES
from heelball.show.labels import MEASURE_WORDS
from heelball.show.page import Line, heading, items, paragraph, table
from heelball.show.slip_words import slip_question
from heelball.show.terms import feet_remark, measure_terms, terms_scales
from heelball.show.words import sentences


def foot_remarks(answer: Answer, wearer: Wearer) -> list[str]:
    """Return what is to be said of the feet: who to see first, then how they measure and bend."""
    return [*sentences(answer.referral), *feet_remark(answer.feet, wearer), *sentences(answer.remarks)]


def foot_note(answer: Answer, wearer: Wearer) -> list[Line]:
    """Return one wearer's note, at most 80 columns wide."""
    lines = heading(f"{answer.code}: both feet")
    rows = [("", "left, mm", "", "right, mm", "")]
    for measure in MEASURES:
        row = [MEASURE_WORDS[measure]]
        for foot in FEET:
            figure = answer.feet[foot][measure]
            known = figure.mean is not None and figure.sd is not None
            row.append(f"{figure.mean:.1f} ±{figure.sd:.1f}" if known else "not known")
            row.append(measure_terms(answer.feet[foot], wearer, measure) or "")
        rows.append((row[0], row[1], row[2], row[3], row[4]))
    lines += table(rows, right=(1, 3))
    scales = " and ".join(scale.title for scale in terms_scales(wearer))
    lines += paragraph(f"± is one standard deviation; sizes and letters on {scales}.", first="  ")
    lines += items(foot_remarks(answer, wearer))
    if answer.slips:
        lines += heading("To ask")
        lines += items(slip_question(slip, wearer.readings) for slip in answer.slips)
    return lines
