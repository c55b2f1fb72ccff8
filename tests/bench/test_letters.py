"""Letters at the bench: drafted for silent lasts, edited, sent, answered, handed over; never of a person."""

from __future__ import annotations

import re

import pytest

from heelball.records.letters import find_letter, list_letters
from heelball.records.values import Author, KeptLast, Letter
from heelball.records.wearers import add_wearer
from heelball.work.lasts_written import new_last
from heelball.work.letters import draft_question, edit_letter, move_letter
from tests.bench.conftest import BEGINNING, Bench
from tests.bench.test_lasts import TYPED, problem_at, text_of
from tests.requirements import require

BY = Author("QB", BEGINNING)


@pytest.fixture
def last(bench: Bench) -> KeptLast:
    return new_last(bench.records, {**TYPED, "publishes_advice": "no"}, units="mm", by=BY)


@pytest.fixture
def letter(bench: Bench, last: KeptLast) -> Letter:
    return draft_question(bench.records, last.maker_id, [last.id], BY)


def _kept(bench: Bench, letter: Letter) -> Letter:
    with bench.records.reading() as conn:
        return find_letter(conn, letter.id)


def _wearer(bench: Bench) -> None:
    with bench.records.writing() as conn:
        add_wearer(conn, "W12", name="Ansel Drover", by=BY)


def test_a_letter_may_be_long_and_what_is_too_long_stays_as_typed(bench: Bench, letter: Letter):
    long = "How does N7 bend? " * 1000 + "Yours"
    bench.post(f"/letters/{letter.id}", {"seen": "1", "text": long, "note": ""})
    assert _kept(bench, letter).text == long
    longer, note = long + "!" * 2000 + "the end of it", "n" * 2500 + "its end"
    refused = bench.post(f"/letters/{letter.id}", {"seen": "2", "text": longer, "note": note})
    assert refused.status_code == 422
    assert problem_at(refused.text, "text") == f"That is {len(longer)} characters long; wanted at most 20000."
    assert problem_at(refused.text, "note") == f"That is {len(note)} characters long; wanted at most 2000."
    assert longer in refused.text
    assert note in refused.text
    assert _kept(bench, letter).text == long


def test_a_letter_goes_from_draft_to_advice(bench: Bench, last: KeptLast):
    board = bench.get("/letters").text
    assert f'name="last" value="{last.id}"' in board
    drafted = bench.post("/letters", {"maker": last.maker_id, "last": [last.id]})
    assert "last N7" in drafted.text
    at = drafted.url.path
    text = "How does N7 bend?\r\n\r\nYours"
    sent = bench.post(f"{at}/sent", {"seen": "1", "text": text, "note": "", "on": "2026-03-04"})
    assert "Sent 4 Mar 2026, not answered yet" in text_of(sent.text)
    board = text_of(bench.get("/letters").text)
    assert "Northmoor N7 4 Mar 2026 10 days" in board
    answered = bench.post(f"{at}/answered", {"seen": "2", "on": "2026-03-14"})
    assert "answered 14 Mar 2026" in text_of(answered.text)
    link = f"/lasts/{last.id}/advice?letter=2026-03-14"
    assert f'href="{link}"' in answered.text
    form = bench.get(link).text
    assert re.search(r'name="origin"[^>]*value="a letter"', form)
    assert re.search(r'name="on"[^>]*value="2026-03-14"', form)
    board = text_of(bench.get("/letters").text)
    assert "sent 4 Mar 2026, answered 14 Mar 2026" in board


def test_a_letter_about_no_last_is_refused(bench: Bench, last: KeptLast):
    answer = bench.post("/letters", {"maker": last.maker_id})
    assert answer.status_code == 422
    assert "No last; wanted at least one to ask about." in answer.text
    with bench.records.reading() as conn:
        assert list_letters(conn) == []


def test_a_person_in_a_letter_is_refused_and_what_was_typed_is_kept(bench: Bench, letter: Letter):
    _wearer(bench)
    for step, more in (("", {}), ("/sent", {"on": "2026-03-14"})):
        typed = {"seen": "1", "text": "For Ansel Drover, please.", "note": "", **more}
        answer = bench.post(f"/letters/{letter.id}{step}", typed)
        assert answer.status_code == 422
        assert "Ansel Drover" in problem_at(answer.text, "text").replace("&#39;", "'")
        assert "For Ansel Drover, please.</textarea>" in answer.text
    assert _kept(bench, letter) == letter


def test_a_letter_that_names_someone_is_not_handed_over(bench: Bench, letter: Letter):
    edit_letter(bench.records, letter.id, 1, {"text": "For Ansel Drover, please."}, BY)
    _wearer(bench)
    for name in ("letter.txt", "letter.pdf"):
        answer = bench.get(f"/letters/{letter.id}/{name}")
        assert answer.status_code == 422
        assert "never about a person" in answer.text


def test_a_letter_is_handed_over_as_plain_text_and_as_a_page(bench: Bench, letter: Letter):
    answer = bench.get(f"/letters/{letter.id}/letter.txt")
    assert answer.text == f"{letter.text}\n"
    assert answer.headers["content-type"] == "text/plain; charset=utf-8"
    pymupdf = pytest.importorskip("pymupdf")
    try:
        import typst  # noqa: F401 - asked for only to say what to install
    except ImportError:
        require(False, "typst", "pip install 'heelball[bench]'")
    sizes = {}
    for paper in ("a4", "letter"):
        answer = bench.get(f"/letters/{letter.id}/letter.pdf?paper={paper}")
        assert answer.headers["content-type"] == "application/pdf"
        (page,) = pymupdf.open(stream=answer.content)
        assert "last N7" in page.get_text()
        assert "2026-03-14" in page.get_text()
        sizes[paper] = page.rect.width
    assert sizes["letter"] > sizes["a4"]


def test_a_sent_letter_keeps_its_text_and_its_day(bench: Bench, letter: Letter):
    move_letter(bench.records, letter.id, 1, "sent", {"on": "2026-03-04"}, BY)
    page = bench.get(f"/letters/{letter.id}").text
    assert 'name="text"' not in page
    refused = bench.post(f"/letters/{letter.id}", {"seen": "2", "text": "Another", "note": ""})
    assert refused.status_code == 422
    noted = bench.post(f"/letters/{letter.id}", {"seen": "2", "note": "called too"})
    assert noted.status_code == 200
    assert (_kept(bench, letter).text, _kept(bench, letter).note) == (letter.text, "called too")


def test_a_day_that_cannot_be_is_said_beside_it(bench: Bench, letter: Letter):
    typed = {"seen": "1", "text": letter.text, "note": "", "on": "2026-04-01"}
    answer = bench.post(f"/letters/{letter.id}/sent", typed)
    assert answer.status_code == 422
    assert "still to come" in problem_at(answer.text, "on")
    move_letter(bench.records, letter.id, 1, "sent", {"on": "2026-03-04"}, BY)
    answer = bench.post(f"/letters/{letter.id}/answered", {"seen": "2", "on": "2026-03-03"})
    assert "before it was sent" in problem_at(answer.text, "on")


def test_a_letter_is_dropped_and_that_is_undone(bench: Bench, letter: Letter):
    page = bench.post(f"/letters/{letter.id}/dropped", {"seen": "1"}).text
    assert "Dropped" in page
    (change, *_) = re.findall(r'name="change" value="(\d+)"', page)
    bench.post(f"/letters/{letter.id}/undo", {"change": change})
    assert _kept(bench, letter).state == "draft"


def test_the_second_to_edit_a_letter_sees_both(bench: Bench, letter: Letter):
    edit_letter(bench.records, letter.id, 1, {"text": "How does it bend?"}, BY)
    answer = bench.post(f"/letters/{letter.id}", {"seen": "1", "text": "How long is it?", "note": ""})
    assert answer.status_code == 409
    assert "How does it bend?" in answer.text
    assert "How long is it?" in answer.text
    assert _kept(bench, letter).text == "How does it bend?"


def test_the_list_of_letters_goes_out_without_their_texts(bench: Bench, letter: Letter):
    new = new_last(bench.records, {**TYPED, "code": "Q2", "maker": "=Quernmere"}, units="mm", by=BY)
    other = draft_question(bench.records, new.maker_id, [new.id], BY)
    move_letter(bench.records, other.id, 1, "sent", {"on": "2026-03-04"}, BY)
    assert bench.get("/letters/letters.csv").text.splitlines() == [
        "maker,about,state,drafted,sent,answered",
        "Northmoor,N7,draft,2026-03-14,,",
        "'=Quernmere,Q2,sent,2026-03-14,2026-03-04,",
    ]


def test_a_letter_has_no_other_steps(bench: Bench, letter: Letter):
    assert bench.post(f"/letters/{letter.id}/burnt", {"seen": "1"}).status_code == 404
