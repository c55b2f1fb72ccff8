"""Learning from the records: every try-on heard, runs kept without persons, and answers given by them."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from heelball.errors import InputError
from heelball.records.run_evidence import add_advice
from heelball.records.settings import get_setting
from heelball.records.store import Records, open_records
from heelball.records.values import Author
from heelball.work.lasts_kept import last_page
from heelball.work.lasts_on_hand import lasts_on_hand
from heelball.work.pairs import arrive, order_pair
from heelball.work.records_learn import learn_here
from heelball.work.runs_file import read_runs
from heelball.work.try_ons import keep_try_on
from tests.shop import Shop, open_shop

NOW = datetime(2026, 3, 14, 10, 20, tzinfo=UTC)
BY = Author("QB", NOW)
LONG = {f"{foot}_{place}": "much" for foot in ("left", "right") for place in ("ball", "toe")}


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records(tmp_path, now=NOW)
    yield opened
    opened.close()


@pytest.fixture
def shop(records: Records) -> Shop:
    shop = open_shop(records, BY)
    for _ in range(3):
        ordered = order_pair(records, shop.wearer_id, shop.last_id, "10", "D", None, BY)
        pair = arrive(records, ordered.id, 1, NOW.date(), BY)
        keep_try_on(records, pair.id, LONG, BY)
    return shop


def test_what_is_learned_is_kept_and_answered_by(records: Records, shop: Shop, tmp_path: Path) -> None:
    assert last_page(records, shop.last_id).learned is None
    done = learn_here(str(tmp_path), now=NOW, out=tmp_path / "runs.json")
    assert any("from 3 pairs" in line.text for line in done.told.lines)
    page = last_page(records, shop.last_id)
    assert page.learned is not None
    assert page.learned.try_ons == 3
    known = page.learned.known[page.last.code]
    assert known.pairs == 3
    # Three pairs too long in ball and toe: the last runs long there.
    assert (known.belief.mean[3:5] > 1).all()
    hand = lasts_on_hand(records)
    assert hand.known is not None
    assert hand.known[page.last.code].pairs == 3
    written = read_runs(tmp_path / "runs.json")
    assert written.of([page.last])[page.last.code].belief.mean == pytest.approx(known.belief.mean)


@pytest.mark.usefixtures("shop")
def test_nothing_of_any_wearer_is_kept(records: Records, tmp_path: Path) -> None:
    learn_here(str(tmp_path), now=NOW)
    with records.reading() as conn:
        kept = get_setting(conn, "learned_runs")
    assert kept["lasts"]
    assert not {"wearers", "doubtful"} & set(kept)
    assert "W12" not in json.dumps(kept)


def test_a_last_that_changed_since_is_answered_by_its_own_evidence_again(
    records: Records, shop: Shop, tmp_path: Path
) -> None:
    learn_here(str(tmp_path), now=NOW)
    before = lasts_on_hand(records)
    with records.writing() as conn:
        add_advice(conn, shop.last_id, basis="length", order_sizes="-1", by=BY)
    after = lasts_on_hand(records, before)
    code = last_page(records, shop.last_id).last.code
    assert before.known is not None
    assert after.known is not None
    assert code in before.known
    assert code not in after.known
    learned = last_page(records, shop.last_id).learned
    assert learned is not None
    assert learned.changed == (code,)


def test_without_a_try_on_there_is_nothing_to_learn_from(records: Records, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no try-on that tells of a place"):
        learn_here(str(tmp_path), now=NOW)
    with records.reading() as conn:
        assert get_setting(conn, "learned_runs") is None
