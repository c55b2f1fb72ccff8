"""Names and codes in free text: found however they are written, and nothing else is."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heelball.records.found import folded
from heelball.records.rewording import ERASED, Called, reworded

WHO = Called({"Örla Vantbrook", "Orla Zinn"}, {"QX77K", "12"})


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("Örla Vantbrook came", "[erased] came"),
        ("ORLA  VANTBROOK's boot", "[erased]'s boot"),
        ("O\u0308rla\nVantbrook", "[erased]"),
        ("two Orla Vantbrooks", "two [erased]"),
        ("(qx77k)", "([erased])"),
        ("QX77K-old", "[erased]-old"),
        ("Orla Zinn, Orla Vantbrook", "[erased], [erased]"),
        ("size 12, Vantbrook alone, Orla too", "size 12, Vantbrook alone, Orla too"),
        ("QX77KL and AQX77K", "QX77KL and AQX77K"),
        ("", ""),
    ],
)
def test_a_name_or_code_is_taken_out_and_nothing_else(text: str, left: str):
    assert WHO.out_of(text) == left


def test_where_no_spaces_part_words_a_name_is_found_within():
    assert Called({"山田太郎"}, {"W1"}).out_of("昨日山田太郎さんが") == f"昨日{ERASED}さんが"


def test_what_may_mean_the_person_is_told():
    assert WHO.doubtful_in("size 12 for Vantbrook") == ["12", "Vantbrook"]
    assert WHO.doubtful_in("nothing of the kind") == []


def test_only_free_text_in_json_is_reworded():
    row = {"code": "QX77K", "note": "of QX77K", "with": {"letters": [{"text": "QX77K", "about": ["QX77K"]}]}}
    assert reworded(row, WHO, frozenset({"note", "text"})) == {
        "code": "QX77K",
        "note": "of [erased]",
        "with": {"letters": [{"text": ERASED, "about": ["QX77K"]}]},
    }


WORDS = st.text(st.characters(categories=["Lu", "Ll", "Nd"], max_codepoint=0x24F), min_size=3, max_size=8)


@given(WORDS, WORDS, st.text(max_size=20), st.text(max_size=20))
def test_a_name_between_any_texts_is_gone(first: str, second: str, before: str, after: str):
    name = f"{first} {second}"
    found = Called({name}, set()).out_of(f"{before} {name.upper()}\t{after}")
    assert f" {folded(name)} " not in f" {folded(found)} "
    assert Called({name}, set()).out_of(found) == found
