"""The wearers' pages: found as typed, written down, changed, taken away, erased."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest

from heelball.records import health, readings, wearers
from heelball.records.values import KeptWearer
from heelball.work.wearer_file import read_wearers
from tests.bench.conftest import Bench
from tests.bench.pressing import Browser, Page

NAMES = ("Tam Quernby", "Bree Sallowby", "Corin Tarrowell")


def new(bench: Bench, code: str, name: str = "", population: str = "men") -> str:
    made = bench.post("/wearers/new", {"code": code, "name": name, "population": population})
    assert made.status_code == 200, made.text
    return str(made.url.path)


@pytest.fixture
def url(bench: Bench) -> str:
    """Return the address of a wearer without readings."""
    return new(bench, "W41", "Tam Quernby")


def kept(bench: Bench, url: str) -> KeptWearer:
    with bench.records.reading() as conn:
        return wearers.find_wearer(conn, url.rsplit("/", 1)[1])


def read_foot(bench: Bench, url: str, length: str = "10") -> Page:
    browser = Browser(bench, f"{url}/foot")
    browser.press(length, "/tap")
    browser.press("10", "/tap")
    browser.press("C", "/tap")
    browser.press("10, the foot’s ball size", "/tap")
    browser.press("Skip the left foot")
    return browser.press("Write it down")


def test_wearers_are_found_by_any_part_of_name_or_code(bench: Bench) -> None:
    for number, name in enumerate(NAMES):
        new(bench, f"W{number + 1}", name)
    browser = Browser(bench, "/wearers")
    assert all(name in browser.page.text for name in NAMES)
    page = browser.press("Look", words="sallow")
    assert "Bree Sallowby" in page.text
    assert "Tam Quernby" not in page.text
    assert page.form("/wearers").fields["words"] == "sallow"
    part = bench.post("/wearers", {"words": "w3"}, headers={"HX-Request": "true"})
    assert "Corin Tarrowell" in part.text
    assert "<html" not in part.text
    assert "Nobody of that name or code" in browser.press("Look", words="zzz").text


def test_no_name_or_code_stands_in_an_address(bench: Bench) -> None:
    browser = Browser(bench, "/wearers/new")
    browser.press("Write it down", code="W41", name="Tam Quernby", population="men")
    browser.open("/wearers")
    browser.press("Look", words="Quernby")
    browser.open(browser.page.links["Tam Quernby W41"])
    addresses = [*browser.sent, *browser.page.links.values()]
    assert len(addresses) > 5
    assert [one for one in addresses if "quernby" in one.lower() or "w41" in one.lower()] == []
    for link in ("file.toml", "file.json"):
        headers = bench.get(f"{browser.page.response.url.path}/{link}").headers
        assert "w41" not in str(headers).lower()


def test_a_free_code_is_suggested(bench: Bench) -> None:
    new(bench, "W2", "Tam Quernby")
    assert Browser(bench, "/wearers/new").page.form("/new").fields["code"] == "W3"


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"code": "", "population": "men"}, "No code"),
        ({"code": "W41", "population": "men"}, "W41, which another wearer has"),
        ({"code": "W" * 70, "population": "men"}, "at most 64 printable characters"),
        ({"code": "W2", "population": "horses"}, "horses was chosen"),
        ({"code": "W2", "population": ""}, "nothing was chosen"),
        ({"code": "W2", "population": "men", "name": "x" * 300}, "300 characters"),
        ({"code": "W\x002", "population": "men"}, "cannot be printed"),
    ],
)
def test_a_new_wearer_that_cannot_be_is_told_beside_the_field(
    bench: Bench, url: str, typed: dict[str, str], said: str
) -> None:
    answer = bench.post("/wearers/new", {"name": "Bree Sallowby", **typed})
    page = Page(answer)
    assert answer.status_code == 422
    assert said.lower() in page.text.lower()
    assert "problem" in answer.text
    if "name" not in typed:
        assert page.form("new").fields["name"] == "Bree Sallowby"
    with bench.records.reading() as conn:
        assert wearers.count_wearers(conn) == 1


def test_who_a_wearer_is_can_be_changed(bench: Bench, url: str) -> None:
    browser = Browser(bench, f"{url}/edit")
    assert browser.page.form("/edit").fields["name"] == "Tam Quernby"
    browser.press(
        "Write it down", code="W9", name="Tam Sallowby", population="women", note="hums", keeps_try_ons="yes"
    )
    now = kept(bench, url)
    assert (now.code, now.name, now.population, now.note, now.keeps_try_ons) == (
        "W9",
        "Tam Sallowby",
        "women",
        "hums",
        True,
    )
    browser.open(f"{url}/edit")
    browser.press("Write it down", code="", note="sings")
    assert browser.page.response.status_code == 422
    assert browser.page.form("/edit").fields["note"] == "sings"
    assert kept(bench, url).note == "hums"


def test_a_foot_is_shown_in_words_and_figures(bench: Bench, url: str) -> None:
    assert "Nothing was read yet" in Page(bench.get(url)).text
    page = read_foot(bench, url)
    assert "Each foot bends and measures like a 10" in page.text
    assert "±" in page.text
    assert "270" in page.text
    bench.post("/settings/units", {"units": "in", "back": url})
    inches = Page(bench.get(url)).text
    assert "Inches; ±" in inches
    assert "10.6" in inches


def test_a_reading_is_taken_back_and_counts_again(bench: Bench, url: str) -> None:
    page = read_foot(bench, url, "12")
    browser = Browser(bench, url)
    words = "Take back: right length 12"
    browser.press(words)
    with bench.records.reading() as conn:
        found = readings.list_readings(conn, url.rsplit("/", 1)[1])
    assert [r.value for r in found if not r.stands] == ["12"]
    assert '<s class="struck">12</s>' in browser.page.response.text
    browser.press("Let it count again: right length 12")
    with bench.records.reading() as conn:
        assert all(r.stands for r in readings.list_readings(conn, url.rsplit("/", 1)[1]))
    assert page.response.status_code == 200


def test_a_reading_of_another_wearer_cannot_be_taken_back_from_here(bench: Bench, url: str) -> None:
    read_foot(bench, url)
    other = new(bench, "W42")
    form = next(form for form in Page(bench.get(url)).forms if "/readings/" in form.action)
    strange = form.action.replace(url, other)
    assert bench.post(strange, {**form.fields, "do": "withdraw"}).status_code == 404
    with bench.records.reading() as conn:
        assert all(r.stands for r in readings.list_readings(conn, url.rsplit("/", 1)[1]))


def test_the_day_is_told_part_by_part(bench: Bench, url: str) -> None:
    browser = Browser(bench, f"{url}/day")
    parts = {"name_1": "morning", "share_1": "60", "sock_1": "thin", "swelling_1": "rest"}
    parts |= {"name_2": "evening", "share_2": "40", "sock_2": "4", "swelling_2": "hot", "insole_2": "2,5"}
    browser.press("Write it down", **parts)
    day = kept(bench, url).day
    assert [(p["name"], p["share"], p["sock"], p["swelling"], p["insole_mm"]) for p in day] == [
        ("morning", 0.6, "thin", "rest", 0.0),
        ("evening", 0.4, "4", "hot", 2.5),
    ]
    assert "evening: 40 % of the day, sock 4 mm, feet hot, insole 2.5 mm" in browser.page.text
    assert Browser(bench, f"{url}/day").page.form("/day").fields["share_2"] == "40"


@pytest.mark.parametrize(
    ("parts", "field", "said"),
    [
        ({"name_1": "all", "share_1": "90"}, "share_1", "come to 90 per cent; wanted 100 in all"),
        ({"name_1": "all", "share_1": "much"}, "share_1", "'much'; wanted a number"),
        ({"name_1": "all", "share_1": "0"}, "share_1", "more than 0 and at most 100"),
        ({"name_1": "", "share_1": "100"}, "name_1", "what to call this part of the day"),
        ({"name_1": "all", "share_1": "100", "insole_1": "21"}, "insole_1", "0 to 20 mm"),
        ({"name_1": "all", "share_1": "100", "insole_1": "1.500"}, "insole_1", "1.5 or 1500"),
        ({"name_1": "all", "share_1": "100", "sock_1": "felt"}, "sock_1", "thin, medium, thick"),
        ({"name_1": "all", "share_1": "100", "swelling_1": "vast"}, "swelling_1", "one of those listed"),
        ({"name_1": "a", "share_1": "50", "name_2": "a", "share_2": "50"}, "name_2", "a name of its own"),
    ],
)
def test_a_day_that_cannot_be_is_told_beside_its_field(
    bench: Bench, url: str, parts: dict[str, str], field: str, said: str
) -> None:
    browser = Browser(bench, f"{url}/day")
    browser.press("Write it down", **parts)
    assert browser.page.response.status_code == 422
    assert said in browser.page.text
    assert f'id="f-{field}-wrong"' in browser.page.response.text
    if not field.startswith(("sock", "swelling")):
        assert browser.page.form("/day").fields[field] == parts[field]
    assert kept(bench, url).day == ()


def test_health_is_kept_with_consent_alone(bench: Bench, url: str) -> None:
    browser = Browser(bench, f"{url}/health")
    browser.press("Write it down", urgent="yes", pain_weeks="3")
    assert browser.page.response.status_code == 422
    assert "consent" in browser.page.text
    form = browser.page.form("/health")
    assert (form.fields["urgent"], form.fields["pain_weeks"]) == ("yes", "3")
    with bench.records.reading() as conn:
        assert health.find_health(conn, kept(bench, url).id) is None
    browser.press("Write it down", consents="yes")
    page = browser.page.response.text
    assert page.index("Get urgent medical help today") < page.index("Read the feet")
    with bench.records.reading() as conn:
        found = health.find_health(conn, kept(bench, url).id)
    assert found is not None
    assert dict(found.signs) == {"urgent": True, "pain_weeks": 3.0}
    browser.open(f"{url}/health")
    browser.press("Take consent back and delete")
    with bench.records.reading() as conn:
        assert health.find_health(conn, kept(bench, url).id) is None
    assert "Get urgent medical help" not in browser.page.text


@pytest.mark.parametrize("weeks", ["some", "9999"])
def test_weeks_that_cannot_be_are_told_beside_their_field(bench: Bench, url: str, weeks: str) -> None:
    browser = Browser(bench, f"{url}/health")
    browser.press("Write it down", consents="yes", pain_weeks=weeks)
    assert browser.page.response.status_code == 422
    assert 'id="f-pain_weeks-wrong"' in browser.page.response.text
    assert browser.page.form("/health").fields["pain_weeks"] == weeks


def test_what_is_taken_away_is_a_wearer_file(bench: Bench, url: str, tmp_path: Path) -> None:
    read_foot(bench, url, "12")
    browser = Browser(bench, url)
    browser.press("Take back: right length 12")
    bench.post(f"{url}/edit", {**Browser(bench, f"{url}/edit").page.form("/edit").fields, "note": "hums"})
    answer = bench.get(f"{url}/file.toml")
    assert answer.headers["cache-control"] == "no-store"
    assert answer.headers["content-disposition"] == 'attachment; filename="wearer.toml"'
    file = tmp_path / "wearer.toml"
    file.write_text(answer.text, encoding="utf-8")
    (wearer,) = read_wearers([file])
    assert wearer.code == "W41"
    assert [(r.what, r.value, r.line) for r in wearer.readings] == [
        ("ball", "10", None),
        ("breadth", "C", "10"),
    ]
    assert tomllib.loads(answer.text)["name"] == "Tam Quernby"
    assert '# note: "hums"' in answer.text
    as_json = json.loads(bench.get(f"{url}/file.json").text)
    assert as_json["schema"] == "heelball/wearer/1"
    assert as_json["beside"]["struck"][0]["value"] == "12"
    assert as_json["beside"]["note"] == "hums"


def test_the_readings_of_who_is_found_are_exported_under_their_codes(
    bench: Bench, url: str, tmp_path: Path
) -> None:
    read_foot(bench, url)
    read_foot(bench, new(bench, "=W42", "Bree Sallowby"), "9")
    file = tmp_path / "readings.csv"
    answer = bench.post("/wearers/readings.csv", {"words": "quernby"})
    assert answer.headers["cache-control"] == "no-store"
    assert "Quernby" not in answer.text
    file.write_text(answer.text, encoding="utf-8")
    (wearer,) = read_wearers([file])
    assert (wearer.code, len(wearer.readings)) == ("W41", 3)
    assert [r.line for r in wearer.readings] == [None, None, "10"]
    everybody = bench.post("/wearers/readings.csv", {"words": ""}).text
    assert "'=W42,men,right,length,gauge-men,9" in everybody


def test_health_is_taken_away_apart_from_all_else(bench: Bench, url: str) -> None:
    Browser(bench, f"{url}/health").press("Write it down", consents="yes", diabetes="yes")
    assert tomllib.loads(bench.get(f"{url}/health.toml").text)["signs"]["diabetes"] is True
    for file in ("file.toml", "file.json"):
        assert "diabetes" not in bench.get(f"{url}/{file}").text


def test_a_wearer_is_erased_with_the_code_alone(bench: Bench, url: str) -> None:
    read_foot(bench, url)
    browser = Browser(bench, f"{url}/erase")
    browser.press("Erase for good", code="W4")
    assert browser.page.response.status_code == 422
    assert browser.page.form("/erase").fields["code"] == "W4"
    assert kept(bench, url).code == "W41"
    browser.press("Erase for good", code="W41")
    assert "W41 is erased" in browser.page.text
    assert bench.get(url).status_code == 404
    with bench.records.reading() as conn:
        assert wearers.count_wearers(conn) == 0


@pytest.mark.parametrize(
    "step",
    [
        "",
        "/edit",
        "/day",
        "/health",
        "/foot",
        "/history",
        "/erase",
        "/file.toml",
        "/file.json",
        "/health.toml",
    ],
)
def test_nobody_is_answered_in_words_and_every_page_about_a_person_is_not_kept(
    bench: Bench, url: str, step: str
) -> None:
    nobody = bench.get(f"/wearers/nobody{step}")
    assert nobody.status_code == 404
    assert "This wearer is not in the records" in nobody.text
    assert bench.get(url + step).headers["cache-control"] == "no-store"
