"""Try-ons at the bench: nothing pre-chosen, blank stays unknown, what hurts is answered and not kept."""

from __future__ import annotations

import json
import re

import pytest
from sqlalchemy import text as sql

from heelball.fit.wearer import PLACES
from heelball.foot.vector import FEET
from heelball.records.try_ons import list_try_ons
from heelball.records.values import Author, KeptPair, TryOn
from heelball.work.pairs import arrive, order_pair
from tests.bench.conftest import BEGINNING, Bench
from tests.shop import open_shop

BY = Author("QB", BEGINNING)


@pytest.fixture
def pair(bench: Bench) -> KeptPair:
    shop = open_shop(bench.records, BY)
    ordered = order_pair(bench.records, shop.wearer_id, shop.last_id, "10", "D", None, BY)
    return arrive(bench.records, ordered.id, 1, BEGINNING.date(), BY)


def _kept(bench: Bench) -> list[TryOn]:
    with bench.records.reading() as conn:
        return list_try_ons(conn)


def test_every_place_of_both_feet_is_asked_and_none_is_answered_before(bench: Bench, pair: KeptPair):
    page = bench.get(f"/pairs/{pair.id}/try-on").text
    for foot in FEET:
        for place in PLACES:
            checked = re.findall(rf'name="{foot}_{place}" value="(\w*)" checked', page)
            assert checked == [""], (foot, place)
    assert "bends behind the joint" in page
    assert "loose at the heel" in page


def test_a_try_on_is_written_down_in_the_trades_words(bench: Bench, pair: KeptPair):
    url = f"/pairs/{pair.id}/try-on"
    name = re.search(r'name="name" value="(\w+)"', bench.get(url).text)
    assert name
    sent = {"name": name[1], "left_ball": "little", "right_heel": "much", "hours": "1½", "sock": "thick"}
    answer = bench.post(url, sent)
    text = " ".join(re.sub(r"<[^>]+>", " ", answer.text).split())
    assert "2026-03-14, after 1.5 hours Left bends behind the joint Right loose at the heel" in text
    bench.post(url, sent)
    (kept,) = _kept(bench)
    assert kept.id == name[1]
    assert kept.verdicts == {"left": {"ball": "little"}, "right": {"heel": "much"}}


@pytest.mark.parametrize(
    ("sent", "field"),
    [
        ({"left_ball": "little", "hours": "long"}, "hours"),
        ({"left_ball": "little", "sock": "woolly"}, "sock"),
        ({"left_ball": "little", "on": "2026-03-01"}, "on"),
        ({"left_ball": "little", "pain_weeks": "many"}, "pain_weeks"),
        ({"left_ball": "fine"}, "left_ball"),
    ],
)
def test_a_slip_is_told_beside_its_field_and_what_was_told_stands(bench: Bench, pair: KeptPair, sent, field):
    answer = bench.post(f"/pairs/{pair.id}/try-on", sent | {"right_toe": "much", "note": "on the stairs"})
    assert answer.status_code == 422
    assert f'id="f-{field}-wrong"' in answer.text
    assert 'name="right_toe" value="much" checked' in answer.text
    assert "on the stairs" in answer.text
    assert _kept(bench) == []


def test_nothing_told_is_said(bench: Bench, pair: KeptPair):
    answer = bench.post(f"/pairs/{pair.id}/try-on", {"on": "2026-03-14"})
    assert answer.status_code == 422
    assert "Nothing told of any place" in answer.text


def test_what_hurts_goes_to_a_clinician_and_is_kept_nowhere(bench: Bench, pair: KeptPair):
    sent = {"left_ball": "little", "numbness": "yes", "pain_weeks": "3"}
    answer = bench.post(f"/pairs/{pair.id}/try-on", sent)
    assert answer.status_code == 200
    assert "Numbness is told: see a doctor or podiatrist" in answer.text
    assert "Foot pain for 3 weeks is told" in answer.text
    assert "?" not in str(answer.url)
    assert len(_kept(bench)) == 1
    with bench.records.reading() as conn:
        for table in ("try_ons", "changes", "pairs", "sessions", "health_answers"):
            rows = [dict(row) for row in conn.execute(sql(f"SELECT * FROM {table}")).mappings()]
            assert not re.search("numbness|pain", json.dumps(rows, default=str)), table


def test_a_note_that_mentions_pain_is_answered_on_the_pairs_page_too(bench: Bench, pair: KeptPair):
    bench.post(f"/pairs/{pair.id}/try-on", {"note": "hurts across the ball"})
    assert "a boot that hurts comes off" in bench.get(f"/pairs/{pair.id}").text


def test_a_try_on_is_mended_and_the_second_fitter_sees_both(bench: Bench, pair: KeptPair):
    bench.post(f"/pairs/{pair.id}/try-on", {"left_ball": "little"})
    (kept,) = _kept(bench)
    url = f"/pairs/{pair.id}/try-on/{kept.id}"
    assert 'name="left_ball" value="little" checked' in bench.get(url).text
    bench.post(url, {"seen": "1", "left_ball": "right"})
    (mended,) = _kept(bench)
    assert (mended.verdicts, mended.version) == ({"left": {"ball": "right"}}, 2)
    answer = bench.post(url, {"seen": "1", "left_ball": "much"})
    assert answer.status_code == 409
    assert "Where it bends, left" in answer.text
    out = {"seen": "1", "outcome": "taken out"}
    answer = bench.post(f"{url}/remove", out)
    assert answer.status_code == 409
    assert "mended by another" in answer.text
    bench.post(f"{url}/remove", {"seen": "2", "outcome": "mended by another, and kept"})
    assert _kept(bench) == [mended]
    bench.post(f"{url}/remove", out | {"seen": "2"})
    assert _kept(bench) == []


def test_a_try_on_taken_out_is_brought_back_from_the_history(bench: Bench, pair: KeptPair):
    bench.post(f"/pairs/{pair.id}/try-on", {"left_ball": "little"})
    (kept,) = _kept(bench)
    page = bench.post(f"/pairs/{pair.id}/try-on/{kept.id}/remove", {"seen": "1"}).text
    assert _kept(bench) == []
    change = re.search(
        r'name="change" value="(\d+)">\s*<button[^>]*>Undo<span[^>]*> try-on[^<]* taken out', page
    )
    assert change
    bench.post(f"/pairs/{pair.id}/undo", {"change": change[1]})
    assert [one.verdicts for one in _kept(bench)] == [kept.verdicts]


def test_a_pair_on_order_takes_no_try_on(bench: Bench, pair: KeptPair):
    ordered = order_pair(bench.records, pair.wearer_id, pair.last_id, "10", "D", None, BY)
    answer = bench.post(f"/pairs/{ordered.id}/try-on", {"left_ball": "little"})
    assert answer.status_code == 422
    assert "still on order" in answer.text
    assert bench.get(f"/pairs/{pair.id}/try-on/none").status_code == 404
