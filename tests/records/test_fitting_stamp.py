"""What an answer was worked out from, told apart the same on both databases."""

from __future__ import annotations

from heelball.records.fitting_stamp import fitting_stamp
from heelball.records.gauge_marks import add_mark
from heelball.records.run_evidence import add_advice
from heelball.work.order_answer import AnswerProcess, Asked
from tests.kept_wearers import gauge_readings, keep_lasts, keep_wearer, take


def test_it_names_what_bears_on_the_answer_and_nothing_else(records, author):
    lasts = keep_lasts(records, 3, by=author)
    wearer = keep_wearer(records, "W1", gauge_readings("10", "10", "D"), signs={"diabetes": True}, by=author)
    with records.reading() as conn:
        before = fitting_stamp(conn, wearer, lasts[:2])
    kinds = {kind for kind, _, _ in before}
    assert kinds == {"wearers", "readings", "sittings", "health_answers", "lasts", "advice", "makers"}
    other = keep_wearer(records, "W2", gauge_readings("9", "9", "D"), by=author)
    with records.writing() as conn:
        add_advice(conn, lasts[2], basis="ball", order_sizes="0", by=author)
    with records.reading() as conn:
        assert fitting_stamp(conn, wearer, lasts[:2]) == before
        assert fitting_stamp(conn, other, ()) != fitting_stamp(conn, wearer, ())
    with records.writing() as conn:
        take(conn, wearer, gauge_readings("10", "10", "D", ("left",)), seen=6, by=author)
    with records.reading() as conn:
        after = fitting_stamp(conn, wearer, lasts[:2])
    assert len(after - before) == 4
    with records.writing() as conn:
        add_mark(conn, scale="gauge-men", what="ball", mark="10", measured_mm=199.0, by=author)
    with records.reading() as conn:
        assert fitting_stamp(conn, wearer, lasts[:2]) - after != frozenset()


def test_a_process_of_its_own_opens_the_same_records(records, author):
    lasts = keep_lasts(records, 3, by=author)
    wearer = keep_wearer(records, "W1", gauge_readings("10", "10", "D"), by=author)
    process = AnswerProcess(records, lambda: author.at)
    try:
        found = process.answer(Asked(wearer, lasts, author.at.date()))
    finally:
        process.stop()
    assert sorted(row.code for row in found.rows) == ["L1", "L2", "L3"]
