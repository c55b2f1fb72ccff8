"""The processes beside the bench: ended, killed, started again; what is written is seen."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from pickle import PicklingError

import pytest
from sqlalchemy import Connection

from heelball.errors import InputError
from heelball.records.lasts import add_last, find_by_code, retire_last
from heelball.records.refused import NotFound
from heelball.records.schema import lasts, new_id
from heelball.records.store import Records, open_records
from heelball.records.values import Author
from heelball.work.bench_process import ProcessStopped
from heelball.work.kept_core import kept_core
from heelball.work.order_answer import AnswerProcess, Asked
from heelball.work.ranking_process import RankingProcess
from tests.kept_wearers import gauge_readings, keep_lasts, keep_wearer

NOW = datetime(2026, 3, 14, 10, 20, tzinfo=UTC)
BY = Author("QB", NOW)


@pytest.fixture(scope="module")
def records(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Records]:
    kept = open_records(tmp_path_factory.mktemp("records"), now=NOW)
    keep_lasts(kept, 6, by=BY)
    keep_wearer(kept, "W1", gauge_readings("10", "10 1/2", "D"), by=BY)
    yield kept
    kept.close()


@pytest.fixture(scope="module")
def ranking(records: Records) -> Iterator[RankingProcess]:
    process = RankingProcess(records, lambda: NOW)
    yield process
    process.stop()


@pytest.fixture(scope="module")
def answering(records: Records) -> Iterator[AnswerProcess]:
    process = AnswerProcess(records, lambda: NOW)
    yield process
    process.stop()


def the_wearer(records: Records) -> str:
    from heelball.records.wearers import find_by_code as find_wearer

    with records.reading() as conn:
        kept = find_wearer(conn, "W1")
    assert kept is not None
    return kept.id


def a_maker(conn: Connection) -> str:
    last = find_by_code(conn, "L1")
    assert last is not None
    return last.maker_id


def records_lasts(records: Records) -> list[str]:
    with records.reading() as conn:
        return [row.id for row in conn.execute(lasts.select().where(lasts.c.retired.is_(False)))]


def ranked_codes(records: Records, ranking: RankingProcess, count: int = 20) -> list[str]:
    with records.reading() as conn:
        wearer = kept_core(conn, the_wearer(records))
        codes = {row.id: row.code for row in conn.execute(lasts.select())}
    return [codes[one] for one in ranking.rank(wearer, count, today=NOW.date()).last_ids]


def test_as_many_as_asked_for_the_best_of_all(records, ranking):
    few, all_ = ranked_codes(records, ranking, 3), ranked_codes(records, ranking)
    assert len(few) == 3
    assert few == all_[:3]
    assert sorted(all_) == [f"L{number}" for number in range(1, 7)]


def test_a_killed_process_is_started_again(records, ranking):
    before = ranked_codes(records, ranking)
    first = ranking.pid
    assert first is not None
    os.kill(first, signal.SIGKILL)
    assert ranked_codes(records, ranking) == before
    assert ranking.pid not in (None, first)


def test_a_last_written_down_or_retired_is_seen_at_the_next_ranking(records, ranking):
    assert "L7" not in ranked_codes(records, ranking)
    with records.writing() as conn:
        maker = a_maker(conn)
        added = add_last(conn, maker, "L7", label_scale="us-men", sizes="9-12", widths=["D"], by=BY)
    assert "L7" in ranked_codes(records, ranking)
    with records.writing() as conn:
        retire_last(conn, added.id, added.version, by=BY)
    assert "L7" not in ranked_codes(records, ranking)


def test_a_last_that_cannot_be_ranked_is_left_out_with_a_sentence(records, ranking):
    with records.writing() as conn:
        maker = a_maker(conn)
        child = add_last(conn, maker, "KID", label_scale="us-child", sizes="10-13", by=BY)
        # As an older program may have left it: no form takes this.
        conn.execute(
            lasts.insert().values(
                id=new_id(),
                version=1,
                maker_id=maker,
                code="TORN",
                label_scale="us-men",
                sizes="ten",
                width_scale="us",
                stiffness="stiff",
                toe="round",
                closing="lace",
                note="",
                retired=False,
            )
        )
        wearer = kept_core(conn, the_wearer(records))
    found = ranking.rank(wearer, 20, today=NOW.date())
    said = " ".join(found.left_out)
    assert "KID is numbered on a child's scale" in said
    assert "last TORN, sizes" in said
    assert child.id not in found.last_ids
    with records.writing() as conn:
        conn.execute(lasts.delete().where(lasts.c.code.in_(["KID", "TORN"])))


def test_errors_come_back_as_they_were_raised_there(records, answering):
    with pytest.raises(NotFound, match="This wearer"):
        answering.answer(Asked("nobody", (), NOW.date()))
    with pytest.raises(InputError, match="not in the records"):
        answering.answer(Asked(the_wearer(records), ("nolast",), NOW.date()))
    assert answering.pid is not None


def test_answers_go_to_whoever_asked_also_where_many_ask_at_once(records, answering):
    lasts = records_lasts(records)
    asked = [Asked(the_wearer(records), lasts[: 1 + number % 4], NOW.date()) for number in range(24)]
    with ThreadPoolExecutor(8) as hands:
        found = list(hands.map(answering.answer, asked))
    assert [len(one.rows) for one in found] == [len(one.last_ids) for one in asked]


def test_whoever_waits_while_the_process_dies_is_answered_by_the_next(records, answering):
    asked = Asked(the_wearer(records), records_lasts(records), NOW.date())
    answering.answer(asked)
    with ThreadPoolExecutor(6) as hands:
        waiting = [hands.submit(answering.answer, asked) for _ in range(30)]
        os.kill(answering.pid, signal.SIGKILL)
        assert all(len(one.result(60).rows) == len(asked.last_ids) for one in waiting)


def test_a_question_that_cannot_be_sent_disturbs_no_later_answer(records, answering):
    with pytest.raises((AttributeError, TypeError, PicklingError)):
        answering.ask(lambda: None)
    assert len(answering.answer(Asked(the_wearer(records), records_lasts(records)[:3], NOW.date())).rows) == 3


def test_a_fault_there_is_no_end_of_the_process(records, answering):
    answering.answer(Asked(the_wearer(records), (), NOW.date()))
    pid = answering.pid
    with pytest.raises(Exception, match="AttributeError") as met:
        answering.ask("no question")
    assert type(met.value).__name__ == "InternalFault"
    assert answering.pid == pid


def test_a_process_that_cannot_begin_is_told_in_a_sentence(tmp_path: Path):
    kept = open_records(tmp_path, now=NOW)
    process = RankingProcess(kept, lambda: NOW)
    path = kept.path
    assert path is not None
    kept.close()
    path.unlink()
    with pytest.raises(ProcessStopped, match="ranking of the lasts could not be worked out") as met:
        process.rank(None, 1, today=NOW.date())  # type: ignore[arg-type]
    assert "start the bench anew" in met.value.remedy
    process.stop()


def test_a_stopped_process_is_gone_and_stays_so(records):
    process = AnswerProcess(records, lambda: NOW)
    process.start()
    pid = process.pid
    assert pid is not None
    process.stop()
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)
    with pytest.raises(ProcessStopped):
        process.answer(Asked(the_wearer(records), (), NOW.date()))
    assert process.pid is None
