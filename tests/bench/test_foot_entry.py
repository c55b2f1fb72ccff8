"""Entering a foot without scripts: in the gauge's order, few taps, each of them kept."""

from __future__ import annotations

import pytest

from heelball.records import drafts, readings, sittings
from heelball.records.values import KeptReading
from heelball.scales.catalogue import size_scale
from tests.bench.conftest import Bench
from tests.bench.pressing import Browser, Page


@pytest.fixture
def url(bench: Bench) -> str:
    """Return the address of a new wearer who is read on the men's scale."""
    return new_wearer(bench, "men")


def new_wearer(bench: Bench, population: str, code: str = "W41", name: str = "Tam Quernby") -> str:
    made = bench.post("/wearers/new", {"code": code, "name": name, "population": population})
    assert made.status_code == 200
    return str(made.url.path)


def id_of(url: str) -> str:
    return url.rsplit("/", 1)[1]


def kept(bench: Bench, url: str) -> list[KeptReading]:
    with bench.records.reading() as conn:
        return readings.list_readings(conn, id_of(url))


def draft(bench: Bench, url: str) -> dict[str, str]:
    with bench.records.reading() as conn:
        return dict(drafts.find_draft(conn, id_of(url)).fields)


def tap(browser: Browser, mark: str, quarter: str = "") -> None:
    browser.press(mark, "/tap")
    if quarter:
        browser.press(quarter, "/quarter")


def six(browser: Browser) -> None:
    """Read both feet, a quarter at each mark, the lines at the foot's own ball size."""
    for foot in ("right", "left"):
        tap(browser, "10", "1/4" if foot == "left" else "1/2")
        tap(browser, "10", "1/2")
        tap(browser, "C", "3/4")
        browser.press("10 1/2, the foot’s ball size", "/tap")


def test_six_readings_take_at_most_twenty_taps_and_stand_in_the_gauges_order(bench: Bench, url: str) -> None:
    browser = Browser(bench, f"{url}/foot")
    six(browser)
    browser.press("Write it down")
    assert browser.taps <= 20
    assert browser.page.response.url.path == url
    taken = [(r.foot, r.what, r.value, r.line) for r in kept(bench, url)]
    assert taken == [
        ("right", "length", "10 1/2", None),
        ("right", "ball", "10 1/2", None),
        ("right", "breadth", "C 3/4", "10 1/2"),
        ("left", "length", "10 1/4", None),
        ("left", "ball", "10 1/2", None),
        ("left", "breadth", "C 3/4", "10 1/2"),
    ]
    assert draft(bench, url) == {}


def test_a_whole_size_needs_no_second_tap(bench: Bench, url: str) -> None:
    browser = Browser(bench, f"{url}/foot")
    tap(browser, "10")
    assert "Right heel-to-ball" in browser.page.text
    tap(browser, "11")
    assert draft(bench, url)["right-length"] == "10"
    assert draft(bench, url)["right-ball"] == "11"


def test_each_tap_is_kept_at_once_and_outlives_the_session(bench: Bench, url: str) -> None:
    browser = Browser(bench, f"{url}/foot")
    tap(browser, "10", "1/2")
    bench.client.cookies.clear()
    bench.renew(f"{url}/foot")
    after = Browser(bench, f"{url}/foot")
    assert "10 1/2" in after.page.text
    assert kept(bench, url) == []
    assert "Right heel-to-ball" in after.page.text


def test_nothing_is_filled_in_from_the_other_foot(bench: Bench, url: str) -> None:
    browser = Browser(bench, f"{url}/foot")
    for mark in ("10", "10", "C"):
        tap(browser, mark)
    browser.press("10, the foot’s ball size", "/tap")
    assert {name for name in draft(bench, url) if name.startswith("left")} == set()
    assert (
        'aria-pressed="true"'
        not in browser.page.response.text.split('class="targets"')[1].split("</form>")[0]
    )


def test_the_line_is_asked_and_the_foots_ball_size_only_offered(bench: Bench, url: str) -> None:
    browser = Browser(bench, f"{url}/foot")
    for mark in ("10", "11", "D"):
        tap(browser, mark)
    assert "right-breadth.line" not in draft(bench, url)
    assert "Right breadth’s line" in browser.page.text
    tap(browser, "10", "1/2")
    assert draft(bench, url)["right-breadth.line"] == "10 1/2"
    assert "Left length" in browser.page.text


def test_undo_takes_tap_after_tap_back(bench: Bench, url: str) -> None:
    browser = Browser(bench, f"{url}/foot")
    tap(browser, "10", "1/2")
    tap(browser, "11")
    for expected in ({"right-length": "10 1/2"}, {"right-length": "10"}, {}):
        browser.press("Undo the last tap")
        marks = {k: v for k, v in draft(bench, url).items() if k in ("right-length", "right-ball")}
        assert marks == expected
    assert browser.page.button("Undo the last tap").disabled


def test_one_foot_only_is_a_state(bench: Bench, url: str) -> None:
    browser = Browser(bench, f"{url}/foot")
    for mark in ("10", "10", "C"):
        tap(browser, mark)
    browser.press("10, the foot’s ball size", "/tap")
    browser.press("Skip the left foot")
    assert "All is read or left out" in browser.page.text
    browser.press("Write it down")
    assert {r.foot for r in kept(bench, url)} == {"right"}
    assert "±" in browser.page.text


def test_a_reading_can_be_skipped_and_come_back_to(bench: Bench, url: str) -> None:
    browser = Browser(bench, f"{url}/foot")
    browser.press("Skip right length")
    tap(browser, "10")
    assert draft(bench, url).keys() >= {"right-length.skipped", "right-ball"}
    browser.open(f"{url}/foot?at=right-length")
    tap(browser, "9")
    assert draft(bench, url)["right-length"] == "9"
    assert "right-length.skipped" not in draft(bench, url)


def test_the_scale_is_asked_where_the_population_is_not_said(bench: Bench) -> None:
    url = new_wearer(bench, "unstated")
    browser = Browser(bench, f"{url}/foot")
    assert "Which scale" in browser.page.text
    browser.press("women", "/scale")
    tap(browser, "8")
    assert draft(bench, url)["right-length.scale"] == "gauge-women"


def test_a_childs_foot_is_read_on_its_scale_and_referred(bench: Bench) -> None:
    url = new_wearer(bench, "unstated")
    browser = Browser(bench, f"{url}/foot")
    browser.press("child", "/scale")
    assert "no boot is chosen" in browser.page.text
    for mark in ("2Y", "2Y", "D"):
        tap(browser, mark)
    browser.press("2Y, the foot’s ball size", "/tap")
    browser.press("Skip the left foot")
    browser.press("Write it down")
    assert "See someone who fits children" in browser.page.text
    scale = size_scale("gauge-child")
    assert [scale.parse(r.value) for r in kept(bench, url) if r.what == "length"] == [scale.parse("2Y")]


def test_a_slip_is_questioned_beside_the_reading_at_once(bench: Bench, url: str) -> None:
    browser = Browser(bench, f"{url}/foot")
    for mark in ("10", "10"):
        tap(browser, mark)
    browser.press("Skip right breadth")
    tap(browser, "10")
    assert "Odds" not in browser.page.text
    tap(browser, "13")
    assert "Was left heel-to-ball 13 on gauge-men read on gauge-women? Odds" in browser.page.text
    assert browser.page.text.count("Odds") == 1
    browser.open(f"{url}/foot?at=left-ball")
    tap(browser, "10")
    assert "Odds" not in browser.page.text


def test_what_few_feet_have_is_questioned_beside_the_reading_at_once(bench: Bench, url: str) -> None:
    browser = Browser(bench, f"{url}/foot")
    tap(browser, "10")
    tap(browser, "14")
    assert "The right heel-to-ball is 0.83 of the length" in browser.page.text
    assert "Read both again" in browser.page.text


def write(browser: Browser) -> None:
    browser.press("Write it down")


def read_once(bench: Bench, url: str) -> Browser:
    browser = Browser(bench, f"{url}/foot")
    tap(browser, "10")
    tap(browser, "10")
    browser.press("Skip the right foot")
    browser.press("Skip the left foot")
    write(browser)
    return browser


def test_a_reading_taken_before_is_said_to_be_new_a_repeat_or_a_correction(bench: Bench, url: str) -> None:
    browser = read_once(bench, url)
    bench.clock.forward(days=2)
    browser.open(f"{url}/foot")
    tap(browser, "10", "1/2")
    tap(browser, "10", "1/4")
    write(browser)
    assert browser.page.response.status_code == 422
    assert "not said whether this is new, a repeat or a correction" in browser.page.text
    browser.press("a correction of 10 on gauge-men, 14 Mar 2026", "/kind", "right-length")
    browser.press("a repeat of 10 on gauge-men, 14 Mar 2026", "/kind", "right-ball")
    write(browser)
    first, second, third, fourth = kept(bench, url)
    assert (third.kind, third.of_id, first.corrected_by) == ("correction", first.id, third.id)
    assert (fourth.kind, fourth.of_id, second.stands) == ("repeat", second.id, True)
    page = Page(bench.get(url))
    assert '<s class="struck">10</s>' in page.response.text
    assert "a repeat of 10 on gauge-men, 14 Mar 2026" in page.text


def test_all_can_be_said_to_be_repeats_at_once(bench: Bench, url: str) -> None:
    browser = read_once(bench, url)
    browser.open(f"{url}/foot")
    tap(browser, "10")
    tap(browser, "10")
    browser.press("all repeats of the newest")
    write(browser)
    assert [r.kind for r in kept(bench, url)] == ["new", "new", "repeat", "repeat"]


@pytest.mark.parametrize(
    ("slot", "text", "stands", "scale"),
    [
        ("right-length", "10 1/2", "10 1/2", "gauge-men"),
        ("right-length", "10,5", "10 1/2", "gauge-men"),
        ("right-length", "10½", "10 1/2", "gauge-men"),
        ("right-length", "24,8 cm", "24.8", "cm"),
        ("right-breadth", "C 3/4", "C 3/4", "gauge-men"),
        ("right-breadth", "d", "D", "gauge-men"),
        ("left-girth", "248", "248", "mm"),
        ("left-girth", "9 3/4 in", "9 3/4", "in"),
    ],
)
def test_typed_values_pass(bench: Bench, url: str, slot: str, text: str, stands: str, scale: str) -> None:
    browser = Browser(bench, f"{url}/foot")
    browser.press("Keep what is typed", **{slot: text})
    assert browser.page.response.status_code == 200
    assert draft(bench, url)[slot] == stands
    assert draft(bench, url)[f"{slot}.scale"] == scale


@pytest.mark.parametrize(
    ("slot", "text", "said"),
    [
        ("right-length", "1,500", "'1,500' could be decimals or thousands; wanted 1.5 or 1500"),
        ("right-length", "10.500", "'10.500' could be decimals or thousands; wanted 10.5 or 10500"),
        ("right-length", "105", "105 is off the men's foot gauge"),
        ("right-length", "ten", "'ten'; wanted a size on the men's foot gauge"),
        ("right-breadth", "Q", "'Q'; wanted a width letter"),
        ("left-girth", "24.8", "wanted 90 to 420 mm (was 24.8 cm meant?)"),
        ("left-instep", "2480 mm", "2480 mm"),
        ("right-breadth.line", "77", "77 is off the men's foot gauge"),
    ],
)
def test_what_cannot_stand_is_told_beside_its_field_and_kept_there(
    bench: Bench, url: str, slot: str, text: str, said: str
) -> None:
    browser = Browser(bench, f"{url}/foot")
    sent = {slot: text, "right-ball": "10"}
    if slot.endswith(".line"):
        sent["right-breadth"] = "C"
    browser.press("Keep what is typed", **sent)
    assert browser.page.response.status_code == 422
    assert said in browser.page.text
    form = browser.page.form("/typed")
    assert (form.fields[slot], form.fields["right-ball"]) == (text, "10")
    assert 'aria-invalid="true"' in browser.page.response.text
    assert draft(bench, url) == {}


def test_how_a_comma_was_read_is_said(bench: Bench, url: str) -> None:
    page = Browser(bench, f"{url}/foot").page
    fields = {**page.form("/typed").fields, "right-length": "10,5"}
    said = bench.post(f"{url}/foot/typed", fields, headers={"HX-Request": "true"})
    assert "&#39;10,5&#39; is read as 10 1/2" in said.text


def test_the_sittings_particulars_are_kept_with_it(bench: Bench, url: str) -> None:
    browser = Browser(bench, f"{url}/foot")
    told = {"load": "seated", "sock": "thick", "fitter": "QB", "taken": "2026-03-13 17:30"}
    browser.press("Keep these", **told)
    tap(browser, "10")
    write(browser)
    with bench.records.reading() as conn:
        (sitting,) = sittings.list_sittings(conn, id_of(url))
    assert (sitting.load, sitting.sock, sitting.fitter) == ("seated", "thick", "QB")
    assert sitting.at == "2026-03-13T17:30+00:00"
    assert kept(bench, url)[0].load == "seated"


@pytest.mark.parametrize("taken", ["yesterday", "2031-01-01 10:00", "17:30"])
def test_a_time_that_cannot_be_is_told_beside_its_field(bench: Bench, url: str, taken: str) -> None:
    browser = Browser(bench, f"{url}/foot")
    browser.press("Keep these", taken=taken)
    assert browser.page.response.status_code == 422
    assert "a day and a time that have been" in browser.page.text
    assert browser.page.form("/sitting").fields["taken"] == taken


def test_an_empty_draft_is_not_written_down(bench: Bench, url: str) -> None:
    page = Browser(bench, f"{url}/foot").page
    assert page.button("Write it down").disabled
    answer = bench.post(f"{url}/foot/write", page.form("/write").fields)
    assert answer.status_code == 422
    with bench.records.reading() as conn:
        assert sittings.list_sittings(conn, id_of(url)) == []


@pytest.mark.parametrize(
    ("step", "fields"),
    [
        ("tap", {"slot": "nose", "mark": "10"}),
        ("tap", {"slot": "right-length", "mark": "999"}),
        ("tap", {"slot": "right-length", "mark": "10", "seen": "many"}),
        ("quarter", {"slot": "right-length", "quarter": "1/3"}),
        ("scale", {"scale": "gauge-horses"}),
        ("kind", {"slot": "right-length", "said": "correction:nobody"}),
        ("typed", {"on": "ells", "tape": "mm"}),
        ("sitting", {"load": "hanging"}),
        ("write", {"number": "x" * 40}),
    ],
)
def test_what_no_page_would_send_is_answered_in_words(
    bench: Bench, url: str, step: str, fields: dict[str, str]
) -> None:
    answer = bench.post(f"{url}/foot/{step}", {"seen": "0", **fields})
    assert answer.status_code in (200, 409, 422)
    assert kept(bench, url) == []
    assert not {k for k in draft(bench, url) if k.startswith("right-length") and "kind" not in k} - {
        "right-length.of"
    }


def test_no_name_code_or_reading_stands_in_an_address(bench: Bench, url: str) -> None:
    browser = Browser(bench, f"{url}/foot")
    six(browser)
    browser.press("Write it down")
    assert browser.sent
    for address in browser.sent:
        assert "quernby" not in address.lower()
        assert "w41" not in address.lower()
        assert "10" not in address.split("/foot")[-1]


def test_with_htmx_only_the_part_is_sent_with_the_focus_at_the_next_target(bench: Bench, url: str) -> None:
    page = Browser(bench, f"{url}/foot").page
    fields = {**page.form("/tap").fields, "mark": "10"}
    part = bench.post(f"{url}/foot/tap", fields, headers={"HX-Request": "true"}, follow=False)
    assert part.status_code == 200
    assert "<html" not in part.text
    assert part.text.count("autofocus") == 1
    assert 'hx-swap-oob="innerHTML"' in part.text
    assert "Right length 10. Next: right heel-to-ball." in " ".join(part.text.split())


def test_the_pages_are_not_kept_by_the_browser(bench: Bench, url: str) -> None:
    assert bench.get(f"{url}/foot").headers["cache-control"] == "no-store"


def test_questions_are_asked_in_inches_and_readings_stand_as_read(bench: Bench, url: str) -> None:
    bench.post("/settings/units", {"units": "in", "back": url})
    browser = Browser(bench, f"{url}/foot")
    browser.press("Keep what is typed", **{"right-length": "270 mm", "left-length": "285 mm"})
    assert "The feet read 0.59 in apart in length" in browser.page.text
    assert "270 mm" in browser.page.text


def test_a_second_press_of_write_it_down_goes_to_what_was_written(bench: Bench, url: str) -> None:
    browser = Browser(bench, f"{url}/foot")
    six(browser)
    sent = browser.page.form("/write").fields
    for _ in range(2):
        answer = bench.post(f"{url}/foot/write", sent)
        assert answer.status_code == 200
        assert answer.url.path == url
    assert len(kept(bench, url)) == 6
