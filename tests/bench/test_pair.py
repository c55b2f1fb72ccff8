"""A pair's page: each step as a form, each slip beside its field, each step undone."""

from __future__ import annotations

import re

import pytest

from heelball.records.lasts import find_last
from heelball.records.pairs import find_pair, list_pairs
from heelball.records.values import Author, KeptPair
from heelball.work.pairs import arrive, order_pair
from tests.bench.conftest import BEGINNING, Bench
from tests.shop import Shop, open_shop

BY = Author("QB", BEGINNING)
SAID = {
    "order": {"size": "10", "width": "D"},
    "chance": 0.44,
    "trade_rule": {"order": {"size": "10 1/2", "width": "D"}},
    "deciding": {"foot": "right", "place": "ball"},
    "why": ["Right foot, ball: bends behind the joint by chance 22 %."],
}


@pytest.fixture
def shop(bench: Bench) -> Shop:
    return open_shop(bench.records, BY)


@pytest.fixture
def ordered(bench: Bench, shop: Shop) -> KeptPair:
    return order_pair(bench.records, shop.wearer_id, shop.last_id, "10", "D", SAID, BY)


@pytest.fixture
def here(bench: Bench, ordered: KeptPair) -> KeptPair:
    return arrive(bench.records, ordered.id, 1, BEGINNING.date(), BY)


def _now(bench: Bench, pair: KeptPair) -> KeptPair:
    with bench.records.reading() as conn:
        return find_pair(conn, pair.id)


def _text(page: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


def _fields(page: str, action: str) -> dict[str, str]:
    """Return the inputs of one form with their values, as a browser would send them untouched."""
    form = re.search(rf'<form method="post" action="{re.escape(action)}".*?</form>', page, re.DOTALL)
    assert form, action
    inputs = re.findall(r'<input[^>]*name="([^"]+)"[^>]*value="([^"]*)"', form[0])
    return dict(inputs)


def test_a_pair_says_what_it_is_and_what_is_due(bench: Bench, ordered: KeptPair):
    answer = bench.get(f"/pairs/{ordered.id}")
    assert answer.headers["cache-control"] == "no-store"
    text = _text(answer.text)
    assert "N7 10 D for Tove Wader Ordered 2026-03-14; nobody said when it comes." in text
    assert "Order 10 D, right all over by chance 44 % Trade rule 10 1/2 D" in text
    assert "Doubtful place right foot, where it bends" in text
    assert "bends behind the joint by chance 22 %" in text


def test_it_comes_with_the_form_as_it_stands(bench: Bench, ordered: KeptPair):
    url = f"/pairs/{ordered.id}"
    sent = _fields(bench.get(url).text, f"{url}/arrive")
    assert sent["arrived_on"] == "2026-03-14"
    answer = bench.post(f"{url}/arrive", sent)
    assert "Try it on; it can go back until 2026-03-28, in 14 days." in _text(answer.text)
    assert _now(bench, ordered).state == "arrived"


@pytest.mark.parametrize(("step", "state"), [("keep", "kept"), ("return", "returned")])
def test_it_is_kept_or_goes_back(bench: Bench, here: KeptPair, step: str, state: str):
    url = f"/pairs/{here.id}"
    bench.post(f"{url}/{step}", _fields(bench.get(url).text, f"{url}/{step}"))
    assert (_now(bench, here).state, _now(bench, here).closed_on) == (state, "2026-03-14")


def test_an_exchange_leads_to_the_new_pair(bench: Bench, here: KeptPair):
    sent = {"seen": "2", "closed_on": "2026-03-14", "label": "10 1/2|D", "due_on": "2026-04-01"}
    answer = bench.post(f"/pairs/{here.id}/exchange", sent)
    new = next(pair for pair in _pairs(bench) if pair.id != here.id)
    assert str(answer.url).endswith(f"/pairs/{new.id}")
    assert (new.in_exchange_for, new.due_on, new.size) == (here.id, "2026-04-01", "10 1/2")
    assert "In exchange for 10 D" in _text(answer.text)
    assert "For it was ordered 10 1/2 D" in _text(bench.get(f"/pairs/{here.id}").text)


def test_an_old_form_that_asks_another_label_in_exchange_is_told_what_was_ordered(
    bench: Bench, here: KeptPair
):
    sent = {"seen": "2", "closed_on": "2026-03-14", "label": "10 1/2|D"}
    bench.post(f"/pairs/{here.id}/exchange", sent)
    answer = bench.post(f"/pairs/{here.id}/exchange", sent | {"label": "11|D"})
    assert answer.status_code == 409
    assert "This pair was exchanged for 10 1/2 D before; nothing else was ordered." in _text(answer.text)
    assert len(_pairs(bench)) == 2


def _pairs(bench: Bench) -> list[KeptPair]:
    with bench.records.reading() as conn:
        return list_pairs(conn)


@pytest.mark.parametrize(
    ("step", "sent", "wrong"),
    [
        ("keep", {"closed_on": "2026-03-13"}, "keep-on"),
        ("keep", {"closed_on": "2026-03-15"}, "keep-on"),
        ("keep", {"closed_on": "soon"}, "keep-on"),
        ("return", {"closed_on": "1980-01-01"}, "return-on"),
        ("exchange", {"closed_on": "2026-03-14", "label": ""}, "exchange-label"),
        ("exchange", {"closed_on": "2026-03-14", "label": "13|D"}, "exchange-label"),
        ("exchange", {"closed_on": "2026-03-14", "label": "10|D", "due_on": "2026-03-01"}, "exchange-due"),
        ("mend", {"arrived_on": "", "note": "n"}, "mend-arrived_on"),
        ("mend", {"send_back_by": "2026-03-01", "note": "n"}, "mend-send_back_by"),
        ("mend", {"note": "n" * 2001}, "mend-note"),
        ("arrival", {}, "f-box"),
        ("arrival", {"box": "10|D", "flex_line_mm": "2o5"}, "f-flex_line_mm"),
        ("arrival", {"box": "10|D", "flex_line_mm": "1,500"}, "f-flex_line_mm"),
    ],
)
def test_a_slip_is_told_beside_its_field_and_what_was_typed_stands(
    bench: Bench, here: KeptPair, step: str, sent: dict[str, str], wrong: str
):
    answer = bench.post(f"/pairs/{here.id}/{step}", {"seen": "2"} | sent)
    assert answer.status_code == 422
    assert f'id="{wrong}-wrong"' in answer.text
    field = re.search(rf'<[^>]*id="{wrong}"[^>]*>', answer.text)
    assert field
    assert 'aria-invalid="true"' in field[0]
    for value in sent.values():
        if len(value) < 100 and "|" not in value:
            assert f'value="{value}"' in answer.text or f">\n{value}</textarea>" in answer.text
    assert _now(bench, here) == here
    assert len(_pairs(bench)) == 1


@pytest.mark.parametrize("step", ["keep", "exchange", "return", "arrival"])
def test_a_step_out_of_turn_is_said(bench: Bench, ordered: KeptPair, step: str):
    sent = {"seen": "1", "closed_on": "2026-03-14", "label": "10 1/2|D", "box": "10|D"}
    answer = bench.post(f"/pairs/{ordered.id}/{step}", sent)
    assert answer.status_code == 422
    assert re.search(r'class="problem" role="alert">The pair is (still )?on order', answer.text)
    assert _now(bench, ordered) == ordered


def test_a_slip_in_a_form_that_is_not_on_the_page_is_said_all_the_same(bench: Bench, ordered: KeptPair):
    answer = bench.post(f"/pairs/{ordered.id}/keep", {"seen": "1", "closed_on": "soon"})
    assert answer.status_code == 422
    assert "wanted a day such as 2026-03-14" in answer.text


def test_of_two_fitters_the_second_sees_both(bench: Bench, here: KeptPair):
    bench.post(f"/pairs/{here.id}/mend", {"seen": "2", "note": "first"})
    answer = bench.post(f"/pairs/{here.id}/mend", {"seen": "2", "note": "second"})
    assert answer.status_code == 409
    assert "first" in answer.text
    assert "second" in answer.text
    assert _now(bench, here).note == "first"
    sent = _fields(answer.text, f"/pairs/{here.id}/mend") | {"note": "second"}
    assert sent["seen"] == "3"
    bench.post(f"/pairs/{here.id}/mend", sent)
    assert _now(bench, here).note == "second"


def test_each_step_is_told_that_someone_was_there_first(bench: Bench, here: KeptPair):
    bench.post(f"/pairs/{here.id}/mend", {"seen": "2", "note": "first"})
    for step in ("keep", "return", "exchange", "arrival"):
        sent = {"seen": "2", "closed_on": "2026-03-14", "label": "10 1/2|D", "box": "10|D"}
        answer = bench.post(f"/pairs/{here.id}/{step}", sent)
        assert answer.status_code == 409, step
    assert _now(bench, here).version == 3


def test_of_two_outcomes_the_second_fitter_sees_both_and_chooses(bench: Bench, here: KeptPair):
    url = f"/pairs/{here.id}"
    page = bench.get(url).text
    sent = _fields(page, f"{url}/keep")
    bench.post(f"{url}/return", _fields(page, f"{url}/return"))
    answer = bench.post(f"{url}/keep", sent)
    assert answer.status_code == 409
    for outcome in ("returned", "kept"):
        assert f'name="outcome" value="{outcome}"' in answer.text
    theirs = {"seen": "3", "closed_on": "2026-03-14", "outcome": "returned"}
    assert bench.post(f"{url}/keep", theirs, follow=False).headers["location"] == url
    assert _now(bench, here).state == "returned"
    mine = bench.post(f"{url}/keep", theirs | {"outcome": "kept"})
    assert mine.status_code == 422
    assert "returned and cannot be kept" in mine.text


def test_what_came_meanwhile_is_not_taken_back(bench: Bench, ordered: KeptPair):
    url = f"/pairs/{ordered.id}"
    sent = _fields(bench.get(url).text, f"{url}/take-back")
    bench.post(f"{url}/mend", {"seen": "1", "due_on": "2026-03-20", "note": ""})
    answer = bench.post(f"{url}/take-back", sent)
    assert answer.status_code == 409
    assert "on order" in answer.text
    assert "taken out" in answer.text
    bench.post(f"{url}/take-back", sent | {"seen": "2"})
    assert _pairs(bench) == []


def test_a_form_without_its_version_writes_nothing(bench: Bench, here: KeptPair):
    assert bench.post(f"/pairs/{here.id}/keep", {"closed_on": "2026-03-14"}).status_code == 409
    assert bench.post(f"/pairs/{here.id}/keep", {"closed_on": "2026-03-14", "seen": "²"}).status_code == 409
    assert _now(bench, here) == here


def test_the_boot_that_came_is_checked_in_the_units_of_the_bench(bench: Bench, here: KeptPair):
    bench.post("/settings/units", {"units": "in", "back": "/"})
    sent = {
        "seen": "2",
        "box": "10|D",
        "flex_line_mm": "7 7/8",
        "boots_differ": "yes",
        "note": "left hook loose",
    }
    answer = bench.post(f"/pairs/{here.id}/arrival", sent)
    text = _text(answer.text)
    assert "Flex line 0.15 in further back than expected" in text
    assert "10 D is still what to order" in text or "would now be ordered" in text
    assert "The two boots differ" in text
    assert "left hook loose" in text
    assert 'name="flex_line_mm" type="text" inputmode="decimal" value="7.875"' in answer.text
    with bench.records.reading() as conn:
        (measured,) = find_last(conn, here.last_id).measured
    assert measured.flex_line_mm == pytest.approx(200.025)


def test_a_step_is_undone_from_the_history(bench: Bench, here: KeptPair):
    url = f"/pairs/{here.id}"
    sent = _fields(bench.get(url).text, f"{url}/undo")
    answer = bench.post(f"{url}/undo", sent)
    assert answer.status_code == 200
    assert _now(bench, here).state == "ordered"
    assert "put back to: on order" in _text(answer.text)
    again = bench.post(f"{url}/undo", sent)
    assert again.status_code >= 400
    assert "undone already" in again.text


def test_a_step_written_over_is_not_undone(bench: Bench, here: KeptPair):
    url = f"/pairs/{here.id}"
    sent = _fields(bench.get(url).text, f"{url}/undo")
    bench.post(
        f"{url}/mend", {"seen": "2", "arrived_on": "2026-03-14", "send_back_by": "2026-03-20", "note": ""}
    )
    answer = bench.post(f"{url}/undo", sent)
    assert answer.status_code == 422
    assert "Something was written over it since" in answer.text
    assert bench.post(f"{url}/undo", {"change": "x"}).status_code == 422


def test_a_late_pair_says_so(bench: Bench, here: KeptPair):
    bench.clock.forward(days=20)
    text = _text(bench.get(f"/pairs/{here.id}").text)
    assert "Not tried on; could be sent back until 2026-03-28, 6 days ago: ask the maker." in text


def test_its_record_is_handed_out_by_code_without_a_name(bench: Bench, here: KeptPair):
    answer = bench.get(f"/pairs/{here.id}/export.json")
    assert answer.headers["cache-control"] == "no-store"
    assert "attachment" in answer.headers["content-disposition"]
    record = answer.json()
    assert (record["schema"], record["wearer"], record["last"], record["size"]) == (
        "heelball/pair/1",
        "W12",
        "N7",
        "10",
    )
    assert record["said_at_order"] == SAID
    assert "Tove" not in answer.text


def test_what_the_order_said_may_be_anything_and_the_page_still_stands(bench: Bench, shop: Shop):
    odd = {"order": "10 D", "chance": "high", "trade_rule": None, "deciding": {"place": "nose"}, "why": 3}
    pair = order_pair(bench.records, shop.wearer_id, shop.last_id, "10", "D", odd, BY)
    assert bench.get(f"/pairs/{pair.id}").status_code == 200


def test_a_pair_that_is_not_there_is_said(bench: Bench):
    assert bench.get("/pairs/none").status_code == 404
    assert bench.post("/pairs/none/keep", {"closed_on": "2026-03-14"}).status_code == 404
