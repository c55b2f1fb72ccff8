"""Wearers are found by any part of name or code, and no two have one code."""

from __future__ import annotations

from typing import Any

import pytest
from attrs import evolve

from heelball.errors import InputError
from heelball.records.changes import list_changes_of
from heelball.records.refused import Conflict, NotFound
from heelball.records.store import Records
from heelball.records.values import Author
from heelball.records.wearers import (
    add_wearer,
    change_wearer,
    count_wearers,
    find_by_code,
    find_wearer,
    list_wearers,
    remove_wearer,
    search_wearers,
)

DAY = ({"name": "evening", "share": 1.0, "sock": "thick", "swelling": "hot", "insole_mm": 0},)


def test_a_wearer_is_kept_as_given(records: Records, author: Author):
    with records.writing() as conn:
        added = add_wearer(
            conn,
            " W12 ",
            name="Tove Wærer",
            population="women",
            day=DAY,
            keeps_try_ons=True,
            note="left first",
            by=author,
        )
    with records.reading() as conn:
        assert find_wearer(conn, added.id) == find_by_code(conn, "W12") == added
        assert find_by_code(conn, "w12") is None
        assert count_wearers(conn) == 1
    assert (added.version, added.code, added.name, added.population) == (1, "W12", "Tove Wærer", "women")
    assert (added.day, added.keeps_try_ons, added.note) == (DAY, True, "left first")
    assert added.made_at == added.changed_at == "2026-11-25T18:40:05+01:00"


NAMES = {
    "W1": "Anna Berg",
    "W2": "Bergljot Ånstad",
    "W3": "Ødegård-Ann, Per",
    "W11": "Zoë Strøm",
    "A_1%": "Under Score",
    "AX1Y": "Plain Sign",
}


@pytest.mark.parametrize(
    ("words", "codes"),
    [
        ("anna", ["W1"]),
        ("ANNA  berg", ["W1"]),
        ("berg anna", ["W1"]),
        ("berg", ["W1", "W2"]),
        ("anstad", ["W2"]),
        ("ånstad", ["W2"]),
        ("odegard", ["W3"]),
        ("per ann", ["W3"]),
        ("STROM", ["W11"]),
        ("zoe", ["W11"]),
        # Whoever's code it is stands first.
        ("w1", ["W1", "W11"]),
        ("w11", ["W11"]),
        # Signs in a code, or typed, make no difference: none of them is a pattern.
        ("a_1%", ["A_1%", "W1", "AX1Y"]),
        ("a1", ["A_1%"]),
        ("a%1", ["A_1%", "W1", "AX1Y"]),
        ("%", ["W1", "W2", "W3", "AX1Y", "A_1%", "W11"]),
        ("nobody", []),
        ("anna nobody", []),
    ],
)
def test_search_folds_and_takes_words_in_any_order(
    records: Records, author: Author, words: str, codes: list[str]
):
    with records.writing() as conn:
        for code, name in NAMES.items():
            add_wearer(conn, code, name=name, by=author)
    with records.reading() as conn:
        assert [found.code for found in search_wearers(conn, words)] == codes


def test_words_that_start_so_come_before_words_that_hold_it(records: Records, author: Author):
    with records.writing() as conn:
        add_wearer(conn, "1", name="Abelard Hann", by=author)
        add_wearer(conn, "2", name="Zed Anners", by=author)
    with records.reading() as conn:
        assert [found.code for found in search_wearers(conn, "ann")] == ["2", "1"]
        assert [found.code for found in search_wearers(conn, "ann", limit=1)] == ["2"]
        assert [found.code for found in list_wearers(conn)] == ["1", "2"]


def test_a_code_belongs_to_one_wearer(records: Records, author: Author):
    with records.writing() as conn:
        add_wearer(conn, "W1", by=author)
        other = add_wearer(conn, "W2", by=author)
    with pytest.raises(InputError, match="code: W1, which another wearer has"), records.writing() as conn:
        add_wearer(conn, "W1 ", by=author)
    with pytest.raises(InputError, match="which another wearer has"), records.writing() as conn:
        change_wearer(conn, other.id, 1, {"code": "W1"}, by=author)
    with pytest.raises(InputError, match="code: nothing"), records.writing() as conn:
        add_wearer(conn, "  ", by=author)
    with records.reading() as conn:
        assert [wearer.code for wearer in list_wearers(conn)] == ["W1", "W2"]


def test_a_changed_name_is_found_and_the_old_one_is_not(records: Records, author: Author):
    with records.writing() as conn:
        kept = add_wearer(conn, "W1", name="Anna Berg", by=author)
        later = evolve(author, at=author.at.replace(hour=20))
        changed = change_wearer(conn, kept.id, 1, {"name": "Anna Dahl", "day": list(DAY)}, by=later)
    assert changed.version == 2
    assert changed.day == DAY
    assert (changed.made_at, changed.changed_at) == (kept.made_at, "2026-11-25T20:40:05+01:00")
    with records.reading() as conn:
        assert search_wearers(conn, "berg") == []
        assert search_wearers(conn, "dahl w1") == [changed]


def test_the_second_fitter_gets_both_versions(records: Records, author: Author):
    with records.writing() as conn:
        kept = add_wearer(conn, "W1", note="", by=author)
        first = change_wearer(conn, kept.id, kept.version, {"note": "wide"}, by=author)
    with pytest.raises(Conflict) as told, records.writing() as conn:
        change_wearer(conn, kept.id, kept.version, {"name": "Ann", "note": "narrow"}, by=author)
    assert (told.value.theirs, told.value.seen, told.value.changes) == (
        first,
        1,
        {"name": "Ann", "note": "narrow"},
    )
    with records.writing() as conn:
        assert (
            change_wearer(conn, kept.id, told.value.theirs.version, {"note": "narrow"}, by=author).version
            == 3
        )


def test_writing_what_stands_writes_nothing(records: Records, author: Author):
    with records.writing() as conn:
        kept = add_wearer(conn, "W1", note="wide", by=author)
        assert change_wearer(conn, kept.id, 99, {"note": "wide"}, by=author) == kept
        assert len(list_changes_of(conn, "wearers", kept.id)) == 1


def test_a_removed_wearer_is_gone(records: Records, author: Author):
    with records.writing() as conn:
        kept = add_wearer(conn, "W1", by=author)
    with pytest.raises(Conflict), records.writing() as conn:
        remove_wearer(conn, kept.id, 7, by=author)
    with records.writing() as conn:
        remove_wearer(conn, kept.id, 1, by=author)
    with pytest.raises(NotFound, match="This wearer is not in the records"), records.reading() as conn:
        find_wearer(conn, kept.id)


@pytest.mark.parametrize(
    ("field", "value", "found"),
    [
        ("code", "W" * 41, "41 characters; wanted 40 at most"),
        ("name", "An\0na", "a sign that is no text"),
        ("note", "half \ud83d", "a sign that is no text"),
    ],
)
def test_what_one_database_would_not_keep_neither_takes(
    records: Records, author: Author, field: str, value: str, found: str
):
    fields: dict[str, Any] = {"code": "W1", field: value}
    with pytest.raises(InputError, match=f"{field}: {found}"), records.writing() as conn:
        add_wearer(conn, **fields, by=author)
    with records.reading() as conn:
        assert count_wearers(conn) == 0


def test_any_other_sign_is_kept(records: Records, author: Author):
    name = "R. O'Neil\u2019s \U0001f97e \u05d0\u05d1 '); DROP TABLE wearers; -- \x7f\ufffe"
    with records.writing() as conn:
        kept = add_wearer(conn, "W1", name=name, by=author)
    with records.reading() as conn:
        assert find_wearer(conn, kept.id).name == name


def test_what_cannot_be_kept_is_not_found(records: Records, author: Author):
    with records.writing() as conn:
        kept = add_wearer(conn, "W1", by=author)
    with records.reading() as conn:
        for made_up in ("\0", kept.id + "\0", "half \ud83d", ""):
            with pytest.raises(NotFound):
                find_wearer(conn, made_up)
            assert find_by_code(conn, made_up) is None
            search_wearers(conn, made_up)


def test_a_search_for_ever_so_many_words_is_answered(records: Records, author: Author):
    with records.writing() as conn:
        kept = add_wearer(conn, "W1", name="Ann", by=author)
    with records.reading() as conn:
        assert search_wearers(conn, "ann " * 5000) == [kept]
        assert search_wearers(conn, "b" * 5000) == []
