"""The order page through the whole bench: what stands first, what is refused, what leaves it."""

from __future__ import annotations

import json
import os
import re
import signal
import warnings
from collections.abc import Iterator
from typing import Any

import pymupdf
import pytest

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

from heelball.bench.app import make_app
from heelball.bench.settings import Settings
from heelball.records.letters import find_letter
from heelball.records.pairs import find_pair
from heelball.records.readings import NewReading
from heelball.records.schema import lasts as lasts_table
from heelball.records.store import open_records
from heelball.records.values import Author
from heelball.records.wearers import find_wearer
from tests.bench.conftest import BEGINNING, Bench, Clock
from tests.kept_wearers import DAY, gauge_readings, keep_lasts, keep_wearer, take

BY = Author("QB", BEGINNING)
HTMX = {"HX-Request": "true"}
LASTS = 26


class Kept:
    """A bench with lasts and wearers, and the wearers' rows by what they are for."""

    def __init__(self, bench: Bench, wearers: dict[str, str], app: Any) -> None:
        self.bench = bench
        self.wearers = wearers
        self.app = app

    def order(self, who: str) -> str:
        return f"/wearers/{self.wearers[who]}/order"

    def page(self, who: str) -> str:
        answer = self.bench.get(self.order(who))
        assert answer.status_code == 200
        return answer.text


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Kept]:
    folder, clock = tmp_path_factory.mktemp("bench"), Clock()
    records = open_records(folder / "records", now=clock())
    keep_lasts(records, LASTS, by=BY)
    plain = gauge_readings("10", "10 1/2", "D")
    wearers = {
        "plain": keep_wearer(records, "W12", plain, name="Tam Wearer", day=DAY, by=BY),
        "one foot": keep_wearer(records, "W13", gauge_readings("10", "10", "D", ("right",)), by=BY),
        "unread": keep_wearer(records, "W14", by=BY),
        "child": keep_wearer(records, "W15", [NewReading("right", "length", "gauge-child", "10")], by=BY),
        "urgent": keep_wearer(records, "W16", plain, signs={"urgent": True}, by=BY),
        "broad": keep_wearer(records, "W17", gauge_readings("9", "11 1/2", "EEEE"), by=BY),
    }
    app = make_app(Settings(data_folder=folder / "data", clock=clock), records)
    with TestClient(app, base_url="http://127.0.0.1:4380") as client:
        yield Kept(Bench(client, clock, records), wearers, app)
    records.close()


def held_in(text: str) -> list[str]:
    return re.findall(r'name="held" value="([^"]+)"', text)


def cut(text: str, start: str, end: str) -> str:
    """Return what stands between two marks, in order."""
    assert start in text, start
    found = text.partition(start)[2]
    assert end in found, end
    return found.partition(end)[0]


def plain_text(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def moment(held: list[str], **fields: Any) -> dict[str, Any]:
    day = {"show": "moment", "sock": "medium", "hours": "4", "heat": "cool", "insole": "0"}
    return day | {"held": held} | fields


# ---- what stands where


def test_each_line_names_the_doubtful_place_then_the_label_then_the_trade_rules(kept):
    rows = re.findall(r"<tr.*?</tr>", cut(kept.page("plain"), "The lasts that stand first", "</table>"), re.S)
    for row in rows[1:]:
        words = plain_text(row)
        assert re.match(r"(Left|Right) (ball|toe|breadth|girth): may be?", words), words
        assert row.index('class="doubt"') < row.index('class="order"') < row.index('class="rule"')
    assert len(rows) == 1 + 5


def test_no_chance_stands_in_the_list_and_one_stands_in_the_detail(kept):
    text = kept.page("plain")
    lists = cut(text, 'id="ranked"', 'id="looked-at"') + text.partition('id="behind"')[2]
    assert "%" not in plain_text(lists)
    detail = plain_text(cut(text, 'id="looked-at"', 'id="behind"'))
    assert re.search(r"Right all over by chance \d+ % \(morning", detail)


def test_both_answers_stand_side_by_side(kept):
    answers = cut(kept.page("plain"), '<dl class="answers">', "</dl>")
    assert re.search(r"<dt>Computed</dt><dd>[\d/ ]+ [BDE]+</dd>", answers)
    assert re.search(r"<dt>Trade rule</dt><dd>[\d/ ]+ [BDE]+", answers)
    assert "How the trade rule goes" in kept.page("plain")


def test_an_urgent_sign_stands_above_every_order(kept):
    text = plain_text(kept.page("urgent").partition("<main")[2])
    urgent = text.index("An urgent sign is told")
    assert urgent < text.index("What to order, the best first")
    assert urgent < text.index("order 1")
    assert "urgent" not in plain_text(kept.page("plain"))


def test_the_drawing_has_both_lines_and_the_table_says_the_same(kept):
    text = kept.page("plain")
    drawing, table = cut(text, "<figure", "</figure>"), cut(text, '<table class="ledger beside">', "</table>")
    assert drawing.count("foot bends here") == drawing.count("boot bends here") == 2
    words = re.findall(r'class="said">([^<]+)<', table)
    assert len(words) == 6
    for said in words:
        assert said in plain_text(drawing)
    # Nothing in a page is styled from inside it.
    assert "<style" not in text
    assert " style=" not in text


def test_a_page_holds_twenty_lasts_and_counts_the_others(kept):
    text = kept.page("plain")
    assert len(held_in(text)) == 20
    assert f"{LASTS - 20} more lasts stand behind these." in plain_text(text)
    answer = kept.bench.post(f"{kept.order('plain')}/day", {"more": "yes", "now": "own"}, headers=HTMX)
    assert f"The next {LASTS - 20}" in plain_text(answer.text)
    assert len(held_in(answer.text)) == 20


# ---- states that are no error


@pytest.mark.parametrize(
    ("who", "said"),
    [
        ("unread", "Neither foot has been read yet"),
        ("one foot", "Only the right foot has been read. The left one is taken to be like it"),
        ("child", "Read on a child&#39;s scale: no boot is chosen"),
        ("broad", "None of these lasts has a label that serves"),
    ],
)
def test_each_state_is_told_in_a_sentence(kept, who, said):
    text = kept.page(who)
    assert said in text
    assert ('id="day-form"' in text) == (who in ("one foot", "broad"))


def test_where_none_serves_the_least_wrong_is_named_and_a_made_pair_offered(kept):
    text = kept.page("broad")
    assert re.search(r"none serves; [\d/ ]+ EE is least wrong", plain_text(text))
    assert "made-pair.pdf" in text
    assert "all the same" in text


def test_without_lasts_in_the_records_the_page_says_so(tmp_path):
    clock = Clock()
    records = open_records(tmp_path / "records", now=clock())
    wearer = keep_wearer(records, "W1", gauge_readings("10", "10", "D"), by=BY)
    app = make_app(Settings(data_folder=tmp_path / "data", clock=clock), records)
    with TestClient(app, base_url="http://127.0.0.1:4380") as client:
        text = client.get(f"/wearers/{wearer}/order").text
    assert "There is no last in the records that could be ranked." in text
    records.close()


def test_an_unknown_wearer_is_not_found(kept):
    answer = kept.bench.get("/wearers/nobody/order")
    assert answer.status_code == 404
    assert "This wearer is not in the records." in answer.text


# ---- the day


def test_a_changed_day_comes_back_in_one_answer(kept):
    held = held_in(kept.page("plain"))
    url = f"{kept.order('plain')}/day"
    cool = kept.bench.post(url, moment(held, sock="thin", hours="0"), headers=HTMX)
    hot = kept.bench.post(url, moment(held, sock="thick", hours="9", heat="hot", insole="4"), headers=HTMX)
    assert cool.status_code == hot.status_code == 200
    assert "<html" not in hot.text
    assert "For one moment: thick sock, foot swollen, insole of 4 mm." in plain_text(hot.text)
    for part in ('class="order"', "<figure"):
        assert part in hot.text
    assert cut(cool.text, "<figure", "</figure>") != cut(hot.text, "<figure", "</figure>")
    assert sorted(held_in(hot.text)) == sorted(held)


def test_the_same_works_without_scripts_as_a_whole_page(kept):
    held = held_in(kept.page("plain"))
    answer = kept.bench.post(f"{kept.order('plain')}/day", moment(held, sock="thick", hours="9"))
    assert answer.status_code == 200
    assert "<html" in answer.text
    assert re.search(r'name="sock" value="thick" checked', answer.text)
    assert 'id="hours" name="hours" value="9"' in answer.text
    own = kept.bench.post(f"{kept.order('plain')}/day", moment(held, show="own"))
    assert "For the wearer&#39;s own day." in own.text or "For the wearer's own day." in own.text


def test_another_last_is_looked_at_and_the_day_stays(kept):
    held = held_in(kept.page("plain"))
    fields = {"now": "moment", "sock": "thick", "hours": "9", "held": held, "look": held[3]}
    text = kept.bench.post(f"{kept.order('plain')}/day", fields, headers=HTMX).text
    assert "thick sock, foot swollen" in text
    assert f'name="looked" value="{held[3]}"' in text
    code = re.search(r'id="looked-at">(L\d+)', text)
    assert code
    with kept.bench.records.reading() as conn:
        assert conn.execute(lasts_table.select().where(lasts_table.c.id == held[3])).one().code == code[1]
    own = kept.bench.post(f"{kept.order('plain')}/day", fields | {"now": "own"}, headers=HTMX).text
    assert "For the wearer's own day." in own


def test_what_cannot_be_read_stands_beside_its_field_with_what_was_typed(kept):
    held = held_in(kept.page("plain"))
    url, fields = f"{kept.order('plain')}/day", moment(held, hours="all day", insole="2,5,1")
    page = kept.bench.post(url, fields)
    assert page.status_code == 422
    field = cut(page.text, 'for="hours"', "</div>")
    assert 'value="all day"' in field
    assert "wanted hours, 0 to 24" in field
    assert 'aria-invalid="true"' in field
    assert "2,5,1" in cut(page.text, 'for="insole"', "</div>")
    fragment = kept.bench.post(url, fields, headers=HTMX)
    assert fragment.status_code == 422
    assert re.search(r'id="hours-wrong" hx-swap-oob="true">[^<]*wanted hours, 0 to 24', fragment.text)
    # What was held stays held, so that the next try goes on from there.
    assert sorted(held_in(fragment.text)) == sorted(held)


@pytest.mark.parametrize(
    ("held", "said"),
    [(["x"] * 21, "21 lasts; wanted at most 20"), (["nosuchlast"], "a last that is not in the records")],
)
def test_too_many_lasts_and_unknown_ones_are_refused_in_a_sentence(kept, held, said):
    answer = kept.bench.post(f"{kept.order('plain')}/day", moment(held), headers=HTMX)
    assert answer.status_code == 422
    assert said in answer.text


def test_a_moment_is_kept_as_the_wearers_day_through_the_wearers_page(kept):
    records = kept.bench.records
    wearer = keep_wearer(records, "W30", gauge_readings("10", "10", "D"), by=BY)
    url = f"/wearers/{wearer}/order"
    held = held_in(kept.bench.get(url).text)
    text = kept.bench.post(f"{url}/day", moment(held, sock="thick", hours="9", insole="3"), headers=HTMX).text
    form = cut(text, f'action="/wearers/{wearer}/day">', "</form>")
    fields = dict(re.findall(r'name="([^"]+)" value="([^"]*)"', form))
    kept.bench.post(f"/wearers/{wearer}/day", fields)
    with records.reading() as conn:
        (state,) = find_wearer(conn, wearer).day
    assert (state["sock"], state["swelling"], state["share"], state["insole_mm"]) == ("thick", "hot", 1.0, 3)


def test_a_reading_taken_meanwhile_is_in_the_next_answer(kept):
    records = kept.bench.records
    wearer = keep_wearer(records, "W31", gauge_readings("10", "10", "D"), by=BY)
    url = f"/wearers/{wearer}/order/day"
    held = held_in(kept.bench.get(f"/wearers/{wearer}/order").text)

    def answer() -> str:
        text = kept.bench.post(url, moment(held), headers=HTMX).text
        return re.sub(r'name="pair" value="\w{16}"', "", text)  # a pair to be has a new name on each page

    before = answer()
    assert answer() == before
    with records.writing() as conn:
        take(conn, wearer, gauge_readings("12", "12", "D"), seen=6, by=BY)
    assert answer() != before


def test_lengths_stand_in_inches_where_the_browser_asks_for_them(kept):
    kept.bench.post("/settings/units", {"units": "in"})
    text = plain_text(kept.page("plain").partition("<main")[2].partition("<footer")[0])
    kept.bench.post("/settings/units", {"units": "mm"})
    assert "The drawing in figures, inches" in text
    assert not re.search(r"\d mm", text)


# ---- processes


def test_killed_processes_are_started_again_and_the_page_is_served(kept):
    before = kept.page("plain")
    ranking = kept.app.state.ranking
    for process in (ranking.process, ranking.answering):
        assert process.pid is not None
        os.kill(process.pid, signal.SIGKILL)
    assert held_in(kept.page("plain")) == held_in(before)


def test_where_the_lasts_cannot_be_ranked_the_rest_of_the_page_stands(kept, monkeypatch):
    from heelball.work.bench_process import ProcessStopped

    def stopped(*asked: Any, **more: Any) -> None:
        raise ProcessStopped("The ranking of the lasts")

    monkeypatch.setattr(kept.app.state.ranking.process, "rank", stopped)
    text = plain_text(kept.page("urgent"))
    assert "The ranking of the lasts could not be worked out just now." in text
    assert "An urgent sign is told" in text


# ---- what leaves the page


def order_forms(text: str) -> list[dict[str, str]]:
    forms = re.findall(r'action="[^"]+/order/pair">(.*?)</form>', text, re.S)
    return [dict(re.findall(r'name="([^"]+)" value="([^"]*)"', form)) for form in forms]


def test_an_order_keeps_both_answers_with_the_pair(kept):
    fields = order_forms(kept.page("plain"))[0]
    answer = kept.bench.post(f"{kept.order('plain')}/pair", fields, follow=False)
    assert answer.status_code == 303
    with kept.bench.records.reading() as conn:
        pair = find_pair(conn, answer.headers["location"].removeprefix("/pairs/"))
    assert (pair.state, pair.size, pair.width) == ("ordered", fields["size"], fields["width"])
    assert pair.answer is not None
    assert pair.answer["order"] == {"size": pair.size, "width": pair.width}
    assert pair.answer["trade_rule"]["order"] is not None
    assert 0 < pair.answer["chance"] < 1


def test_an_order_pressed_twice_is_one_pair(kept):
    forms = order_forms(kept.page("plain"))
    first, second = (
        kept.bench.post(f"{kept.order('plain')}/pair", forms[0], follow=False).headers["location"]
        for _ in range(2)
    )
    assert first == second
    again = order_forms(kept.page("plain"))[0]
    other = kept.bench.post(f"{kept.order('plain')}/pair", again, follow=False).headers["location"]
    assert other != first, "a page opened anew orders anew"
    assert len({form["pair"] for form in forms}) == len(forms), "each label is another pair"


def test_a_label_that_is_not_offered_is_refused_in_a_sentence(kept):
    fields = order_forms(kept.page("plain"))[0] | {"size": "99"}
    answer = kept.bench.post(f"{kept.order('plain')}/pair", fields)
    assert answer.status_code == 422
    assert "99" in answer.text


def test_a_question_to_the_maker_holds_nothing_of_the_wearer(kept):
    form = cut(kept.page("plain"), "/order/question", "</form>")
    fields = dict(re.findall(r'name="([^"]+)" value="([^"]*)"', form))
    answer = kept.bench.post(f"{kept.order('plain')}/question", fields, follow=False)
    with kept.bench.records.reading() as conn:
        letter = find_letter(conn, answer.headers["location"].removeprefix("/letters/"))
    assert letter.state == "draft"
    assert letter.about
    assert "W12" not in letter.text
    assert "Tam" not in letter.text


def links(text: str, ending: str) -> list[str]:
    found = re.findall(r'href="([^"]+)"', text)
    return [url.replace("&amp;", "&") for url in found if ending in url]


def test_the_fit_card_is_of_the_last_looked_at(kept):
    text = kept.page("plain")
    code = cut(text, 'id="looked-at">', " by")
    for url in links(text, "card.pdf"):
        answer = kept.bench.get(url)
        assert answer.headers["content-type"] == "application/pdf"
        assert answer.headers["cache-control"] == "no-store"
        said = "".join(page.get_text() for page in pymupdf.open(stream=answer.content))
        assert code in said
        assert "Tam Wearer" in said
    assert len(links(text, "card.pdf")) == 2


@pytest.mark.parametrize(
    ("who", "said"), [("plain", "L"), ("unread", "W14"), ("child", "W15"), ("one foot", "L")]
)
def test_a_fit_card_without_a_last_is_of_the_one_that_stands_first(kept, who, said):
    answer = kept.bench.get(f"/wearers/{kept.wearers[who]}/card.pdf")
    assert answer.status_code == 200
    text = "".join(page.get_text() for page in pymupdf.open(stream=answer.content))
    if said == "L":
        said = cut(kept.page(who), 'id="looked-at">', " by")
    assert said in text


def test_the_made_pair_sheet_names_nobody(kept):
    (url,) = links(kept.page("broad"), "made-pair.pdf")
    answer = kept.bench.get(url)
    said = "".join(page.get_text() for page in pymupdf.open(stream=answer.content))
    assert "heel-to-ball" in said
    assert "W17" not in said


def test_the_answer_leaves_as_json_and_the_drawing_as_svg(kept):
    text = kept.page("plain")
    (url,) = links(text, "order.json")
    record = json.loads(kept.bench.get(url).text)
    assert record["schema"] == "heelball/choice/1"
    assert len(record["choices"]) == 20
    assert all(choice["why"] for choice in record["choices"])
    (url,) = links(text, "drawing.svg")
    answer = kept.bench.get(url)
    assert answer.headers["content-type"].startswith("image/svg+xml")
    assert "<style>" in answer.text
    assert kept.bench.get(url.replace("last=", "last=x")).status_code == 422
    assert kept.bench.get(url.replace("drawing.svg", "card.pdf") + "&paper=a0").status_code == 422


def test_what_leaves_is_for_the_moment_shown(kept):
    held = held_in(kept.page("plain"))
    fields = moment(held, sock="thick", hours="9", heat="hot", insole="4")
    text = kept.bench.post(f"{kept.order('plain')}/day", fields, headers=HTMX).text
    (url,) = links(text, "order.json")
    record = json.loads(kept.bench.get(url).text)
    assert [state["name"] for state in record["choices"][0]["by_state"]] == ["this moment"]
    assert record["choices"][0]["last"] == cut(text, 'scope="row" class="last">', " <")


def test_no_name_and_no_code_stands_in_an_address(kept):
    for address in re.findall(r'(?:href|action|hx-post)="([^"]+)"', kept.page("plain")):
        assert "W12" not in address
        assert "Tam" not in address
