"""What is told of a fit: blank is unknown, health is answered and not kept."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import pytest

from heelball.errors import InputError
from heelball.fit.wearer import OwnedPair
from heelball.records.refused import Conflict, NotFound
from heelball.records.store import Records, open_records
from heelball.records.try_ons import list_try_ons
from heelball.records.values import Author
from heelball.work.pairs import arrive, close, order_pair, own_pair
from heelball.work.pairs_told import owned_pairs
from heelball.work.told_fit import cautions
from heelball.work.try_ons import (
    find_of_pair,
    keep_try_on,
    mend_try_on,
    take_out_try_on,
    written_try_on,
)
from tests.shop import Shop, open_shop

NOW = datetime(2026, 3, 14, 10, 20, tzinfo=UTC)
BY = Author("QB", NOW)


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records(tmp_path, now=NOW)
    yield opened
    opened.close()


@pytest.fixture
def shop(records: Records) -> Shop:
    return open_shop(records, BY)


@pytest.fixture
def pair_id(records: Records, shop: Shop) -> str:
    ordered = order_pair(records, shop.wearer_id, shop.last_id, "10", "D", None, BY)
    return arrive(records, ordered.id, 1, NOW.date(), BY).id


def test_what_is_blank_is_not_said(records, pair_id):
    told = {"left_ball": "little", "right_toe": "right", "left_heel": "", "hours": "1 1/2", "sock": "thick"}
    kept = keep_try_on(records, pair_id, told, BY)
    assert kept.verdicts == {"left": {"ball": "little"}, "right": {"toe": "right"}}
    assert (kept.on, kept.hours, kept.sock, kept.swelling) == ("2026-03-14", 1.5, "thick", None)


@pytest.mark.parametrize(
    ("told", "place"),
    [
        ({}, "verdicts"),
        ({"left_ball": "ok"}, "left_ball"),
        ({"left_ball": "right", "on": "2026-03-15"}, "on"),
        ({"left_ball": "right", "on": "2026-03-13"}, "on"),
        ({"left_ball": "right", "on": "yesterday"}, "on"),
        ({"left_ball": "right", "hours": "long"}, "hours"),
        ({"left_ball": "right", "hours": "1,500"}, "hours"),
        ({"left_ball": "right", "hours": "1.500"}, "hours"),
        ({"left_ball": "right", "hours": "90000"}, "hours"),
        ({"left_ball": "right", "sock": "woolly"}, "sock"),
        ({"left_ball": "right", "swelling": "huge"}, "swelling"),
    ],
)
def test_what_cannot_be_is_named_and_nothing_is_written(records, pair_id, told, place):
    with pytest.raises(InputError) as refused:
        keep_try_on(records, pair_id, told, BY)
    assert [problem.place for problem in refused.value.problems] == [place]
    with records.reading() as conn:
        assert list_try_ons(conn) == []


def test_a_pair_on_order_was_not_tried_on(records, shop):
    ordered = order_pair(records, shop.wearer_id, shop.last_id, "10", "D", None, BY)
    with pytest.raises(InputError, match="still on order"):
        keep_try_on(records, ordered.id, {"note": "loose"}, BY)


def test_several_try_ons_are_mended_and_taken_out_each_by_itself(records, pair_id):
    first = keep_try_on(records, pair_id, {"left_ball": "little"}, BY)
    second = keep_try_on(records, pair_id, {"left_ball": "right"}, BY)
    assert mend_try_on(records, pair_id, first.id, 1, {"left_ball": "much"}, BY).version == 2
    with pytest.raises(Conflict):
        take_out_try_on(records, pair_id, first.id, 1, BY)
    take_out_try_on(records, pair_id, second.id, 1, BY)
    with records.reading() as conn:
        (left,) = list_try_ons(conn, pair_id=pair_id)
    assert left.verdicts == {"left": {"ball": "much"}}


def test_another_pairs_try_on_is_not_found(records, shop, pair_id):
    other = own_pair(records, shop.wearer_id, shop.last_id, "10", "D", BY)
    kept = keep_try_on(records, other.id, {"note": "loose"}, BY)
    with pytest.raises(NotFound):
        find_of_pair(records, pair_id, kept.id)
    with pytest.raises(NotFound):
        take_out_try_on(records, pair_id, kept.id, 1, BY)


def test_a_try_on_is_written_as_it_was_told(records, pair_id):
    told = {
        "on": "2026-03-14",
        "hours": "1.5",
        "sock": "thick",
        "swelling": "hot",
        "left_ball": "much",
        "note": "n",
    }
    written = written_try_on(keep_try_on(records, pair_id, told, BY))
    assert {name: value for name, value in written.items() if value} == told
    assert len(written) == 5 + 10


def test_pain_and_numbness_are_answered_by_ticks_and_notes():
    assert cautions({}) == []
    assert "doctor or podiatrist" in cautions({"numbness": "yes"})[0]
    assert "comes off" in cautions({"pain": "yes"})[0]
    assert cautions({"pain_weeks": "3"})[0].startswith("Foot pain for 3 weeks")
    assert len(cautions({}, "numb toes, and it hurts")) == 2
    with pytest.raises(InputError, match="pain_weeks"):
        cautions({"pain_weeks": "many"})


def test_the_core_is_told_of_pairs_that_are_had_by_their_latest_try_on(records, shop, pair_id):
    keep_try_on(records, pair_id, {"left_ball": "little", "left_toe": "right"}, BY)
    keep_try_on(records, pair_id, {"left_ball": "right"}, BY)
    own_pair(records, shop.wearer_id, shop.last_id, "9 1/2", "EE", BY)
    with records.reading() as conn:
        found = owned_pairs(conn, shop.wearer_id)
    assert found == (OwnedPair("N7", Fraction(19, 2), "EE", {}),)
    close(records, pair_id, 2, "kept", NOW.date(), BY)
    with records.reading() as conn:
        found = owned_pairs(conn, shop.wearer_id)
    assert OwnedPair("N7", Fraction(10), "D", {("left", "ball"): "right"}) in found
    assert len(found) == 2
