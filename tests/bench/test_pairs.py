"""Pairs by what is due, one wearer's pairs, a pair brought along."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest

from heelball.records.pairs import list_pairs
from heelball.records.values import Author
from heelball.work.pairs import arrive, order_pair
from tests.bench.conftest import BEGINNING, Bench
from tests.shop import Shop, open_shop

BY = Author("QB", BEGINNING)
TODAY = BEGINNING.date()


@pytest.fixture
def shop(bench: Bench) -> Shop:
    return open_shop(bench.records, BY)


def _order(bench: Bench, shop: Shop, size: str = "10", **more):
    return order_pair(bench.records, shop.wearer_id, shop.last_id, size, "D", None, BY, **more)


def _text(page: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


def test_nothing_yet_is_said(bench: Bench):
    answer = bench.get("/pairs")
    assert answer.status_code == 200
    assert answer.headers["cache-control"] == "no-store"
    assert "Nothing is on order." in answer.text


def test_pairs_stand_by_what_is_due_with_their_counts(bench: Bench, shop: Shop):
    _order(bench, shop, "11", due_on=TODAY + timedelta(days=2))
    late = _order(bench, shop, "10 1/2", due_on=TODAY)
    came = arrive(bench.records, _order(bench, shop).id, 1, TODAY, BY)
    bench.clock.forward(days=1)
    text = _text(bench.get("/pairs").text)
    to_arrive, to_try = text.index("To arrive 2"), text.index("To try on 1")
    assert "To keep or send back 0" in text
    overdue = text.index("N7 10 1/2 D Tove Wader 1 day late: it was expected 2026-03-14")
    expected = text.index("N7 11 D Tove Wader Expected 2026-03-16, in 1 day")
    assert to_arrive < overdue < expected < to_try
    assert "N7 10 D Tove Wader Try it on; it can go back until 2026-03-28, in 13 days." in text
    page = bench.get("/pairs").text
    assert f'href="/pairs/{late.id}"' in page
    assert f'href="/pairs/{came.id}"' in page


def test_an_order_taken_back_is_brought_back_from_the_list(bench: Bench, shop: Shop):
    pair = _order(bench, shop)
    page = bench.post(f"/pairs/{pair.id}/take-back", {"seen": "1"}).text
    assert "Nothing is on order." in page
    change = re.search(r'name="change" value="(\d+)"', page)
    assert change
    assert f"N7 10 D, taken out {TODAY}" in page
    undone = bench.post("/pairs/undo", {"pair": pair.id, "change": change[1]}, follow=False)
    assert (undone.status_code, undone.headers["location"]) == (303, f"/pairs/{pair.id}")
    assert "To arrive 1" in _text(bench.get("/pairs").text)
    again = bench.post("/pairs/undo", {"pair": pair.id, "change": change[1]})
    assert again.status_code >= 400
    assert "undone already" in again.text


@pytest.mark.parametrize("change", ["", "one", "9" * 40, "-1", "²"])
def test_an_undo_of_nothing_is_refused_in_words(bench: Bench, change: str):
    answer = bench.post("/pairs/undo", {"pair": "x", "change": change})
    assert answer.status_code == 422
    assert "what to undo" in answer.text


def test_a_pair_brought_along_is_written_down(bench: Bench, shop: Shop):
    url = f"/wearers/{shop.wearer_id}/pairs"
    assert "No pair was ordered or brought along yet." in bench.get(url).text
    sent = {"last": shop.last_id, "size": "9½", "width": "D", "note": "ten winters"}
    answer = bench.post(url, sent, follow=False)
    assert answer.status_code == 303
    with bench.records.reading() as conn:
        (pair,) = list_pairs(conn)
    assert (pair.state, pair.size, pair.width, pair.note) == ("owned", "9 1/2", "D", "ten winters")
    assert answer.headers["location"] == f"/pairs/{pair.id}"
    assert "N7 9 1/2 D" in _text(bench.get(url).text)


@pytest.mark.parametrize(
    ("sent", "field"),
    [
        ({"last": "", "size": "10", "width": "D"}, "last"),
        ({"size": "ten", "width": "D"}, "size"),
        ({"size": "", "width": "D"}, "size"),
        ({"size": "10", "width": "Q"}, "size"),
    ],
)
def test_a_slip_is_told_beside_its_field_and_what_was_typed_stands(bench: Bench, shop: Shop, sent, field):
    typed = {"last": shop.last_id, "note": "ten winters"} | sent
    answer = bench.post(f"/wearers/{shop.wearer_id}/pairs", typed)
    assert answer.status_code == 422
    assert f'id="f-{field}-wrong"' in answer.text
    assert "ten winters" in answer.text
    assert f'value="{typed["width"]}"' in answer.text
    with bench.records.reading() as conn:
        assert list_pairs(conn) == []


def test_a_last_or_wearer_that_is_not_there_is_said(bench: Bench, shop: Shop):
    url = f"/wearers/{shop.wearer_id}/pairs"
    assert bench.post(url, {"last": "none", "size": "10", "width": "D"}).status_code == 404
    assert bench.get("/wearers/nobody/pairs").status_code == 404


def test_no_name_stands_in_an_address(bench: Bench, shop: Shop):
    pair = _order(bench, shop)
    for url in (
        "/pairs",
        f"/pairs/{pair.id}",
        f"/wearers/{shop.wearer_id}/pairs",
        f"/pairs/{pair.id}/try-on",
    ):
        for address in re.findall(r'(?:href|action)="([^"]*)"', bench.get(url).text):
            assert not re.search(r"tove|wader|w12", address, re.IGNORECASE), address


def test_all_pairs_are_handed_out_by_code_without_names(bench: Bench, shop: Shop):
    _order(bench, shop)
    answer = bench.get("/pairs/export.json")
    assert answer.headers["cache-control"] == "no-store"
    (pair,) = answer.json()["pairs"]
    assert (pair["wearer"], pair["last"], pair["size"], pair["ordered_on"]) == (
        "W12",
        "N7",
        "10",
        "2026-03-14",
    )
    assert "Tove" not in answer.text
