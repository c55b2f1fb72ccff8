"""A pair's page after a try-on or a measure: keep, adjust or exchange, why, and what it teaches."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction

import pytest

from heelball.fit.wearer import PLACES
from heelball.foot.vector import FEET
from heelball.last.values import Label
from heelball.learn.learning import learn
from heelball.learn.try_on import TryOn
from heelball.records.health import keep_health
from heelball.records.lasts import find_last
from heelball.records.values import Author, KeptPair
from heelball.work.arrival_check import check_arrival
from heelball.work.keeping import core_last
from heelball.work.pair_check import kept_check
from heelball.work.pairs import arrive, close, order_pair
from heelball.work.runs_json import runs_record
from heelball.work.runs_kept import keep_runs
from heelball.work.try_ons import keep_try_on
from tests.bench.conftest import BEGINNING, Bench
from tests.shop import Shop, open_shop

BY = Author("QB", BEGINNING)
DAY = BEGINNING.date()
RIGHT = {f"{foot}_{place}": "right" for foot in FEET for place in PLACES}
FAR = {"left_ball": "much", "right_ball": "much"}


@pytest.fixture
def shop(bench: Bench) -> Shop:
    return open_shop(bench.records, BY)


@pytest.fixture
def here(bench: Bench, shop: Shop) -> KeptPair:
    ordered = order_pair(bench.records, shop.wearer_id, shop.last_id, "10", "D", None, BY)
    return arrive(bench.records, ordered.id, 1, DAY, BY)


def _page(bench: Bench, pair: KeptPair) -> str:
    return " ".join(bench.get(f"/pairs/{pair.id}").text.split())


def test_nothing_is_said_before_anything_is_told(bench: Bench, here: KeptPair):
    assert "Keep, adjust or exchange" not in _page(bench, here)
    assert kept_check(bench.records, here.id, DAY) is None


def test_a_pair_called_right_is_kept(bench: Bench, here: KeptPair):
    keep_try_on(bench.records, here.id, RIGHT, BY)
    page = _page(bench, here)
    assert "Keep 10 D." in page
    assert "what is felt stands above what is computed" in page
    assert "What this pair teaches of N7" in page
    assert "never in length or where it bends" in page


def test_a_pair_that_bends_far_ahead_is_exchanged_while_it_can_go_back(bench: Bench, here: KeptPair):
    keep_try_on(bench.records, here.id, RIGHT | FAR, BY)
    assert "Exchange 10 D for 9 1/2 D. " in _page(bench, here).replace("</p>", " ")
    assert "15 days are left to send it back, today among them." in _page(bench, here)
    late = kept_check(bench.records, here.id, DAY + timedelta(days=15))
    assert late is not None
    assert late.days_left == 0
    assert late.decided.say == "adjust"
    close(bench.records, here.id, 2, "kept", DAY, BY)
    kept = kept_check(bench.records, here.id, DAY)
    assert kept is not None
    assert not kept.decided.can_go_back


def test_the_latest_word_on_a_place_counts(bench: Bench, here: KeptPair):
    keep_try_on(bench.records, here.id, RIGHT | FAR, BY)
    keep_try_on(bench.records, here.id, RIGHT, BY)
    found = kept_check(bench.records, here.id, DAY)
    assert found is not None
    assert found.decided.say == "keep"


def test_what_was_measured_is_weighed_once(bench: Bench, here: KeptPair):
    typed = {"box": "10|D", "flex_line_mm": "210"}
    check_arrival(bench.records, here.id, 2, typed, units="mm", by=BY)
    found = kept_check(bench.records, here.id, DAY)
    assert found is not None
    (line,) = found.found.measured
    assert line.found == 210
    before, after = found.found.run_before, found.found.run_after
    assert before.cov[0, 0] > 12, "the measure kept with the last is this very boot: not known before it"
    assert after.mean[0] > before.mean[0] + 3
    assert "Flex line" in _page(bench, here)


def test_socks_and_swelling_of_the_try_on_count(bench: Bench, here: KeptPair):
    said = {"left_girth": "little", "right_girth": "little"}
    keep_try_on(bench.records, here.id, said | {"sock": "thick", "swelling": "hot"}, BY)
    hot = kept_check(bench.records, here.id, DAY)
    assert hot is not None
    other = order_pair(bench.records, here.wearer_id, here.last_id, "10", "D", None, BY)
    other = arrive(bench.records, other.id, 1, DAY, BY)
    keep_try_on(bench.records, other.id, said, BY)
    cool = kept_check(bench.records, other.id, DAY)
    assert cool is not None
    assert cool.found.run_after.mean[3] < hot.found.run_after.mean[3] - 0.3, "tight in a thick sock says less"


def test_the_api_has_it_too(bench: Bench, here: KeptPair):
    url = f"/api/v1/pairs/{here.id}/check"
    assert bench.get(url).json() == {"check": None}
    keep_try_on(bench.records, here.id, RIGHT | FAR, BY)
    record = bench.get(url).json()["check"]
    assert (record["schema"], record["say"]) == ("heelball/check/1", "exchange")
    assert record["to"] == {"size": "9 1/2", "width": "D"}
    assert record["wearer"] == "W12"


def test_signs_stand_above_the_step_and_a_numb_foot_does_not_speak_for_the_pair(bench: Bench, here: KeptPair):
    keep_try_on(bench.records, here.id, RIGHT, BY)
    with bench.records.writing() as conn:
        told = {"urgent": True, "numbness": True}
        keep_health(conn, here.wearer_id, told, consents=True, seen=0, by=BY)
    page = _page(bench, here)
    assert page.index("urgent medical help") < page.index("Keep 10 D.")
    found = kept_check(bench.records, here.id, DAY)
    assert found is not None
    assert found.needs_care
    assert not found.decided.all_right


def test_learned_runs_are_used_but_never_with_this_pair_in_them_twice(
    bench: Bench, shop: Shop, here: KeptPair
) -> None:
    keep_try_on(bench.records, here.id, RIGHT, BY)
    with bench.records.reading() as conn:
        last = core_last(find_last(conn, shop.last_id))
    told = {(foot, place): "right" for foot in FEET for place in PLACES}
    others = [TryOn(f"X{i}", last.code, Label(Fraction(10), "D"), told, 2.0) for i in range(3)]  # type: ignore[arg-type]
    record = runs_record(learn([last], {}, others), {last.code: last})
    for learned, pairs in ((BEGINNING - timedelta(days=1), 3), (BEGINNING, None)):
        with bench.records.writing() as conn:
            keep_runs(conn, record, 3, learned_at=learned)
        found = kept_check(bench.records, here.id, DAY)
        assert found is not None
        assert found.found.shelf.pairs == (pairs,)
