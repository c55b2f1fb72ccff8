"""Lasts are kept with the advice and the measured pairs that stand, and a stamp tells of every write."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from sqlalchemy import Connection

from heelball.errors import InputError
from heelball.records.changes import list_changes_of, undo
from heelball.records.lasts import (
    add_last,
    change_last,
    find_by_code,
    find_last,
    lasts_stamp,
    list_lasts,
    retire_last,
)
from heelball.records.makers import add_maker, change_maker
from heelball.records.refused import Conflict, NotFound
from heelball.records.run_evidence import (
    add_advice,
    add_measured,
    change_advice,
    change_measured,
    find_advice,
    list_advice,
    list_measured,
    withdraw_advice,
    withdraw_measured,
)
from heelball.records.store import Records
from heelball.records.values import Author, KeptLast
from heelball.records.wearers import add_wearer


def kept_last(conn: Connection, author: Author, code: str = "N7", maker: str = "Northmoor") -> KeptLast:
    kept = add_maker(conn, maker, by=author)
    return add_last(conn, kept.id, code, label_scale="us-men", sizes="8-12", by=author)


def test_a_last_is_kept_as_given(records: Records, author: Author):
    with records.writing() as conn:
        maker = add_maker(conn, "Northmoor", by=author)
        kept = add_last(
            conn,
            maker.id,
            " N7 ",
            label_scale="us-men",
            sizes=None,
            widths={"EE": "8-10", "B": "6-12 by 1/2"},
            width_scale="uk",
            reference_width="E",
            stiffness="soft",
            toe="hard-cap",
            closing="pull-on",
            heel_mm=35.5,
            publishes_advice=False,
            exchange_days=0,
            note="ask first",
            by=author,
        )
    with records.reading() as conn:
        assert find_last(conn, kept.id) == find_by_code(conn, "N7") == kept
        assert find_by_code(conn, "N8") is None
    assert (kept.maker, kept.code, kept.version, kept.retired) == ("Northmoor", "N7", 1, False)
    assert kept.widths == {"EE": "8-10", "B": "6-12 by 1/2"}
    # Nobody has asked is another thing than none.
    assert (kept.publishes_advice, kept.exchange_days, kept.sizes) == (False, 0, None)


def test_no_two_lasts_have_one_code(records: Records, author: Author):
    with records.writing() as conn:
        first, second = kept_last(conn, author), kept_last(conn, author, "Q2", "Quernmere")
    for code in ("N7", " N7 ", ""):
        with records.writing() as conn, pytest.raises(InputError) as refused:
            add_last(conn, first.maker_id, code, label_scale="uk", sizes="8", by=author)
        assert refused.value.problems[0].place == "code"
        with records.writing() as conn, pytest.raises(InputError):
            change_last(conn, second.id, second.version, {"code": code}, by=author)


def test_a_last_is_of_a_maker_that_is_kept(records: Records, author: Author):
    with records.writing() as conn, pytest.raises(NotFound):
        add_last(conn, "nobody", "N7", label_scale="us-men", sizes="8-12", by=author)


def test_lasts_are_listed_by_maker_and_code_with_what_stands(records: Records, author: Author):
    with records.writing() as conn:
        second = kept_last(conn, author, "Q2", "Quernmere")
        first = kept_last(conn, author)
        other = add_last(conn, first.maker_id, "N10", label_scale="uk", sizes="8", by=author)
        retire_last(conn, other.id, other.version, by=author)
        said = add_advice(conn, first.id, basis="ball", order_sizes="-1/2", by=author)
        gone = add_advice(conn, first.id, basis="ball", order_sizes="1", by=author)
        withdraw_advice(conn, gone.id, gone.version, by=author)
        pair = add_measured(conn, second.id, size="10", width=None, flex_line_mm=205.0, by=author)
    with records.reading() as conn:
        listed = list_lasts(conn)
        assert [last.code for last in listed] == ["N10", "N7", "Q2"]
        assert [last.code for last in list_lasts(conn, retired=False)] == ["N7", "Q2"]
        assert [last.code for last in list_lasts(conn, retired=True)] == ["N10"]
        assert [last.code for last in list_lasts(conn, maker_id=second.maker_id)] == ["Q2"]
        # A list holds the same as looking each up.
        assert listed == [find_last(conn, last.id) for last in listed]
    by_code = {last.code: last for last in listed}
    assert (by_code["N7"].advice, by_code["N7"].measured) == ((said,), ())
    assert (by_code["Q2"].advice, by_code["Q2"].measured) == ((), (pair,))


def test_evidence_keeps_its_origin_and_stands_by_its_day(records: Records, author: Author):
    rows = [("10 1/2", "10"), ("11", "10 1/2")]
    with records.writing() as conn:
        last = kept_last(conn, author)
        late = add_advice(
            conn, last.id, basis="ball", rows=rows, origin="a letter", on="2026-03-02", by=author
        )
        early = add_advice(
            conn, last.id, basis="label", order_sizes="1", scale="uk", on="2026-02-01", by=author
        )
        undated = add_advice(conn, last.id, basis="ball", order_sizes="0", by=author)
        pair = add_measured(
            conn,
            last.id,
            size="10",
            width="D",
            inside_length_mm=290.0,
            ball_girth_mm=254.5,
            sd_mm=1.5,
            from_drawing=True,
            origin="drawing of 2025",
            on="2026-01-03",
            by=author,
        )
    with records.reading() as conn:
        assert list_advice(conn, last.id) == [undated, early, late]
        assert find_last(conn, last.id).advice == (undated, early, late)
        assert list_measured(conn, last.id) == [pair]
    assert late.rows == (("10 1/2", "10"), ("11", "10 1/2"))
    assert (late.origin, late.on, late.order_sizes) == ("a letter", "2026-03-02", None)
    assert (pair.flex_line_mm, pair.sd_mm, pair.from_drawing) == (None, 1.5, True)


def test_the_second_to_change_a_last_its_advice_or_its_pair_is_told(records: Records, author: Author):
    with records.writing() as conn:
        last = kept_last(conn, author)
        advice = add_advice(conn, last.id, basis="ball", order_sizes="1", by=author)
        pair = add_measured(conn, last.id, size="10", width=None, flex_line_mm=205.0, by=author)
        change_last(conn, last.id, 1, {"toe": "almond"}, by=author)
        change_advice(conn, advice.id, 1, {"order_sizes": "1/2"}, by=author)
        change_measured(conn, pair.id, 1, {"flex_line_mm": 206.0}, by=author)
    second: list[Callable[[Connection], Any]] = [
        lambda conn: change_last(conn, last.id, 1, {"toe": "round", "note": "x"}, by=author),
        lambda conn: retire_last(conn, last.id, 1, by=author),
        lambda conn: change_advice(conn, advice.id, 1, {"order_sizes": "0"}, by=author),
        lambda conn: withdraw_advice(conn, advice.id, 1, by=author),
        lambda conn: change_measured(conn, pair.id, 1, {"flex_line_mm": 207.0}, by=author),
        lambda conn: withdraw_measured(conn, pair.id, 1, by=author),
    ]
    for write in second:
        with records.writing() as conn, pytest.raises(Conflict) as refused:
            write(conn)
        assert refused.value.theirs.version == 2
    with records.reading() as conn:
        (kept,) = list_lasts(conn)
    assert (kept.toe, kept.note, kept.retired) == ("almond", "", False)
    assert (kept.advice[0].order_sizes, kept.measured[0].flex_line_mm) == ("1/2", 206.0)


def test_withdrawn_evidence_stays_in_the_history_and_undo_lets_it_count_again(
    records: Records, author: Author
):
    with records.writing() as conn:
        last = kept_last(conn, author)
        advice = add_advice(conn, last.id, basis="ball", order_sizes="1", by=author)
        withdraw_advice(conn, advice.id, advice.version, by=author)
    with records.writing() as conn:
        assert find_last(conn, last.id).advice == ()
        assert find_advice(conn, advice.id).withdrawn_at == "2026-11-25T18:40:05+01:00"
        undo(conn, list_changes_of(conn, "advice", advice.id)[0].id, by=author)
    with records.reading() as conn:
        (again,) = find_last(conn, last.id).advice
    assert (again.id, again.order_sizes, again.withdrawn_at) == (advice.id, "1", None)


def test_undoing_a_measured_pair_withdraws_it(records: Records, author: Author):
    with records.writing() as conn:
        last = kept_last(conn, author)
        pair = add_measured(conn, last.id, size="10", width=None, flex_line_mm=205.0, by=author)
        undo(conn, list_changes_of(conn, "measured_pairs", pair.id)[0].id, by=author)
    with records.reading() as conn:
        assert find_last(conn, last.id).measured == ()
        assert [one.withdrawn_at is None for one in list_measured(conn, last.id)] == [False]


def test_the_stamp_moves_with_everything_that_bears_on_a_ranking(records: Records, author: Author):
    with records.writing() as conn:
        last = kept_last(conn, author)
        stamps = [lasts_stamp(conn)]
        advice = add_advice(conn, last.id, basis="ball", order_sizes="1", by=author)
        stamps.append(lasts_stamp(conn))
        pair = add_measured(conn, last.id, size="10", width=None, flex_line_mm=205.0, by=author)
        stamps.append(lasts_stamp(conn))
        change_last(conn, last.id, 1, {"sizes": "8-13"}, by=author)
        stamps.append(lasts_stamp(conn))
        withdraw_advice(conn, advice.id, 1, by=author)
        stamps.append(lasts_stamp(conn))
        undo(conn, list_changes_of(conn, "advice", advice.id)[0].id, by=author)
        stamps.append(lasts_stamp(conn))
        withdraw_measured(conn, pair.id, 1, by=author)
        stamps.append(lasts_stamp(conn))
        change_maker(conn, last.maker_id, 1, {"name": "Northmoor and Daughters"}, by=author)
        stamps.append(lasts_stamp(conn))
        retire_last(conn, last.id, 2, by=author)
        stamps.append(lasts_stamp(conn))
        assert len(set(stamps)) == len(stamps)
        add_wearer(conn, "W1", by=author)
        assert lasts_stamp(conn) == stamps[-1]
