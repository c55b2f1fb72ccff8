"""Lasts and their makers at the bench: found, written down, changed, undone, handed over."""

from __future__ import annotations

import re
import tomllib
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest

from heelball.records.lasts import find_by_code, list_lasts
from heelball.records.makers import list_makers
from heelball.records.values import Author, KeptLast
from heelball.work.keeping import core_last
from heelball.work.last_file import read_last, read_lasts
from heelball.work.lasts_kept import kept_last
from heelball.work.lasts_written import edit_last, new_last, retire_last, write_advice, write_measured
from tests.bench.conftest import BEGINNING, Bench

BY = Author("QB", BEGINNING)
TYPED = {
    "code": "N7",
    "maker": "Northmoor",
    "label_scale": "us-men",
    "sizes": "6-12 by 1/2, 13",
    "widths": "B, D, EE",
    "width_scale": "us",
    "reference_width": "",
    "stiffness": "stiff",
    "toe": "round",
    "closing": "lace",
    "heel_mm": "35",
    "publishes_advice": "yes",
    "exchange_days": "30",
    "note": "",
}
HALF_DOWN = {"basis": "ball", "order": "-1/2", "origin": "the catalogue", "on": "2026-02-01"}
PAIR = {"size": "10", "width": "D", "flex_line_mm": "205", "inside_length_mm": "290"}


@pytest.fixture
def last(bench: Bench) -> KeptLast:
    return new_last(bench.records, TYPED, units="mm", by=BY)


def text_of(page: str) -> str:
    """Return what a page says, without its marks."""
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


def problem_at(page: str, field: str) -> str:
    """Return the sentence beside a field; empty where there is none."""
    found = re.search(rf'id="f-{field}-wrong">([^<]*)<', page)
    return found[1] if found else ""


def test_a_last_is_written_down_found_and_shown(bench: Bench):
    answer = bench.post("/lasts/new", TYPED)
    assert answer.status_code == 200
    assert "N7 by" in text_of(answer.text)
    assert "Only its labels speak" in answer.text
    assert "within 30 days, unworn" in text_of(answer.text)
    with bench.records.reading() as conn:
        kept = find_by_code(conn, "N7")
    assert kept is not None
    assert (kept.maker, kept.widths, kept.heel_mm) == ("Northmoor", ["B", "D", "EE"], 35.0)
    assert str(answer.url).endswith(f"/lasts/{kept.id}")
    assert f'href="/lasts/{kept.id}"' in bench.get("/lasts").text


def test_mistakes_stand_beside_their_fields_with_what_was_typed(bench: Bench):
    answer = bench.post("/lasts/new", {**TYPED, "sizes": "12-6", "heel_mm": "1,500", "code": ""})
    assert answer.status_code == 422
    assert problem_at(answer.text, "code")
    assert "goes backwards" in problem_at(answer.text, "sizes")
    assert "thousands or decimals" in problem_at(answer.text, "heel_mm")
    assert problem_at(answer.text, "maker") == ""
    for name, typed in (("sizes", "12-6"), ("heel_mm", "1,500"), ("maker", "Northmoor")):
        assert re.search(rf'name="{name}"[^>]*value="{re.escape(typed)}"', answer.text), name
    with bench.records.reading() as conn:
        assert list_lasts(conn) == []
        assert list_makers(conn) == []


def test_lasts_are_looked_for_without_a_name_in_the_address(bench: Bench, last: KeptLast):
    new_last(bench.records, {**TYPED, "code": "Q2", "maker": "Quernmere"}, units="mm", by=BY)
    whole = bench.post("/lasts", {"sought": "quern"})
    assert "?" not in str(whole.url)
    assert ">Q2<" in whole.text
    assert ">N7<" not in whole.text
    assert re.search(r'name="sought"[^>]*value="quern"', whole.text)
    part = bench.post("/lasts", {"sought": "north"}, headers={"HX-Request": "true"})
    assert "<html" not in part.text
    assert ">N7<" in part.text
    assert ">Q2<" not in part.text
    none = bench.post("/lasts", {"sought": "<b>zz</b>"}, headers={"HX-Request": "true"})
    assert "No last has “&lt;b&gt;zz&lt;/b&gt;”" in none.text


def test_what_is_known_of_a_last_is_said_with_its_origin_and_day(bench: Bench, last: KeptLast):
    answer = bench.post(f"/lasts/{last.id}/advice", HALF_DOWN)
    said = text_of(answer.text)
    assert "Northmoor says: half a size down from the ball size. the catalogue, 1 Feb 2026" in said
    assert "Bends" in said
    answer = bench.post(f"/lasts/{last.id}/measured", {**PAIR, "origin": "stock"})
    said = text_of(answer.text)
    assert "Measured on the 10 D: inside length 290 mm, flex line 205 mm. stock" in said
    # The foot of each label: a row a size, a column a width, each with its ±.
    assert re.search(r"\b10 1/2 \d\d\d\.\d ±\d\.\d", said)


def test_lengths_are_shown_and_read_in_inches_at_the_switch(bench: Bench, last: KeptLast):
    bench.post("/settings/units", {"units": "in", "back": "/lasts"})
    answer = bench.post(
        f"/lasts/{last.id}/measured", {**PAIR, "flex_line_mm": "8", "inside_length_mm": "11 1/2"}
    )
    said = text_of(answer.text)
    assert "inside length 11.50 in, flex line 8.00 in" in said
    assert "Heel 1.38 in" in said
    assert "In inches" in said
    assert kept_last(bench.records, last.id).measured[0].flex_line_mm == pytest.approx(203.2)


@pytest.mark.parametrize(
    ("path", "typed", "field"),
    [
        ("advice", {**HALF_DOWN, "order": "much"}, "order"),
        ("advice", {**HALF_DOWN, "order": "", "table": "10: 10\n11"}, "table"),
        ("advice", {**HALF_DOWN, "basis": ""}, "basis"),
        ("advice", {**HALF_DOWN, "on": "2027-01-01"}, "on"),
        ("measured", {**PAIR, "size": "40"}, "size"),
        ("measured", {**PAIR, "flex_line_mm": "300"}, "flex_line_mm"),
        ("measured", {"size": "10", "width": "D"}, "flex_line_mm"),
    ],
)
def test_evidence_that_cannot_be_comes_back_with_its_sentence(
    bench: Bench, last: KeptLast, path: str, typed: dict[str, str], field: str
):
    answer = bench.post(f"/lasts/{last.id}/{path}", typed)
    assert answer.status_code == 422
    assert problem_at(answer.text, field)
    assert "2026-02-01" in answer.text or path == "measured" or field == "on"
    kept = kept_last(bench.records, last.id)
    assert (kept.advice, kept.measured) == ((), ())


def test_evidence_is_mended_withdrawn_and_undone(bench: Bench, last: KeptLast):
    said = write_advice(bench.records, last.id, HALF_DOWN, by=BY)
    pair = write_measured(bench.records, last.id, PAIR, units="mm", by=BY)
    at = f"/lasts/{last.id}"
    form = bench.get(f"{at}/advice/{said.id}")
    assert re.search(r'name="order"[^>]*value="-1/2"', form.text)
    bench.post(f"{at}/advice/{said.id}", {**HALF_DOWN, "order": "-1", "seen": "1"})
    bench.post(f"{at}/measured/{pair.id}", {**PAIR, "flex_line_mm": "206", "seen": "1"})
    kept = kept_last(bench.records, last.id)
    assert (kept.advice[0].order_sizes, kept.measured[0].flex_line_mm) == ("-1", 206.0)
    page = bench.post(f"{at}/advice/{said.id}/withdrawn", {"seen": "2"})
    assert "counts no longer" in page.text
    assert kept_last(bench.records, last.id).advice == ()
    (change, *_) = re.findall(r'name="change" value="(\d+)"', page.text)
    bench.post(f"{at}/undo", {"change": change})
    assert kept_last(bench.records, last.id).advice[0].order_sizes == "-1"


def test_the_second_fitter_at_a_last_chooses_between_both(bench: Bench, last: KeptLast):
    edit_last(bench.records, last.id, 1, {**TYPED, "toe": "almond", "note": "theirs"}, units="mm", by=BY)
    answer = bench.post(f"/lasts/{last.id}/edit", {**TYPED, "note": "mine", "seen": "1"})
    assert answer.status_code == 409
    said = text_of(answer.text)
    assert "theirs" in said
    assert "mine" in said
    assert "almond" in said
    assert kept_last(bench.records, last.id).note == "theirs"
    bench.post(f"/lasts/{last.id}/edit", {**TYPED, "toe": "almond", "note": "mine", "seen": "2"})
    assert kept_last(bench.records, last.id).note == "mine"


def test_each_form_says_what_it_was_opened_on(bench: Bench, last: KeptLast):
    kept = edit_last(bench.records, last.id, 1, {**TYPED, "note": "x"}, units="mm", by=BY)
    said = write_advice(bench.records, last.id, HALF_DOWN, by=BY)
    pair = write_measured(bench.records, last.id, PAIR, units="mm", by=BY)
    at = f"/lasts/{kept.id}"
    for path, version in (
        (at, 2),
        (f"{at}/edit", 2),
        (f"{at}/advice/{said.id}", 1),
        (f"{at}/measured/{pair.id}", 1),
        (f"/makers/{kept.maker_id}/edit", 1),
    ):
        assert f'name="seen" value="{version}"' in bench.get(path).text, path
    back = bench.post(f"{at}/edit", {**TYPED, "code": "", "seen": "1"})
    # A form that comes back with a mistake still says what was seen, not what is kept by now.
    assert 'name="seen" value="1"' in back.text


def test_a_form_that_does_not_say_what_it_saw_is_refused(bench: Bench, last: KeptLast):
    for seen in ("", "x", "9" * 30, "-1"):
        answer = bench.post(f"/lasts/{last.id}/edit", {**TYPED, "seen": seen})
        assert answer.status_code == 422
    assert kept_last(bench.records, last.id) == last


def test_a_retired_last_stands_apart_until_it_is_taken_up_again(bench: Bench, last: KeptLast):
    page = bench.post(f"/lasts/{last.id}/retired", {"seen": "1", "retired": "yes"})
    assert "No longer had" in page.text
    assert "N7 by Northmoor" in text_of(bench.get("/lasts").text)
    assert ">N7<" not in bench.post("/lasts", {"sought": "N7"}, headers={"HX-Request": "true"}).text
    bench.post(f"/lasts/{last.id}/retired", {"seen": "2", "retired": ""})
    assert not kept_last(bench.records, last.id).retired


def test_a_last_just_added_is_taken_out_by_undo(bench: Bench, last: KeptLast):
    page = bench.get(f"/lasts/{last.id}")
    (change,) = re.findall(r'name="change" value="(\d+)"', page.text)
    answer = bench.post(f"/lasts/{last.id}/undo", {"change": change})
    assert str(answer.url).endswith("/lasts")
    assert bench.get(f"/lasts/{last.id}").status_code == 404


def test_a_last_goes_out_as_its_file(bench: Bench, last: KeptLast, tmp_path: Path):
    write_advice(bench.records, last.id, HALF_DOWN, by=BY)
    answer = bench.get(f"/lasts/{last.id}/last.toml")
    assert answer.headers["content-disposition"] == 'attachment; filename="N7.toml"'
    assert tomllib.loads(answer.text)["schema"] == "heelball/last/1"
    file = tmp_path / "N7.toml"
    file.write_text(answer.text, "utf-8")
    assert read_last(file) == core_last(kept_last(bench.records, last.id))


def test_lasts_go_out_together_a_file_each(bench: Bench, last: KeptLast, tmp_path: Path):
    for code, maker in (("n7", "Northmoor"), ("N/7", "Quernmere"), ("N?7", "Quernmere")):
        new_last(bench.records, {**TYPED, "code": code, "maker": maker}, units="mm", by=BY)
    gone = new_last(bench.records, {**TYPED, "code": "N1"}, units="mm", by=BY)
    retire_last(bench.records, gone.id, 1, retired=True, by=BY)
    out = tmp_path / "out"
    answer = bench.get("/lasts/lasts.zip")
    assert answer.content == bench.get("/lasts/lasts.zip").content
    ZipFile(BytesIO(answer.content)).extractall(out)
    # No two names are one where case makes no difference, and none leaves its folder.
    assert sorted(path.name for path in out.iterdir()) == [
        "N-7-.toml",
        "N-7.toml",
        "N7.toml",
        "n7-.toml",
    ]
    assert sorted(one.code for one in read_lasts(out)) == ["N/7", "N7", "N?7", "n7"]
    own = ZipFile(BytesIO(bench.get(f"/makers/{last.maker_id}/lasts.zip").content))
    assert sorted(own.namelist()) == ["N7.toml", "n7-.toml"]


def test_a_code_makes_no_odd_file_name(bench: Bench):
    last = new_last(bench.records, {**TYPED, "code": '../N "7"\u00e6'}, units="mm", by=BY)
    header = bench.get(f"/lasts/{last.id}/last.toml").headers["content-disposition"]
    assert re.fullmatch(r'attachment; filename="[A-Za-z0-9_-][A-Za-z0-9._-]*\.toml"', header)


def test_evidence_that_does_not_agree_is_said_in_words(bench: Bench, last: KeptLast):
    write_advice(bench.records, last.id, HALF_DOWN, by=BY)
    assert "Does not agree" not in bench.get(f"/lasts/{last.id}").text
    write_measured(bench.records, last.id, {**PAIR, "flex_line_mm": "240"}, units="mm", by=BY)
    said = text_of(bench.get(f"/lasts/{last.id}").text)
    assert "Does not agree By the flex line of the 10 D N7 bends" in said


def test_a_child_s_last_is_shown_but_not_judged(bench: Bench):
    typed = {**TYPED, "label_scale": "us-child", "sizes": "8-12", "widths": ""}
    last = new_last(bench.records, typed, units="mm", by=BY)
    assert "not judged" in bench.get(f"/lasts/{last.id}").text
    assert "Not judged" in bench.get("/lasts").text


def test_widths_stand_from_narrow_to_wide_with_gaps_where_none_is_offered(bench: Bench):
    typed = {**TYPED, "sizes": "", "widths": "EE: 9\nB: 8-10\nD: 7-10"}
    last = new_last(bench.records, typed, units="mm", by=BY)
    page = bench.get(f"/lasts/{last.id}").text
    girth = page[page.index("Girth round the ball</caption>") :]
    columns = re.findall(r'<th scope="col">([^<]*)</th>', girth[: girth.index("</thead>")])
    assert columns == ["size", "B", "D", "EE"]
    first_row = girth[girth.index("<tbody>") :].split("</tr>")[0]
    assert first_row.count("not offered") == 2


def test_a_maker_is_kept_with_address_lasts_terms_and_letters(bench: Bench, last: KeptLast):
    retire_last(
        bench.records,
        new_last(bench.records, {**TYPED, "code": "N1"}, units="mm", by=BY).id,
        1,
        retired=True,
        by=BY,
    )
    at = f"/makers/{last.maker_id}"
    typed = {"name": "Northmoor", "address": "Mill Row 2\r\nSedge", "note": "slow", "seen": "1"}
    answer = bench.post(f"{at}/edit", typed)
    said = text_of(answer.text)
    assert "Mill Row 2 Sedge" in said
    assert "slow" in said
    assert "30 days" in said
    assert "No longer had N1" in said
    assert "northmoor" not in str(answer.url).lower()
    (change, *_) = re.findall(r'name="change" value="(\d+)"', answer.text)
    assert "Mill Row" not in bench.post(f"{at}/undo", {"change": change}).text


def test_a_maker_s_name_is_its_own(bench: Bench, last: KeptLast):
    answer = bench.post("/makers/new", {"name": "Northmoor", "address": "", "note": "kept"})
    assert answer.status_code == 422
    assert "kept already" in problem_at(answer.text, "name")
    assert ">\nkept</textarea>" in answer.text
    assert bench.post("/makers/new", {"name": "Quernmere", "address": "", "note": ""}).status_code == 200
    taken = bench.post(f"/makers/{last.maker_id}/edit", {"name": "Quernmere", "seen": "1"})
    assert taken.status_code == 422
    lost = bench.post(f"/makers/{last.maker_id}/edit", {"name": "Northmoor", "note": "x", "seen": "7"})
    assert lost.status_code == 409


@pytest.mark.parametrize(
    "path",
    [
        "lasts/{}",
        "lasts/{}/edit",
        "lasts/{}/advice",
        "lasts/{}/measured",
        "lasts/{}/last.toml",
        "makers/{}",
        "makers/{}/edit",
        "letters/{}",
        "letters/{}/letter.txt",
        "letters/{}/letter.pdf",
        "gauge/{}",
    ],
)
def test_what_is_not_kept_is_said_not_to_be(bench: Bench, path: str):
    assert bench.get("/" + path.format("nothing")).status_code == 404


def test_pages_are_not_left_in_the_browser(bench: Bench, last: KeptLast):
    for path in ("/lasts", f"/lasts/{last.id}", f"/makers/{last.maker_id}", f"/lasts/{last.id}/last.toml"):
        assert bench.get(path).headers["cache-control"] == "no-store"
