"""What learning says on pages: how a last really runs, and what an answer from its maker is worth."""

from __future__ import annotations

from datetime import timedelta

from heelball.learn.learning import learn
from heelball.learn.try_on import TryOn
from heelball.records.lasts import find_last
from heelball.records.values import Author
from heelball.work.keeping import core_last
from heelball.work.letters import draft_question
from heelball.work.pairs import arrive, close, order_pair
from heelball.work.runs_json import runs_record
from heelball.work.runs_kept import keep_runs
from heelball.work.try_ons import keep_try_on
from tests.bench.conftest import BEGINNING, Bench
from tests.shop import open_shop

BY = Author("QB", BEGINNING)


def _text(bench: Bench, path: str) -> str:
    return " ".join(bench.get(path).text.split())


def test_a_last_says_how_it_really_runs_once_that_was_learned(bench: Bench):
    shop = open_shop(bench.records, BY)
    assert "How it really runs" not in _text(bench, f"/lasts/{shop.last_id}")
    with bench.records.reading() as conn:
        last = core_last(find_last(conn, shop.last_id))
    long = {(foot, "ball"): "much" for foot in ("left", "right")}
    told = [TryOn(f"W{i}", last.code, last.labels[9], long, 2.0) for i in range(6)]  # type: ignore[arg-type]
    record = runs_record(learn([last], {}, told), {last.code: last})
    with bench.records.writing() as conn:
        keep_runs(conn, record, 6, learned_at=BEGINNING - timedelta(days=1))
    page = _text(bench, f"/lasts/{shop.last_id}")
    assert "How it really runs" in page
    assert "From 6 pairs tried on" in page
    assert "long in the ball" in page
    ordered = order_pair(bench.records, shop.wearer_id, shop.last_id, "10", "D", None, BY)
    pair = arrive(bench.records, ordered.id, 1, BEGINNING.date(), BY)
    keep_try_on(bench.records, pair.id, {"left_ball": "much"}, BY)
    page = _text(bench, f"/lasts/{shop.last_id}")
    assert "From 7 pairs tried on" in page
    assert "from all 6 try-ons in the records, and 1 told since, heard by this last alone." in page


def test_a_draft_shows_what_each_answer_is_worth_and_the_letter_does_not(bench: Bench):
    shop = open_shop(bench.records, BY)
    with bench.records.reading() as conn:
        last = find_last(conn, shop.last_id)
    letter = draft_question(bench.records, last.maker_id, [last.id], BY)
    assert "What an answer is expected to save in loss, for typical feet:" in _text(
        bench, f"/letters/{letter.id}"
    )
    assert "save" not in letter.text


def test_a_pair_that_a_wearer_has_is_weighed_on_the_order_page(bench: Bench):
    shop = open_shop(bench.records, BY)
    ordered = order_pair(bench.records, shop.wearer_id, shop.last_id, "10", "D", None, BY)
    pair = arrive(bench.records, ordered.id, 1, BEGINNING.date(), BY)
    keep_try_on(bench.records, pair.id, {"left_ball": "right", "right_ball": "right"}, BY)
    close(bench.records, pair.id, 2, "kept", BEGINNING.date(), BY)
    assert "weighed beside the readings" in _text(bench, f"/wearers/{shop.wearer_id}")
