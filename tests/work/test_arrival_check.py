"""The check of a boot that came is kept with its pair and counts as a measured pair of its last."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from heelball.errors import InputError
from heelball.records.changes import list_changes_of
from heelball.records.lasts import find_last
from heelball.records.pairs import find_pair
from heelball.records.refused import Conflict
from heelball.records.run_evidence import list_measured
from heelball.records.store import Records, open_records
from heelball.records.values import Author, KeptPair
from heelball.work.arrival_check import arrival_of, check_arrival, written_arrival
from heelball.work.pair_history import history, undo_step
from heelball.work.pairs import arrive, order_pair, own_pair
from tests.shop import Shop, open_shop

NOW = datetime(2026, 3, 14, 10, 20, tzinfo=UTC)
BY = Author("QB", NOW)
FAR_BACK = {"box": "10|D", "inside_length_mm": "280", "flex_line_mm": "190"}
NO_LENGTHS = {"box": FAR_BACK["box"]}


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records(tmp_path, now=NOW)
    yield opened
    opened.close()


@pytest.fixture
def shop(records: Records) -> Shop:
    return open_shop(records, BY)


@pytest.fixture
def pair(records: Records, shop: Shop) -> KeptPair:
    said = {"chance": 0.4}
    ordered = order_pair(records, shop.wearer_id, shop.last_id, "10", "D", said, BY)
    return arrive(records, ordered.id, 1, NOW.date(), BY)


def _check(
    records: Records, pair: KeptPair, typed, *, units: str = "mm", seen: int | None = None
) -> KeptPair:
    return check_arrival(records, pair.id, seen or pair.version, typed, units=units, by=BY)


def _measured(records: Records, pair: KeptPair):
    with records.reading() as conn:
        return find_last(conn, pair.last_id).measured


def test_what_was_measured_counts_for_the_last_and_what_it_says_is_kept(records, pair):
    checked = _check(records, pair, FAR_BACK | {"heel_slips": "yes", "note": "stiff"})
    found = arrival_of(checked)
    assert (checked.answer or {})["chance"] == 0.4
    assert (found["flex_line_mm"], found["inside_length_mm"], found["ball_girth_mm"]) == (190.0, 280.0, None)
    (measured,) = _measured(records, pair)
    assert measured.id == found["measured_id"]
    assert (measured.size, measured.width, measured.flex_line_mm) == ("10", "D", 190.0)
    assert measured.origin == "measured at the bench on a pair that came 2026-03-14"
    length, line, answer, slips = found["said"]
    assert length.startswith("Inside 11.8 mm shorter than expected, far outside")
    assert line.startswith("Flex line 13.7 mm further back than expected, far outside")
    assert "would now be ordered from N7, not 10 D" in answer
    assert slips.startswith("The heel slips")


def test_inches_are_taken_as_typed(records, pair):
    found = arrival_of(_check(records, pair, {"box": "10|D", "flex_line_mm": "7 7/8"}, units="in"))
    assert found["flex_line_mm"] == pytest.approx(200.025)
    found = arrival_of(_check(records, pair, {"box": "10|D", "flex_line_mm": "200 mm"}, units="in", seen=3))
    assert found["flex_line_mm"] == 200.0


def test_another_label_on_the_box_is_said_and_measured_as_that_label(records, pair):
    checked = _check(records, pair, {"box": "10|EE", "flex_line_mm": "200", "boots_differ": "yes"})
    said = arrival_of(checked)["said"]
    assert said[0].startswith("The box says 10 EE; 10 D was ordered.")
    assert said[-1].startswith("The two boots differ")
    assert _measured(records, pair)[0].width == "EE"


def test_checked_again_the_same_boot_counts_once(records, pair):
    first = _check(records, pair, FAR_BACK)
    again = _check(records, first, FAR_BACK)
    assert arrival_of(again)["said"] == arrival_of(first)["said"]
    assert len(_measured(records, pair)) == 1
    nothing = _check(records, again, {"box": "10|D"})
    assert _measured(records, pair) == ()
    assert arrival_of(nothing)["said"] == []


def test_undoing_a_check_takes_its_measures_from_the_last(records, pair):
    first = _check(records, pair, FAR_BACK)
    second = _check(records, first, {"box": "10|D", "flex_line_mm": "200"})
    with records.reading() as conn:
        step = history(conn, second)[0]
    assert (step.text, step.can_undo) == ("the boot that came checked", True)
    undo_step(records, pair.id, step.id, BY)
    (stands,) = _measured(records, pair)
    assert stands.id == arrival_of(first)["measured_id"]
    with records.reading() as conn:
        first_step = next(s for s in list_changes_of(conn, "pairs", pair.id) if s.id < step.id)
    undo_step(records, pair.id, first_step.id, BY)
    assert _measured(records, pair) == ()
    with records.reading() as conn:
        assert arrival_of(find_pair(conn, pair.id)) == {}
        assert len(list_measured(conn, pair.last_id)) == 2


@pytest.mark.parametrize(
    ("typed", "places"),
    [
        ({}, ["box"]),
        ({"flex_line_mm": "200"}, ["box"]),
        ({"box": "13|D", "flex_line_mm": "200"}, ["box"]),
        ({"box": "10|D", "flex_line_mm": "20,5"}, ["flex_line_mm"]),
        ({"box": "10|D", "flex_line_mm": "long"}, ["flex_line_mm"]),
        ({"box": "10|D", "flex_line_mm": "300", "inside_length_mm": "290"}, ["flex_line_mm"]),
        ({"box": "nonsense"}, ["box"]),
    ],
)
def test_what_cannot_be_is_named_and_nothing_is_written(records, pair, typed, places):
    with pytest.raises(InputError) as refused:
        _check(records, pair, typed)
    assert [problem.place for problem in refused.value.problems] == places
    assert _measured(records, pair) == ()
    with records.reading() as conn:
        assert find_pair(conn, pair.id) == pair


def test_only_a_boot_that_is_there_is_checked(records, shop):
    ordered = order_pair(records, shop.wearer_id, shop.last_id, "10", "D", None, BY)
    with pytest.raises(InputError, match="still on order"):
        _check(records, ordered, FAR_BACK)
    owned = own_pair(records, shop.wearer_id, shop.last_id, "10", "D", BY)
    _check(records, owned, FAR_BACK)
    assert _measured(records, owned)[0].origin.endswith("a pair that a wearer brought")


def test_the_second_fitter_is_told(records, pair):
    _check(records, pair, FAR_BACK)
    with pytest.raises(Conflict):
        _check(records, pair, {"box": "10|D"})
    assert len(_measured(records, pair)) == 1


def test_a_check_is_written_as_it_was_typed(records, pair):
    assert written_arrival(pair, "mm") == {}
    typed = FAR_BACK | {"ball_girth_mm": "", "heel_slips": "yes", "boots_differ": "", "note": "stiff"}
    assert written_arrival(_check(records, pair, typed), "mm") == typed


def test_a_slip_of_the_rule_is_kept_and_shown_and_tells_nothing_of_the_last(records, pair):
    checked = _check(records, pair, {**NO_LENGTHS, "flex_line_mm": "80", "inside_length_mm": "288"})
    (only,) = _measured(records, pair)
    assert (only.flex_line_mm, only.inside_length_mm) == (None, 288.0)
    assert arrival_of(checked)["flex_line_mm"] == 80.0
    assert any("It is left out here." in said for said in arrival_of(checked)["said"])
    again = _check(records, checked, {**NO_LENGTHS, "flex_line_mm": "80"})
    assert not _measured(records, again)
