"""The wearers held ready, and what the day's control means."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from heelball.errors import InputError
from heelball.fit.wearer import DayState
from heelball.records.gauge_marks import add_mark
from heelball.records.health import keep_health
from heelball.records.lasts import change_last, find_last
from heelball.records.makers import change_maker, find_maker
from heelball.records.pairs import add_pair
from heelball.records.readings import list_readings, withdraw_reading
from heelball.records.run_evidence import add_advice, add_measured
from heelball.records.store import Records, open_records
from heelball.records.values import Author
from heelball.records.wearers import change_wearer, find_wearer
from heelball.work.day_control import MAPPING, Moment, day_words, read_moment
from heelball.work.held import MOST_HELD, Holdings
from heelball.work.order_answer import Asked, answered
from tests.kept_wearers import DAY, gauge_readings, keep_lasts, keep_wearer, take

NOW = datetime(2026, 3, 14, 10, 20, tzinfo=UTC)
BY = Author("QB", NOW)
TODAY = NOW.date()


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    kept = open_records(tmp_path, now=NOW)
    yield kept
    kept.close()


def _withdraw(conn, wearer, lasts):
    (first, *_) = list_readings(conn, wearer)
    withdraw_reading(conn, first.id, first.version, by=BY)


def _day(conn, wearer, lasts):
    change_wearer(conn, wearer, find_wearer(conn, wearer).version, {"day": DAY}, by=BY)


def _maker(conn, wearer, lasts):
    maker = find_maker(conn, find_last(conn, lasts[0]).maker_id)
    change_maker(conn, maker.id, maker.version, {"name": "Tarrowdene"}, by=BY)


def _reading(conn, wearer, lasts):
    take(conn, wearer, gauge_readings("11", "11", "D"), seen=6, by=BY)


def _health(conn, wearer, lasts):
    keep_health(conn, wearer, {"wound": True}, consents=True, seen=0, by=BY)


def _ruler(conn, wearer, lasts):
    add_mark(conn, scale="gauge-men", what="ball", mark="10", measured_mm=199.0, by=BY)


def _pair(conn, wearer, lasts):
    add_pair(conn, wearer, lasts[0], size="10", width="D", answer=None, by=BY)


def _last(conn, wearer, lasts):
    change_last(conn, lasts[0], find_last(conn, lasts[0]).version, {"toe": "hard-cap"}, by=BY)


def _advice(conn, wearer, lasts):
    add_advice(conn, lasts[0], basis="ball", order_sizes="-1", by=BY)


def _measured(conn, wearer, lasts):
    add_measured(conn, lasts[0], size="10", width="D", flex_line_mm=205.0, by=BY)


#: Each thing that may be written and bears on the answer.
WRITES: dict[str, Callable] = {
    "a reading": _reading,
    "a reading withdrawn": _withdraw,
    "the day": _day,
    "health": _health,
    "a ruler on the gauge": _ruler,
    "a pair": _pair,
    "a last": _last,
    "advice": _advice,
    "a measured pair": _measured,
    "a maker's name": _maker,
}


@pytest.mark.parametrize("what", WRITES)
def test_a_wearer_is_held_ready_until_something_that_bears_on_it_is_written(records, what):
    lasts = keep_lasts(records, 3, by=BY)
    wearer = keep_wearer(records, "W1", gauge_readings("10", "10 1/2", "D"), by=BY)
    holdings = Holdings()
    first = holdings.hold(records, wearer, lasts, today=TODAY)
    assert holdings.hold(records, wearer, lasts[::-1], today=TODAY) is first
    with records.writing() as conn:
        WRITES[what](conn, wearer, lasts)
    again = holdings.hold(records, wearer, lasts, today=TODAY)
    assert again is not first
    assert holdings.hold(records, wearer, lasts, today=TODAY) is again


def test_what_bears_on_another_wearer_or_last_leaves_it_ready(records):
    lasts = keep_lasts(records, 3, by=BY)
    wearer = keep_wearer(records, "W1", gauge_readings("10", "10 1/2", "D"), by=BY)
    holdings = Holdings()
    first = holdings.hold(records, wearer, lasts[:2], today=TODAY)
    keep_wearer(records, "W2", gauge_readings("9", "9", "D"), by=BY)
    with records.writing() as conn:
        add_advice(conn, lasts[2], basis="ball", order_sizes="-1", by=BY)
    assert holdings.hold(records, wearer, lasts[:2], today=TODAY) is first
    assert holdings.hold(records, wearer, lasts[:2], today=date(2029, 1, 1)) is not first


def test_only_so_many_stay_ready_the_oldest_go_first(records, monkeypatch):
    monkeypatch.setattr("heelball.work.held._KEPT_READY", 3)
    lasts = keep_lasts(records, 1, by=BY)
    wearers = [keep_wearer(records, f"W{n}", gauge_readings("10", "10", "D"), by=BY) for n in range(4)]
    holdings = Holdings()
    held = [holdings.hold(records, wearer, lasts, today=TODAY) for wearer in wearers]
    assert len(holdings) == 3
    assert holdings.hold(records, wearers[3], lasts, today=TODAY) is held[3]
    assert holdings.hold(records, wearers[0], lasts, today=TODAY) is not held[0]


def test_more_than_a_page_of_lasts_and_unknown_ones_are_refused(records):
    lasts = keep_lasts(records, MOST_HELD + 1, by=BY)
    wearer = keep_wearer(records, "W1", gauge_readings("10", "10", "D"), by=BY)
    with pytest.raises(InputError, match="21 lasts; wanted at most 20"):
        Holdings().hold(records, wearer, lasts, today=TODAY)
    with pytest.raises(InputError, match="a last that is not in the records"):
        Holdings().hold(records, wearer, [lasts[0], "zzzzzzzzzzzzzzzz"], today=TODAY)


@pytest.mark.parametrize(
    ("hours", "heat", "swelling"),
    [
        ("0", "cool", "rest"),
        ("0.9", "cool", "rest"),
        ("1", "cool", "ordinary"),
        ("7 1/2", "cool", "ordinary"),
        ("8", "cool", "hot"),
        ("0", "hot", "ordinary"),
        ("1", "hot", "hot"),
        ("24", "hot", "hot"),
    ],
)
def test_hours_and_heat_count_as_one_of_three_swellings(hours, heat, swelling):
    assert read_moment({"hours": hours, "heat": heat}).swelling == swelling


def test_the_page_says_where_the_steps_lie():
    assert "under 1 hour" in MAPPING
    assert "from 8 hours" in MAPPING
    assert "judgement" in MAPPING


def test_a_moment_is_read_as_it_is_typed():
    moment = read_moment({"sock": "thick", "hours": "2½", "heat": "hot", "insole": "1/8"}, "in")
    assert moment.hours == 2.5
    assert moment.insole == pytest.approx(3.175)
    assert moment.state == DayState("this moment", 1.0, 3.0, "hot", moment.insole)
    assert read_moment({}) == Moment()


def test_every_field_that_cannot_be_read_is_named():
    with pytest.raises(InputError) as met:
        read_moment({"sock": "woolly", "hours": "25", "heat": "tropical", "insole": "30"})
    assert {problem.place: problem.wanted for problem in met.value.problems} == {
        "sock": "thin, medium or thick",
        "heat": "cool or hot",
        "hours": "hours, 0 to 24",
        "insole": "0 to 20 mm",
    }


def test_a_number_that_could_be_thousands_is_asked_about_and_what_a_page_writes_is_not():
    with pytest.raises(InputError) as met:
        read_moment({"hours": "1.500", "insole": "2.250 mm"})
    assert [str(problem) for problem in met.value.problems] == [
        "hours: '1.500' could be decimals or thousands; wanted 1.5 or 1500",
        "insole: '2.250' could be decimals or thousands; wanted 2.25 or 2250",
    ]
    assert read_moment({"hours": "0.250", "insole": "3.175"}) == Moment(hours=0.25, insole=3.175)


def test_a_day_is_told_in_words():
    assert day_words(
        (DayState("evening", 0.7, 3.0, "hot", 2.0), DayState("night", 0.3, 4.5, "rest", 0.0))
    ) == [
        "evening, 70 %: thick sock, foot swollen, insole of 2 mm",
        "night, 30 %: sock of 4.5 mm, foot rested",
    ]
    assert "Nothing is kept" in day_words(())[0]


def test_answer_list_and_drawing_move_with_the_day(records):
    lasts = keep_lasts(records, 4, by=BY)
    wearer = keep_wearer(records, "W1", gauge_readings("10", "10 1/2", "D"), by=BY)
    rest = answered(records, Holdings(), Asked(wearer, lasts, TODAY, Moment("thin", 0.0)))
    swollen = answered(records, Holdings(), Asked(wearer, lasts, TODAY, Moment("thick", 9.0, "hot", 4.0)))
    assert rest.detail is not None
    assert swollen.detail is not None
    assert rest.rows != swollen.rows
    assert rest.detail.plates != swollen.detail.plates
    assert rest.detail.table != swollen.detail.table


def test_the_table_says_what_the_drawing_says(records):
    lasts = keep_lasts(records, 1, by=BY)
    wearer = keep_wearer(records, "W1", gauge_readings("10", "10 1/2", "D"), by=BY)
    for units in ("mm", "in"):
        found = answered(records, Holdings(), Asked(wearer, lasts, TODAY, units=units))
        assert found.detail is not None
        for plate in found.detail.plates:
            rows = [row for row in found.detail.table if row.foot == plate.foot]
            assert len(rows) == 3
            said = plate.svg.partition("<desc")[2].partition("</desc>")[0]
            assert all(row.words in said for row in rows)
            # The style sheet is the page's: none comes along inside.
            assert "<style" not in plate.svg
