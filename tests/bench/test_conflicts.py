"""Two fitters at one wearer: nothing is lost, the second sees both versions and chooses."""

from __future__ import annotations

import pytest

from heelball.records import drafts, readings, wearers
from heelball.records.health import find_health
from heelball.records.sittings import add_sitting
from heelball.records.values import Author, KeptWearer
from tests.bench.conftest import Bench
from tests.bench.pressing import Browser


@pytest.fixture
def url(bench: Bench) -> str:
    """Return the address of a wearer."""
    made = bench.post("/wearers/new", {"code": "W41", "name": "Tam Quernby", "population": "men"})
    return str(made.url.path)


def kept(bench: Bench, url: str) -> KeptWearer:
    with bench.records.reading() as conn:
        return wearers.find_wearer(conn, url.rsplit("/", 1)[1])


def draft(bench: Bench, url: str) -> dict[str, str]:
    with bench.records.reading() as conn:
        return dict(drafts.find_draft(conn, url.rsplit("/", 1)[1]).fields)


def test_the_second_fitter_sees_both_and_chooses_line_by_line(bench: Bench, url: str) -> None:
    first, second = Browser(bench, f"{url}/edit"), Browser(bench, f"{url}/edit")
    first.press("Write it down", name="Tam Sallowby", note="hums")
    second.press("Write it down", name="Tam Tarrowell", note="sings", population="women")
    page = second.page
    assert page.response.status_code == 409
    for text in ("Tam Sallowby", "Tam Tarrowell", "hums", "sings"):
        assert text in page.text
    now = kept(bench, url)
    assert (now.name, now.note, now.population) == ("Tam Sallowby", "hums", "men")
    second.press("Write down what is chosen", note="sings")
    now = kept(bench, url)
    assert (now.name, now.note, now.population) == ("Tam Sallowby", "sings", "men")
    assert second.page.response.url.path == url


def test_what_is_kept_now_is_chosen_unless_the_fitter_says_otherwise(bench: Bench, url: str) -> None:
    first, second = Browser(bench, f"{url}/edit"), Browser(bench, f"{url}/edit")
    first.press("Write it down", keeps_try_ons="yes")
    second.press("Write it down", note="sings")
    second.press("Write down what is chosen")
    assert (kept(bench, url).keeps_try_ons, kept(bench, url).note) == (True, "")


def test_a_third_hand_meanwhile_is_told_too(bench: Bench, url: str) -> None:
    first, second, third = (Browser(bench, f"{url}/edit") for _ in range(3))
    first.press("Write it down", note="hums")
    second.press("Write it down", note="sings")
    third.press("Write it down", note="whistles")
    second.press("Write down what is chosen", note="sings")
    third.press("Write down what is chosen", note="whistles")
    assert third.page.response.status_code == 409
    assert "sings" in third.page.text
    assert kept(bench, url).note == "sings"


def test_both_writing_the_same_is_no_conflict(bench: Bench, url: str) -> None:
    first, second = Browser(bench, f"{url}/edit"), Browser(bench, f"{url}/edit")
    first.press("Write it down", note="hums")
    second.press("Write it down", note="hums")
    assert second.page.response.status_code == 200
    assert kept(bench, url).version == 2


def test_two_days_stand_side_by_side(bench: Bench, url: str) -> None:
    first, second = Browser(bench, f"{url}/day"), Browser(bench, f"{url}/day")
    first.press("Write it down", name_1="walk", share_1="100", sock_1="thick")
    second.press("Write it down", name_1="ride", share_1="100")
    assert second.page.response.status_code == 409
    assert "walk" in second.page.text
    assert "ride" in second.page.text
    second.press("Write down what is chosen", name_1="ride")
    (part,) = kept(bench, url).day
    assert (part["name"], part["sock"]) == ("ride", "thick")


def test_two_sets_of_health_answers_stand_side_by_side(bench: Bench, url: str) -> None:
    first, second = Browser(bench, f"{url}/health"), Browser(bench, f"{url}/health")
    first.press("Write it down", consents="yes", diabetes="yes")
    second.press("Write it down", consents="yes", numbness="yes")
    assert second.page.response.status_code == 409
    second.press("Write down what is chosen", numbness="yes")
    with bench.records.reading() as conn:
        found = find_health(conn, url.rsplit("/", 1)[1])
    assert found is not None
    assert dict(found.signs) == {"diabetes": True, "numbness": True}


def test_answers_are_not_written_over_consent_that_was_taken_back(bench: Bench, url: str) -> None:
    first = Browser(bench, f"{url}/health")
    first.press("Write it down", consents="yes", diabetes="yes")
    second = Browser(bench, f"{url}/health")
    first.open(f"{url}/health")
    first.press("Take consent back and delete")
    second.press("Write it down", numbness="yes")
    assert second.page.response.status_code == 422
    assert "Consent was taken back meanwhile" in second.page.text
    with bench.records.reading() as conn:
        assert find_health(conn, url.rsplit("/", 1)[1]) is None


def test_a_tap_on_a_draft_that_moved_on_shows_both(bench: Bench, url: str) -> None:
    first, second = Browser(bench, f"{url}/foot"), Browser(bench, f"{url}/foot")
    first.press("10", "/tap")
    second.press("11", "/tap")
    assert second.page.response.status_code == 409
    assert "right length 10" in second.page.text
    assert "Right length 11" in second.page.text
    assert draft(bench, url)["right-length"] == "10"
    second.press("Write down what is chosen", mark="11")
    assert draft(bench, url)["right-length"] == "11"


def test_leaving_the_other_hands_tap_changes_nothing(bench: Bench, url: str) -> None:
    first, second = Browser(bench, f"{url}/foot"), Browser(bench, f"{url}/foot")
    first.press("10", "/tap")
    before = draft(bench, url)
    second.press("11", "/tap")
    second.press("Write down what is chosen")
    assert second.page.response.status_code == 200
    assert draft(bench, url) == before


def test_a_tap_sent_twice_since_its_answer_was_lost_is_kept_once(bench: Bench, url: str) -> None:
    browser = Browser(bench, f"{url}/foot")
    fields = {**browser.page.form("/tap").fields, "mark": "10"}
    for _ in range(2):
        assert bench.post(f"{url}/foot/tap", fields).status_code == 200
    browser.open(f"{url}/foot")
    browser.press("Undo the last tap")
    assert "right-length" not in draft(bench, url)


def test_a_quarter_is_never_put_on_a_mark_it_was_not_meant_for(bench: Bench, url: str) -> None:
    first, second = Browser(bench, f"{url}/foot"), Browser(bench, f"{url}/foot")
    first.press("10", "/tap")
    second.open(f"{url}/foot")
    first.press("11", "/tap")
    second.press("1/2", "/quarter")
    assert second.page.response.status_code == 200
    assert draft(bench, url)["right-ball"] == "11"
    assert draft(bench, url)["right-length"] == "10"


def test_undo_on_a_draft_that_moved_on_takes_nothing_back(bench: Bench, url: str) -> None:
    first = Browser(bench, f"{url}/foot")
    first.press("10", "/tap")
    second = Browser(bench, f"{url}/foot")
    first.press("11", "/tap")
    second.press("Undo the last tap")
    assert second.page.response.status_code == 409
    assert "Someone else tapped here meanwhile" in second.page.text
    assert draft(bench, url)["right-ball"] == "11"


def test_readings_written_down_meanwhile_are_looked_at_first(bench: Bench, url: str) -> None:
    first = Browser(bench, f"{url}/foot")
    first.press("10", "/tap")
    second = Browser(bench, f"{url}/foot")
    first.press("Write it down")
    first.open(f"{url}/foot")
    first.press("11", "/tap")
    second.press("Write it down")
    assert second.page.response.status_code == 409
    assert "Someone else wrote here meanwhile" in second.page.text
    assert "a repeat of 10 on gauge-men" in second.page.text
    with bench.records.reading() as conn:
        found = readings.list_readings(conn, url.rsplit("/", 1)[1])
    assert [r.value for r in found] == ["10"]


def test_readings_that_came_from_elsewhere_are_looked_at_first(bench: Bench, url: str) -> None:
    browser = Browser(bench, f"{url}/foot")
    browser.press("10", "/tap")
    by = Author("TR", bench.clock())
    with bench.records.writing() as conn:
        sitting = add_sitting(conn, url.rsplit("/", 1)[1], at=by.at, by=by)
        left = readings.NewReading("left", "length", "gauge-men", "9")
        readings.add_readings(conn, sitting.id, [left], seen_number=0, by=by)
    browser.press("Write it down")
    assert browser.page.response.status_code == 409
    assert draft(bench, url)["right-length"] == "10"
    browser.press("Write it down")
    with bench.records.reading() as conn:
        found = readings.list_readings(conn, url.rsplit("/", 1)[1])
    assert [r.value for r in found] == ["9", "10"]
