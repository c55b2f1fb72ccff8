"""The one way of writing: versions, values both databases keep alike, and the telling of it."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import Table

from heelball.errors import InputError
from heelball.records.changes import list_changes_of, list_changes_of_wearer
from heelball.records.found import find_row, folded
from heelball.records.refused import Conflict, NotFound, StillNeeded
from heelball.records.schema import gauge_marks, lasts, makers, metadata, pairs
from heelball.records.store import Records
from heelball.records.values import Author
from heelball.records.wearers import add_wearer
from heelball.records.writing import insert, remove, update

MARK: dict[str, Any] = {
    "scale": "gauge-men",
    "what": "ball",
    "mark": "10",
    "measured_mm": 199.0,
    "fitter": "QB",
}
LAST: dict[str, Any] = {
    "code": "N7",
    "label_scale": "uk",
    "width_scale": "uk",
    "stiffness": "stiff",
    "toe": "round",
    "closing": "lace",
}


def test_a_row_is_given_a_name_and_what_it_does_not_say(records: Records, author: Author):
    with records.writing() as conn:
        row = insert(conn, gauge_marks, MARK, by=author, into=dict)
        named = insert(conn, gauge_marks, {**MARK, "id": "m1", "version": 8}, by=author, into=dict)
        assert find_row(conn, gauge_marks, row["id"]) == row
    assert len(row["id"]) == 16
    assert {**MARK, "id": row["id"], "version": 1, "line": None, "on": None, "withdrawn_at": None} == row
    assert (named["id"], named["version"]) == ("m1", 1)


def test_a_write_gives_back_what_is_made_of_the_row(records: Records, author: Author):
    def measured(row: Any) -> float:
        return float(row["measured_mm"])

    with records.writing() as conn:
        insert(conn, gauge_marks, {**MARK, "id": "m1"}, by=author, into=dict)
        assert update(conn, gauge_marks, "m1", 1, {"measured_mm": 200.5}, by=author, into=measured) == 200.5
        with pytest.raises(Conflict) as told:
            update(conn, gauge_marks, "m1", 1, {"measured_mm": 201.0}, by=author, into=measured)
        assert told.value.theirs == 200.5
        with pytest.raises(Conflict) as told:
            remove(conn, gauge_marks, "m1", 1, by=author, into=measured)
        assert told.value.theirs == 200.5
        remove(conn, gauge_marks, "m1", 2, by=author, into=measured)
        for gone in (
            lambda: update(conn, gauge_marks, "m1", 2, {}, by=author, into=dict),
            lambda: remove(conn, gauge_marks, "m1", 2, by=author, into=dict),
        ):
            with pytest.raises(NotFound, match="This mark of the gauge is not in the records"):
                gone()


def test_a_change_says_whose_row_it_is(records: Records, author: Author):
    with records.writing() as conn:
        wearer = add_wearer(conn, "W1", by=author)
        maker = insert(conn, makers, {"name": "Tarrowdene"}, by=author, into=dict)
        last = insert(conn, lasts, {**LAST, "maker_id": maker["id"]}, by=author, into=dict)
        pair = {"wearer_id": wearer.id, "last_id": last["id"], "size": "10", "state": "kept"}
        insert(conn, pairs, pair, by=author, into=dict)
        insert(conn, gauge_marks, MARK, by=author, into=dict, wearer_id=wearer.id)
        assert [change.table_name for change in list_changes_of_wearer(conn, wearer.id)] == [
            "gauge_marks",
            "pairs",
            "wearers",
        ]
        assert list_changes_of(conn, "makers", maker["id"])[0].wearer_id is None


def test_what_others_name_is_not_removed(records: Records, author: Author):
    with records.writing() as conn:
        maker = insert(conn, makers, {"name": "Tarrowdene"}, by=author, into=dict)
        insert(conn, lasts, {**LAST, "maker_id": maker["id"]}, by=author, into=dict)
    with (
        pytest.raises(StillNeeded, match="Other things in the records name this one"),
        records.writing() as conn,
    ):
        remove(conn, makers, maker["id"], 1, by=author, into=dict)
    with records.reading() as conn:
        assert find_row(conn, makers, maker["id"])["name"] == "Tarrowdene"
        assert len(list_changes_of(conn, "makers", maker["id"])) == 1


@pytest.mark.parametrize(
    ("table", "row", "said"),
    [
        (gauge_marks, {**MARK, "measured_mm": float("nan")}, "measured mm: nan; wanted a number"),
        (gauge_marks, {**MARK, "measured_mm": float("inf")}, "measured mm: inf; wanted a number"),
        (gauge_marks, {**MARK, "mark": "1" * 41}, "mark: 41 characters; wanted 40 at most"),
        (lasts, {**LAST, "maker_id": "m", "exchange_days": 2**31}, "exchange days: 2147483648; wanted"),
        (
            lasts,
            {**LAST, "maker_id": "m", "widths": [float("nan")]},
            "widths: a value that cannot be written",
        ),
        (lasts, {**LAST, "maker_id": "m", "widths": {"D": b"8"}}, "widths: a value that cannot be written"),
        (lasts, {**LAST, "maker_id": "m", "exchange_days": -(2**31)}, "exchange days: -2147483648; wanted"),
    ],
)
def test_values_that_one_database_would_bend_are_refused(
    records: Records, author: Author, table: Table, row: dict[str, Any], said: str
):
    with pytest.raises(InputError, match=said), records.writing() as conn:
        insert(conn, table, row, by=author, into=dict)


def test_every_wrong_value_is_told_and_none_is_written(records: Records, author: Author):
    with records.writing() as conn:
        insert(conn, gauge_marks, {**MARK, "id": "m1"}, by=author, into=dict)
    wrong = {"measured_mm": float("nan"), "mark": "\0", "line": "10"}
    with pytest.raises(InputError) as told, records.writing() as conn:
        update(conn, gauge_marks, "m1", 1, wrong, by=author, into=dict)
    assert [problem.place for problem in told.value.problems] == ["measured mm", "mark"]
    with records.reading() as conn:
        assert find_row(conn, gauge_marks, "m1")["line"] is None


def test_every_row_that_is_written_this_way_has_a_version():
    """Sessions, tokens, settings and the ledger of erasures are written by whoever owns them."""
    apart = {"sessions", "tokens", "settings", "erasures", "changes"}
    versioned = {name for name, table in metadata.tables.items() if "version" in table.c}
    assert versioned == set(metadata.tables) - apart


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", ""),
        ("  Ødegård-Ann,\tPer ", "odegard ann per"),
        ("STRASSE", "strasse"),
        ("Straße", "strasse"),
        ("Æsc Œuvre Łódź Đ", "aesc oeuvre lodz d"),
        ("\u0130stanbul \u0131\u0131", "istanbul ii"),
        ("O\u2019Neil O'Dea", "oneil odea"),
        ("e\u0301", "e"),
        ("W-12/3", "w 12 3"),
        ("張三", "張三"),
        ("\ufb01t \uff11\uff12", "fit 12"),
    ],
)
def test_words_are_folded_for_a_search(text: str, words: str):
    assert folded(text) == words
