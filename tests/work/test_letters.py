"""Letters to makers are drafted from lasts, and never hold a person who is kept as a wearer."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from heelball.errors import InputError
from heelball.records.refused import Conflict, NotFound
from heelball.records.store import Records, open_records
from heelball.records.values import Author, KeptLast
from heelball.records.wearers import add_wearer
from heelball.work.lasts_written import edit_maker, new_last, retire_last, write_advice
from heelball.work.letters import (
    MOST_ASKED,
    draft_question,
    edit_letter,
    letter_page,
    letter_to_hand_over,
    letters_page,
    move_letter,
    undo_at_letter,
)

NOW = datetime(2026, 3, 14, 10, 20, tzinfo=UTC)
TODAY = NOW.date()
BY = Author("QB", NOW)


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records(tmp_path, now=NOW)
    yield opened
    opened.close()


def _last(records: Records, code: str, maker: str = "Northmoor", **more: str) -> KeptLast:
    typed = {"code": code, "maker": maker, "label_scale": "us-men", "sizes": "8-12", "widths": "B, D"}
    return new_last(records, typed | more, units="mm", by=BY)


def _wearer(records: Records, code: str, name: str = "") -> None:
    with records.writing() as conn:
        add_wearer(conn, code, name=name, by=BY)


def test_a_draft_asks_about_the_lasts_it_was_made_for(records: Records):
    first, second = _last(records, "N7"), _last(records, "N8")
    edit_maker(records, first.maker_id, 1, {"address": "Mill Row 2\nSedge"}, BY)
    letter = draft_question(records, first.maker_id, [second.id, first.id, second.id], BY)
    assert (letter.state, letter.about) == ("draft", ("N8", "N7"))
    assert letter.text.startswith("Northmoor\nMill Row 2\nSedge\n\n")
    assert "last N7" in letter.text
    assert "last N8" in letter.text
    page = letter_page(records, letter.id)
    assert [last.code for last in page.lasts] == ["N8", "N7"]


def test_a_draft_is_of_one_maker_and_of_some_last(records: Records):
    ours, theirs = _last(records, "N7"), _last(records, "Q2", "Quernmere")
    with pytest.raises(InputError, match="Q2 of another maker"):
        draft_question(records, ours.maker_id, [ours.id, theirs.id], BY)
    with pytest.raises(InputError, match="no last"):
        draft_question(records, ours.maker_id, [], BY)
    with pytest.raises(InputError, match="60 at most"):
        draft_question(records, ours.maker_id, [f"last{number}" for number in range(61)], BY)
    with pytest.raises(NotFound):
        draft_question(records, "nobody", [ours.id], BY)


def test_a_draft_about_as_many_lasts_as_may_be_is_no_longer_than_a_letter(records: Records):
    kept = [_last(records, f"N{number:02}{'w' * 37}") for number in range(MOST_ASKED)]
    letter = draft_question(records, kept[0].maker_id, [last.id for last in kept], BY)
    assert kept[-1].code in letter.text
    assert letter_to_hand_over(records, letter.id) == letter


def test_makers_to_ask_are_those_whose_lasts_publish_nothing(records: Records):
    silent, refuses = _last(records, "N7"), _last(records, "N8", publishes_advice="no")
    _last(records, "N9", publishes_advice="yes")
    told = _last(records, "Q2", "Quernmere")
    write_advice(records, told.id, {"basis": "ball", "order": "0"}, by=BY)
    gone = _last(records, "T1", "Tarrowdene")
    retire_last(records, gone.id, 1, retired=True, by=BY)
    (asked,) = letters_page(records, TODAY).to_ask
    assert (asked.maker.name, [last.code for last in asked.lasts]) == ("Northmoor", ["N7", "N8"])
    draft_question(records, silent.maker_id, [silent.id], BY)
    (asked,) = letters_page(records, TODAY).to_ask
    assert asked.lasts == (refuses,)


def test_letters_stand_by_how_far_they_have_come(records: Records):
    letters = [
        draft_question(records, last.maker_id, [last.id], BY)
        for last in (
            _last(records, "N7"),
            _last(records, "Q2", "Quernmere"),
            _last(records, "T1", "Tarrowdene"),
        )
    ]
    for letter, on in zip(letters[:2], ("2026-03-10", "2026-02-10"), strict=True):
        move_letter(records, letter.id, 1, "sent", {"on": on}, BY)
    move_letter(records, letters[2].id, 1, "dropped", {}, BY)
    page = letters_page(records, TODAY)
    assert [(one.maker.name, one.waiting_days) for one in page.waiting] == [
        ("Quernmere", 32),
        ("Northmoor", 4),
    ]
    assert [one.maker.name for one in page.dropped] == ["Tarrowdene"]
    move_letter(records, letters[0].id, 2, "answered", {"on": "2026-03-14"}, BY)
    page = letters_page(records, TODAY)
    assert [one.letter.answered_on for one in page.answered] == ["2026-03-14"]
    assert len(page.waiting) == 1


@pytest.mark.parametrize(
    "text",
    [
        "For Ansel Drover we would like to know how it runs.",
        "for ANSEL  DROVER's boots",
        "Ansel Drover’s boots",
        "Ansel\nDrover waits for it.",
        "Our wearer W12 waits.",
        "(w12)",
    ],
)
def test_a_letter_never_holds_a_kept_wearer(records: Records, text: str):
    last = _last(records, "N7")
    _wearer(records, "W12", "Ansel Drover")
    letter = draft_question(records, last.maker_id, [last.id], BY)
    with pytest.raises(InputError) as refused:
        edit_letter(records, letter.id, 1, {"text": f"{letter.text}\n\n{text}"}, BY)
    assert [problem.place for problem in refused.value.problems] == ["text"]
    with pytest.raises(InputError) as refused:
        move_letter(records, letter.id, 1, "sent", {"on": "2026-03-14", "text": text}, BY)
    assert letter_page(records, letter.id).letter == letter


def test_words_that_only_look_like_a_wearer_may_stand(records: Records):
    last = _last(records, "N7")
    # A wearer of a last's code, of a word of every draft, and one whose name is part of a word.
    _wearer(records, "N7", "Long")
    _wearer(records, "W12", "Ansel Drover")
    letter = draft_question(records, last.maker_id, [last.id], BY)
    assert "last N7" in letter.text
    assert "long" in letter.text
    text = f"{letter.text}\n\nW123 and Ansel Drovers are no names of ours."
    assert edit_letter(records, letter.id, 1, {"text": text}, BY).text == text
    with pytest.raises(InputError, match="Long"):
        edit_letter(records, letter.id, 2, {"text": f"{text} Mr Long asks."}, BY)


def test_a_letter_is_not_handed_over_once_a_wearer_of_that_name_is_kept(records: Records):
    last = _last(records, "N7")
    letter = draft_question(records, last.maker_id, [last.id], BY)
    letter = edit_letter(records, letter.id, 1, {"text": f"{letter.text}\n\nAnsel Drover"}, BY)
    assert letter_to_hand_over(records, letter.id) == letter
    _wearer(records, "W12", "Ansel Drover")
    with pytest.raises(InputError):
        letter_to_hand_over(records, letter.id)
    with pytest.raises(InputError):
        move_letter(records, letter.id, 2, "sent", {"on": "2026-03-14"}, BY)


@pytest.mark.parametrize("text", ["", "  \n", "x" * 20_001])
def test_a_letter_has_some_text_and_is_no_book(records: Records, text: str):
    last = _last(records, "N7")
    letter = draft_question(records, last.maker_id, [last.id], BY)
    with pytest.raises(InputError):
        edit_letter(records, letter.id, 1, {"text": text}, BY)


def test_a_letter_is_sent_as_it_was_just_edited_and_stays_so(records: Records):
    last = _last(records, "N7")
    letter = draft_question(records, last.maker_id, [last.id], BY)
    typed = {"on": "2026-03-12", "text": "How does N7 run?\r\n\r\nYours", "note": "by post"}
    sent = move_letter(records, letter.id, 1, "sent", typed, BY)
    assert (sent.state, sent.sent_on, sent.text) == ("sent", "2026-03-12", "How does N7 run?\n\nYours")
    with pytest.raises(InputError):
        edit_letter(records, letter.id, 2, {"text": "Another"}, BY)
    assert edit_letter(records, letter.id, 2, {"note": "called too"}, BY).note == "called too"


@pytest.mark.parametrize("on", ["", "yesterday", "2026-03-15"])
def test_a_day_that_cannot_be_is_refused_beside_its_field(records: Records, on: str):
    last = _last(records, "N7")
    letter = draft_question(records, last.maker_id, [last.id], BY)
    with pytest.raises(InputError) as refused:
        move_letter(records, letter.id, 1, "sent", {"on": on}, BY)
    assert [problem.place for problem in refused.value.problems] == ["on"]


def test_an_answer_does_not_come_before_the_letter_went(records: Records):
    last = _last(records, "N7")
    letter = draft_question(records, last.maker_id, [last.id], BY)
    move_letter(records, letter.id, 1, "sent", {"on": "2026-03-10"}, BY)
    with pytest.raises(InputError) as refused:
        move_letter(records, letter.id, 2, "answered", {"on": "2026-03-09"}, BY)
    assert [problem.place for problem in refused.value.problems] == ["on"]


def test_each_step_of_a_letter_is_undone(records: Records):
    last = _last(records, "N7")
    letter = draft_question(records, last.maker_id, [last.id], BY)
    move_letter(records, letter.id, 1, "sent", {"on": "2026-03-10"}, BY)
    history = letter_page(records, letter.id).history
    assert history[0].said == "Letter marked as sent"
    assert undo_at_letter(records, letter.id, history[0].change_id, BY)
    back = letter_page(records, letter.id)
    assert (back.letter.state, back.letter.sent_on) == ("draft", None)
    assert back.history[0].said == "Letter back to a draft"


def test_the_second_to_edit_a_letter_is_told(records: Records):
    last = _last(records, "N7")
    letter = draft_question(records, last.maker_id, [last.id], BY)
    edit_letter(records, letter.id, 1, {"text": "How does it bend?"}, BY)
    with pytest.raises(Conflict):
        edit_letter(records, letter.id, 1, {"text": "How long is it?"}, BY)
