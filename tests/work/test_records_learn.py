"""Learning from the records: every try-on heard, runs kept without persons, and answers given by them."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from heelball.errors import InputError
from heelball.foot.vector import FEET
from heelball.records.exchange.export import Format
from heelball.records.lasts import add_last, change_last, find_last
from heelball.records.readings import NewReading, add_readings
from heelball.records.run_evidence import add_advice
from heelball.records.settings import get_setting
from heelball.records.sittings import add_sitting
from heelball.records.store import Records, open_records
from heelball.records.values import Author
from heelball.records.wearers import add_wearer
from heelball.work.lasts_kept import last_page
from heelball.work.lasts_on_hand import lasts_on_hand
from heelball.work.letters import draft_question, letter_page
from heelball.work.pairs import arrive, order_pair
from heelball.work.records_erase import erase
from heelball.work.records_export import export
from heelball.work.records_import import bring_in
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
        _tried(records, shop.wearer_id, shop.last_id)
    return shop


def _tried(records: Records, wearer_id: str, last_id: str) -> None:
    ordered = order_pair(records, wearer_id, last_id, "10", "D", None, BY)
    pair = arrive(records, ordered.id, 1, NOW.date(), BY)
    keep_try_on(records, pair.id, LONG, BY)


def test_what_is_learned_is_kept_and_answered_by(records: Records, shop: Shop, tmp_path: Path) -> None:
    assert last_page(records, shop.last_id).learned is None
    done = learn_here(str(tmp_path), now=NOW, out=tmp_path / "runs.json")
    assert any("from one pair" in line.text for line in done.told.lines)
    page = last_page(records, shop.last_id)
    assert page.learned is not None
    assert page.learned.try_ons == 3
    known = page.learned.known[page.last.code]
    assert known.pairs == 1
    # Three reports of one label are one pair, and it was
    # too long in ball and toe: the last runs long there.
    assert (known.belief.mean[3:5] > 1).all()
    hand = lasts_on_hand(records)
    assert hand.known is not None
    assert hand.known[page.last.code].pairs == 1
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


@pytest.mark.parametrize(("code", "name"), [("N7", "Una Quill"), ("runs", "Una Quill"), ("W13", "Northmoor")])
@pytest.mark.usefixtures("shop")
def test_an_erase_leaves_learned_runs_alone(records: Records, tmp_path: Path, code: str, name: str) -> None:
    # Someone called as a last, a maker or the document itself is none of them.
    learn_here(str(tmp_path), now=NOW)
    with records.writing() as conn:
        add_wearer(conn, code, name=name, population="men", by=BY)
        before = get_setting(conn, "learned_runs")
    erase(str(tmp_path), code, now=NOW)
    with records.reading() as conn:
        assert get_setting(conn, "learned_runs") == before
    known = lasts_on_hand(records).known
    assert known is not None
    assert list(known) == ["N7"]


@pytest.mark.usefixtures("shop")
@pytest.mark.parametrize("format_", ["toml", "csv", "parquet"])
def test_an_export_comes_back_though_runs_were_learned_anew(tmp_path: Path, format_: Format) -> None:
    other = tmp_path / "other"
    for number, now in enumerate((NOW, NOW + timedelta(days=1))):
        learn_here(str(tmp_path), now=now)
        export(str(tmp_path), tmp_path / f"out{number}", format_=format_, now=now)
        bring_in(other, [tmp_path / f"out{number}"], now=now)
    # Where runs were learned already, those stay until they are learned anew.
    opened = open_records(other, now=NOW)
    found = last_page(opened, next(iter(lasts_on_hand(opened).ids.values()))).learned
    opened.close()
    assert found is not None
    assert found.learned_on == NOW.date()
    assert list(found.known) == ["N7"]


def test_a_childs_try_on_is_not_heard(records: Records, shop: Shop, tmp_path: Path) -> None:
    learn_here(str(tmp_path), now=NOW)
    with records.reading() as conn:
        before = get_setting(conn, "learned_runs")
    with records.writing() as conn:
        child = add_wearer(conn, "K1", name="Una Quill", population="unstated", by=BY)
        sitting = add_sitting(conn, child.id, at=BY.at, by=BY)
        taken = [
            NewReading(foot=foot, what="length", scale="us-child", value="3", line=None) for foot in FEET
        ]
        add_readings(conn, sitting.id, taken, seen_number=0, by=BY)
    _tried(records, child.id, shop.last_id)
    done = learn_here(str(tmp_path), now=NOW)
    assert any("1 of 4 try-ons left out" in remark for remark in done.remarks)
    with records.reading() as conn:
        assert get_setting(conn, "learned_runs") == before


def test_a_wearer_that_cannot_be_read_stops_nobody_else(records: Records, shop: Shop, tmp_path: Path) -> None:
    with records.writing() as conn:
        other = add_wearer(conn, "W13", name="Ib Marl", population="men", day=[{"share": 3.0}], by=BY)
    _tried(records, other.id, shop.last_id)
    done = learn_here(str(tmp_path), now=NOW)
    assert any(remark.startswith("What W13 told is left out: ") for remark in done.remarks)
    assert any("1 of 4 try-ons left out" in remark for remark in done.remarks)
    assert any("from one pair" in line.text for line in done.told.lines)


def test_a_try_on_of_a_label_the_last_no_longer_has_is_left_out(
    records: Records, shop: Shop, tmp_path: Path
) -> None:
    with records.writing() as conn:
        other = add_last(
            conn,
            find_last(conn, shop.last_id).maker_id,
            "N8",
            label_scale="us-men",
            sizes="8-12 by 1/2",
            widths=["D"],
            reference_width="D",
            by=BY,
        )
    _tried(records, shop.wearer_id, other.id)
    with records.writing() as conn:
        change_last(conn, other.id, other.version, {"label_scale": "eu", "sizes": "40-46"}, by=BY)
    done = learn_here(str(tmp_path), now=NOW)
    assert any("1 of 4 try-ons left out" in remark for remark in done.remarks)
    assert any("from one pair" in line.text for line in done.told.lines)


def test_a_draft_is_worth_less_once_the_last_was_learned(
    records: Records, shop: Shop, tmp_path: Path
) -> None:
    with records.writing() as conn:
        maker_id = find_last(conn, shop.last_id).maker_id
    letter = draft_question(records, maker_id, [shop.last_id], BY)
    before = letter_page(records, letter.id).worth
    learn_here(str(tmp_path), now=NOW)
    after = letter_page(records, letter.id).worth
    assert _saved(after, "where it bends") < _saved(before, "where it bends")


def _saved(worth: str, question: str) -> float:
    return float(worth.split(question)[1].split(";", maxsplit=1)[0].strip(" ."))


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
