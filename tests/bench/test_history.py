"""The history of a wearer: what was done, by whom, and taking it back."""

from __future__ import annotations

import pytest

from heelball.records import readings, wearers
from heelball.records.values import KeptReading, KeptWearer
from tests.bench.conftest import Bench
from tests.bench.pressing import Browser


@pytest.fixture
def url(bench: Bench) -> str:
    """Return the address of a wearer, written down by a fitter who signed."""
    bench.post("/settings/fitter", {"fitter": "QB", "back": "/wearers"})
    made = bench.post("/wearers/new", {"code": "W41", "name": "Tam Quernby", "population": "men"})
    return str(made.url.path)


def kept(bench: Bench, url: str) -> KeptWearer:
    with bench.records.reading() as conn:
        return wearers.find_wearer(conn, url.rsplit("/", 1)[1])


def taken(bench: Bench, url: str) -> list[KeptReading]:
    with bench.records.reading() as conn:
        return readings.list_readings(conn, url.rsplit("/", 1)[1])


def read_two(bench: Bench, url: str) -> None:
    browser = Browser(bench, f"{url}/foot")
    browser.press("10", "/tap")
    browser.press("10", "/tap")
    browser.press("Write it down")


def test_the_history_tells_when_who_and_what(bench: Bench, url: str) -> None:
    bench.clock.forward(minutes=5)
    Browser(bench, f"{url}/edit").press("Write it down", note="hums")
    read_two(bench, url)
    text = Browser(bench, f"{url}/history").page.text
    assert "14 Mar 2026, 10:25 QB reading written down: right heel-to-ball 10 on gauge-men" in text
    assert "QB sitting of 14 Mar 2026 written down" in text
    assert "QB wearer: note from nothing to hums" in text
    assert "14 Mar 2026, 10:20 QB wearer written down" in text
    assert text.index("right heel-to-ball") < text.index("hums") < text.index("wearer written down")


def test_one_change_is_taken_back_and_that_too(bench: Bench, url: str) -> None:
    Browser(bench, f"{url}/edit").press("Write it down", note="hums")
    browser = Browser(bench, f"{url}/history")
    browser.press("Undo: wearer: note from nothing to hums")
    assert kept(bench, url).note == ""
    browser.press("Undo: wearer: note from hums to nothing")
    assert kept(bench, url).note == "hums"


def test_what_was_written_over_is_not_taken_back(bench: Bench, url: str) -> None:
    Browser(bench, f"{url}/edit").press("Write it down", note="hums")
    Browser(bench, f"{url}/edit").press("Write it down", note="sings")
    browser = Browser(bench, f"{url}/history")
    browser.press("Undo: wearer: note from nothing to hums")
    assert browser.page.response.status_code == 409
    assert "Someone else changed this meanwhile" in browser.page.text
    assert kept(bench, url).note == "sings"


def test_the_writing_down_of_the_wearer_is_not_undone_but_erased(bench: Bench, url: str) -> None:
    page = Browser(bench, f"{url}/history").page
    assert not any(button.words.startswith("Undo") for form in page.forms for button in form.buttons)
    assert "Undo" not in Browser(bench, url).page.text


def test_a_change_of_another_wearer_is_not_undone_from_here(bench: Bench, url: str) -> None:
    Browser(bench, f"{url}/edit").press("Write it down", note="hums")
    number = Browser(bench, f"{url}/history").page.button("Undo: wearer: note from nothing to hums").value
    other = bench.post("/wearers/new", {"code": "W42", "name": "", "population": "men"}).url.path
    assert bench.post(f"{other}/history/undo", {"change": number}).status_code == 409
    assert bench.post(f"{other}/undo", {"seen": number}).status_code == 409
    assert kept(bench, url).note == "hums"


@pytest.mark.parametrize("number", ["", "x", "-1", "9" * 30, "77777"])
def test_what_names_no_change_is_answered_in_words(bench: Bench, url: str, number: str) -> None:
    answer = bench.post(f"{url}/history/undo", {"change": number})
    assert answer.status_code in (409, 422)
    assert "no change" in answer.text or "not in the records" in answer.text


def test_the_readings_of_one_sitting_are_taken_back_at_once(bench: Bench, url: str) -> None:
    read_two(bench, url)
    browser = Browser(bench, url)
    browser.press("Undo the last: 2 readings of 14 Mar 2026, 10:20")
    assert [r.stands for r in taken(bench, url)] == [False, False]
    assert "taken back" in browser.page.text
    browser.press("Undo the last: 2 readings of 14 Mar 2026, 10:20")
    assert [r.stands for r in taken(bench, url)] == [True, True]


def test_only_what_was_done_last_is_taken_back(bench: Bench, url: str) -> None:
    read_two(bench, url)
    bench.clock.forward(minutes=1)
    browser = Browser(bench, url)
    browser.press("Take back: right length 10")
    assert [r.stands for r in taken(bench, url)] == [False, True]
    browser.press("Undo the last: reading: right length 10 on gauge-men taken back")
    assert [r.stands for r in taken(bench, url)] == [True, True]


def test_the_last_change_is_taken_back_from_the_wearers_page(bench: Bench, url: str) -> None:
    Browser(bench, f"{url}/edit").press("Write it down", name="Tam Sallowby")
    browser = Browser(bench, url)
    browser.press("Undo the last: wearer: name from Tam Quernby to Tam Sallowby")
    assert kept(bench, url).name == "Tam Quernby"


def test_a_stale_page_does_not_undo_what_came_after(bench: Bench, url: str) -> None:
    Browser(bench, f"{url}/edit").press("Write it down", note="hums")
    stale = Browser(bench, url)
    Browser(bench, f"{url}/edit").press("Write it down", note="sings")
    stale.press("Undo the last: wearer: note from nothing to hums")
    assert stale.page.response.status_code == 409
    assert kept(bench, url).note == "sings"


def test_health_has_no_history(bench: Bench, url: str) -> None:
    Browser(bench, f"{url}/health").press("Write it down", consents="yes", diabetes="yes")
    assert "diabetes" not in Browser(bench, f"{url}/history").page.text


def test_the_history_is_taken_away_as_rows(bench: Bench, url: str) -> None:
    Browser(bench, f"{url}/edit").press("Write it down", note="=1+1")
    answer = bench.get(f"{url}/history/history.csv")
    assert answer.headers["cache-control"] == "no-store"
    first, second, *_ = answer.text.splitlines()
    assert first == "when,fitter,what,undone"
    assert second == '"14 Mar 2026, 10:20",QB,wearer: note from nothing to =1+1,'
