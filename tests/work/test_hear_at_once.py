"""A try-on told after runs were learned counts at once in how its last runs, and once."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from heelball.foot.vector import FEET
from heelball.last.values import Last
from heelball.learn.learning import learn
from heelball.learn.runs import Runs
from heelball.records.changes import list_changes_of
from heelball.records.lasts import add_last, find_last
from heelball.records.pairs import find_pair, remove_pair
from heelball.records.readings import NewReading, add_readings
from heelball.records.runs_setting import SINCE, since_kept
from heelball.records.settings import get_setting, set_setting
from heelball.records.sittings import add_sitting
from heelball.records.store import Records, open_records
from heelball.records.try_ons import list_try_ons
from heelball.records.values import Author, TryOn
from heelball.records.wearers import add_wearer, find_wearer, remove_wearer
from heelball.work import records_learn
from heelball.work.keeping import core_last
from heelball.work.lasts_kept import last_page
from heelball.work.lasts_on_hand import lasts_on_hand
from heelball.work.pair_check import kept_check
from heelball.work.pair_history import undo_step
from heelball.work.pairs import arrive, order_pair
from heelball.work.records_erase import erase
from heelball.work.records_learn import learn_here
from heelball.work.runs_kept import RunsInForce, runs_in_force
from heelball.work.try_ons import keep_try_on, mend_try_on, take_out_try_on
from tests.shop import Shop, open_shop, read_wearer

NOW = datetime(2026, 3, 14, 10, 20, tzinfo=UTC)
LATER = NOW + timedelta(days=1)
BY = Author("QB", NOW)
AFTER = Author("QB", LATER)
LONG = dict.fromkeys(("left_ball", "right_ball"), "much")
SHORT = dict.fromkeys(LONG, "little")


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records(tmp_path, now=NOW)
    yield opened
    opened.close()


@pytest.fixture
def shop(records: Records, tmp_path: Path) -> Shop:
    shop = open_shop(records, BY)
    for _ in range(3):
        _told(records, shop.wearer_id, shop.last_id, LONG, BY)
    learn_here(str(tmp_path), now=NOW)
    return shop


@pytest.fixture
def second(records: Records) -> str:
    return _wearer(records, "W13")


def _wearer(records: Records, code: str) -> str:
    return read_wearer(records, code, "Ib Marl", BY)


def _last_more(records: Records, shop: Shop, code: str, label_scale: str) -> str:
    with records.writing() as conn:
        maker_id = find_last(conn, shop.last_id).maker_id
        return add_last(
            conn, maker_id, code, label_scale=label_scale, sizes="8-12 by 1/2", widths=["D"],
            reference_width="D", by=AFTER,
        ).id  # fmt: skip


def _told(records: Records, wearer_id: str, last_id: str, words: dict[str, str], by: Author = AFTER) -> TryOn:
    ordered = order_pair(records, wearer_id, last_id, "10", "D", None, by)
    pair = arrive(records, ordered.id, 1, by.at.date(), by)
    return keep_try_on(records, pair.id, words, by, name=f"{pair.id[:12]}-told")


def _in_force(records: Records, last_id: str, judged: str | None = None) -> tuple[RunsInForce, Last]:
    with records.reading() as conn:
        last = core_last(find_last(conn, last_id))
        found = runs_in_force(conn, [last], judged=judged)
    assert found is not None
    return found, last


def _ball(records: Records, last_id: str) -> float:
    found, last = _in_force(records, last_id)
    return float(found.known[last.code].run.mean[0])


def test_one_told_since_moves_the_run_and_is_counted(records: Records, shop: Shop, second: str) -> None:
    before, hand = _ball(records, shop.last_id), lasts_on_hand(records)
    _told(records, second, shop.last_id, LONG)
    found, last = _in_force(records, shop.last_id)
    assert found.known[last.code].pairs == 2
    assert len(found.since[last.code]) == 1
    assert _ball(records, shop.last_id) > before + 0.1
    after = lasts_on_hand(records, hand)
    assert after.known is not None
    assert after.known[last.code].pairs == 2


def test_it_says_about_what_all_learned_again_say(
    records: Records, shop: Shop, second: str, tmp_path: Path
) -> None:
    before, _ = _in_force(records, shop.last_id)
    for wearer_id in (second, second, _wearer(records, "W14")):
        _told(records, wearer_id, shop.last_id, LONG)
    at_once, last = _in_force(records, shop.last_id)
    learn_here(str(tmp_path), now=LATER)
    again, _ = _in_force(records, shop.last_id)
    assert again.since == {}
    assert again.known[last.code].pairs == at_once.known[last.code].pairs == 3
    one, all_, old = (runs.known[last.code].run for runs in (at_once, again, before))
    # Heard wearer by wearer, what earlier words left between foot and run is lost: nearly there.
    assert abs(one.mean[0] - all_.mean[0]) < 0.35 * abs(old.mean[0] - all_.mean[0])
    assert one.mean[1:] == pytest.approx(all_.mean[1:], abs=0.2)
    assert np.sqrt(np.diagonal(one.cov)) == pytest.approx(np.sqrt(np.diagonal(all_.cov)), rel=0.1)


def test_mended_and_taken_out_it_counts_as_it_stands(records: Records, shop: Shop, second: str) -> None:
    before = _ball(records, shop.last_id)
    told = _told(records, second, shop.last_id, LONG)
    assert told.pair_id is not None
    longer = _ball(records, shop.last_id)
    mended = mend_try_on(records, told.pair_id, told.id, told.version, SHORT, AFTER)
    assert _ball(records, shop.last_id) < before < longer
    take_out_try_on(records, told.pair_id, told.id, mended.version, AFTER)
    assert _ball(records, shop.last_id) == pytest.approx(before, abs=1e-6)
    assert _in_force(records, shop.last_id)[0].since == {}


def test_sent_twice_it_counts_once_and_one_learned_from_never_again(
    records: Records, shop: Shop, second: str
) -> None:
    told = _told(records, second, shop.last_id, LONG)
    assert told.pair_id is not None
    once = _ball(records, shop.last_id)
    keep_try_on(records, told.pair_id, LONG, AFTER, name=told.id)
    assert _ball(records, shop.last_id) == once
    with records.reading() as conn:
        first = list_try_ons(conn, wearer_id=shop.wearer_id)[0]
    assert first.pair_id is not None
    mend_try_on(records, first.pair_id, first.id, first.version, SHORT, AFTER)
    assert _ball(records, shop.last_id) == once


def test_a_wearer_is_not_judged_by_a_run_with_the_wearers_own_words_in_it(
    records: Records, shop: Shop, second: str
) -> None:
    told = _told(records, second, shop.last_id, LONG)
    own, last = _in_force(records, shop.last_id, judged=second)
    assert own.known[last.code].pairs == 1
    others, _ = _in_force(records, shop.last_id, judged=shop.wearer_id)
    assert others.known[last.code].pairs == 2
    assert told.pair_id is not None
    checked = kept_check(records, told.pair_id, LATER.date())
    assert checked is not None
    assert checked.found.shelf.pairs == (1,)


def test_an_erase_takes_back_what_was_told_since(
    records: Records, shop: Shop, second: str, tmp_path: Path
) -> None:
    before = _ball(records, shop.last_id)
    told = _told(records, second, shop.last_id, LONG)
    erase(str(tmp_path), "W13", now=LATER)
    assert _ball(records, shop.last_id) == before
    with records.reading() as conn:
        assert told.id not in str(get_setting(conn, "learned_runs_since"))


def test_a_child_is_not_heard(records: Records, shop: Shop) -> None:
    before = _ball(records, shop.last_id)
    with records.writing() as conn:
        child = add_wearer(conn, "K1", name="Ib Marl", population="unstated", by=BY)
        sitting = add_sitting(conn, child.id, at=BY.at, by=BY)
        taken = [
            NewReading(foot=foot, what="length", scale="us-child", value="3", line=None) for foot in FEET
        ]
        add_readings(conn, sitting.id, taken, seen_number=0, by=BY)
    _told(records, child.id, shop.last_id, LONG)
    assert _ball(records, shop.last_id) == before


def test_a_last_that_came_since_begins_with_its_own_evidence(
    records: Records, shop: Shop, second: str
) -> None:
    new = _last_more(records, shop, "N8", "us-men")
    assert last_page(records, new).learned is not None
    assert "N8" not in _in_force(records, new)[0].known
    _told(records, second, new, LONG)
    found, last = _in_force(records, new)
    assert found.known[last.code].pairs == 1
    assert found.known[last.code].run.mean[0] > 0.1


def test_before_anything_was_learned_nothing_is_kept(records: Records) -> None:
    shop = open_shop(records, BY)
    _told(records, shop.wearer_id, shop.last_id, LONG)
    with records.reading() as conn:
        last = core_last(find_last(conn, shop.last_id))
        assert runs_in_force(conn, [last]) is None


def test_undone_it_counts_no_longer(records: Records, shop: Shop, second: str) -> None:
    before = _ball(records, shop.last_id)
    _told(records, _wearer(records, "W14"), shop.last_id, LONG)
    one = _ball(records, shop.last_id)
    told = _told(records, second, shop.last_id, LONG)
    assert told.pair_id is not None
    assert before < one < _ball(records, shop.last_id)
    with records.reading() as conn:
        written = list_changes_of(conn, "try_ons", told.id)[0]
    undo_step(records, told.pair_id, written.id, AFTER)
    assert _ball(records, shop.last_id) == pytest.approx(one, abs=1e-6)


def test_heard_one_after_the_other_it_is_what_hearing_all_anew_gives(
    records: Records, shop: Shop, second: str
) -> None:
    _told(records, second, shop.last_id, LONG)
    told = _told(records, _wearer(records, "W14"), shop.last_id, SHORT)
    one_by_one, last = _in_force(records, shop.last_id)
    assert told.pair_id is not None
    mend_try_on(records, told.pair_id, told.id, told.version, {**SHORT, "note": "sat down first"}, AFTER)
    anew, _ = _in_force(records, shop.last_id)
    assert anew.known[last.code].pairs == one_by_one.known[last.code].pairs == 3
    assert anew.known[last.code].belief.mean == pytest.approx(
        one_by_one.known[last.code].belief.mean, abs=1e-6
    )
    assert anew.known[last.code].belief.cov == pytest.approx(one_by_one.known[last.code].belief.cov, abs=1e-6)


def test_a_pair_taken_out_is_heard_no_longer_and_stops_no_learning(
    records: Records, shop: Shop, second: str, tmp_path: Path
) -> None:
    before = _ball(records, shop.last_id)
    told = _told(records, second, shop.last_id, LONG)
    assert told.pair_id is not None
    with records.writing() as conn:
        remove_pair(conn, told.pair_id, find_pair(conn, told.pair_id).version, by=AFTER)
    assert _ball(records, shop.last_id) == before
    learn_here(str(tmp_path), now=LATER)
    assert _in_force(records, shop.last_id)[0].since == {}


def test_a_childs_last_is_told_of_and_not_learned(records: Records, shop: Shop, second: str) -> None:
    small = _last_more(records, shop, "K3", "us-child")
    ordered = order_pair(records, second, small, "10", "D", None, AFTER)
    pair = arrive(records, ordered.id, 1, LATER.date(), AFTER)
    assert keep_try_on(records, pair.id, LONG, AFTER).verdicts
    with records.reading() as conn:
        assert since_kept(conn) == {}


@pytest.mark.parametrize("brought", [{}, [], {"lasts": {"N7": {"try_ons": 3}}}, {"lasts": {"N7": {}}}, "no"])
def test_what_was_brought_in_and_is_none_says_nothing(
    records: Records, shop: Shop, second: str, brought: object
) -> None:
    before = _ball(records, shop.last_id)
    with records.writing() as conn:
        at = get_setting(conn, "learned_runs_at")
        set_setting(conn, SINCE, {"learned_at": at, **brought} if isinstance(brought, dict) else brought)
    assert _ball(records, shop.last_id) == before
    _told(records, second, shop.last_id, LONG)
    assert _ball(records, shop.last_id) > before + 0.1


def test_whoever_was_learned_from_tells_again_and_waits(records: Records, shop: Shop, second: str) -> None:
    """A foot that the run was learned from is not a fresh one."""
    before = _ball(records, shop.last_id)
    for _ in range(3):
        _told(records, shop.wearer_id, shop.last_id, LONG)
    assert _ball(records, shop.last_id) == before
    _told(records, second, shop.last_id, LONG)
    assert _in_force(records, shop.last_id)[0].known["N7"].pairs == 2


@pytest.mark.parametrize("first", ["the wearer", "the pair", "nothing"])
def test_no_erase_leaves_a_report_that_was_heard(
    records: Records, shop: Shop, second: str, tmp_path: Path, first: str
) -> None:
    before = _ball(records, shop.last_id)
    told = _told(records, second, shop.last_id, LONG)
    assert told.pair_id is not None
    with records.writing() as conn:
        if first == "the wearer":
            remove_wearer(conn, second, find_wearer(conn, second).version, by=AFTER)
        elif first == "the pair":
            remove_pair(conn, told.pair_id, find_pair(conn, told.pair_id).version, by=AFTER)
    erase(str(tmp_path), "W13", now=LATER)
    assert _ball(records, shop.last_id) == before
    with records.reading() as conn:
        assert told.id not in str(get_setting(conn, SINCE))


def test_taken_out_and_brought_back_it_counts_again(records: Records, shop: Shop, second: str) -> None:
    before = _ball(records, shop.last_id)
    told = _told(records, second, shop.last_id, LONG)
    assert told.pair_id is not None
    heard = _ball(records, shop.last_id)
    take_out_try_on(records, told.pair_id, told.id, told.version, AFTER)
    assert _ball(records, shop.last_id) == before
    with records.reading() as conn:
        out = list_changes_of(conn, "try_ons", told.id)[0]
    undo_step(records, told.pair_id, out.id, AFTER)
    assert _ball(records, shop.last_id) == pytest.approx(heard, abs=1e-6)


def test_told_while_runs_are_learned_it_counts_once_they_are(
    records: Records, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = open_shop(records, BY)
    _told(records, shop.wearer_id, shop.last_id, LONG, BY)
    second = _wearer(records, "W13")

    def meanwhile(*given: Any) -> Runs:
        _told(records, second, shop.last_id, LONG)
        return learn(*given)

    monkeypatch.setattr(records_learn, "learn", meanwhile)
    learn_here(str(tmp_path), now=NOW)
    found, last = _in_force(records, shop.last_id)
    assert found.try_ons == 1
    assert found.known[last.code].pairs == 2


def test_what_is_read_was_not_told_since_though_the_command_began_before(
    records: Records, tmp_path: Path
) -> None:
    shop = open_shop(records, BY)
    _told(records, shop.wearer_id, shop.last_id, LONG)
    learn_here(str(tmp_path), now=NOW)
    found, last = _in_force(records, shop.last_id)
    assert (found.since, found.known[last.code].pairs) == ({}, 1)
