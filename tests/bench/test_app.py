"""The frame every page stands in, its fields, and what is set for the bench."""

from __future__ import annotations

import re

import pytest

from heelball.bench.forms import LONGEST_VALUE, Form
from heelball.bench.frame import environment
from heelball.bench.settings import Settings
from tests.bench.conftest import Bench, Open


def fields(source: str, form: Form | None = None) -> str:
    """Return fields as they stand on a page, on one line."""
    text = environment.from_string('{% import "_fields.html" as fields %}' + source).render(form=form)
    return " ".join(text.split())


def test_every_page_has_its_landmarks(bench: Bench):
    for path in ("/settings", "/nothing"):
        text = bench.get(path).text
        for mark in (
            '<html lang="en">',
            '<a class="skip" href="#main">',
            "<header",
            "<nav aria-label=",
            '<main id="main"',
            "<footer",
        ):
            assert text.count(mark) == 1, mark
        assert len(re.findall(r"<h1>", text)) == 1
        assert re.search(r"<title>\S.* · Heelball</title>", text)


def test_navigation_says_where_one_is(bench: Bench):
    for path, name in (("/wearers/x", "Wearers"), ("/makers/x", "Lasts"), ("/gauge", "Gauge")):
        text = bench.get(path).text
        assert re.findall(r'<a href="[^"]*" aria-current="(?:page|true)">([^<]*)', text) == [name]


def test_front_door_leads_to_the_wearers(bench: Bench):
    assert bench.get("/", follow=False).headers["location"] == "/wearers"


def test_units_switch_returns_to_its_page(bench: Bench):
    answer = bench.post("/settings/units", {"units": "in", "back": "/settings"}, follow=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/settings")
    assert 'value="in" aria-pressed="true"' in bench.get("/settings").text
    assert bench.post("/settings/units", {"units": "furlong"}).status_code == 422


def test_initials_sign_what_is_written(bench: Bench):
    bench.post("/settings/fitter", {"fitter": " QB ", "back": "/settings"})
    assert 'name="fitter" value="QB"' in bench.get("/settings").text
    assert bench.post("/settings/fitter", {"fitter": "far too many"}).status_code == 422


def test_new_devices_start_with_the_units_that_were_set(bench: Bench, open_bench: Open, settings: Settings):
    assert bench.post("/settings", {"default_units": "in"}).status_code == 200
    assert 'value="mm" aria-pressed="true"' in bench.get("/settings").text
    assert 'value="in" aria-pressed="true"' in open_bench(settings).get("/settings").text
    answer = bench.post("/settings", {"default_units": "ell"})
    assert answer.status_code == 422
    assert "Ell was chosen; wanted mm or inches." in answer.text


def test_settings_tell_where_the_bench_and_its_records_are(bench: Bench):
    text = bench.get("/settings").text
    assert "http://127.0.0.1:4380/" in text
    assert str(bench.records.path) in text
    code = bench.get("/settings/address.svg")
    assert code.headers["content-type"] == "image/svg+xml"
    assert "<style" not in code.text


def test_field_keeps_what_was_typed_with_its_sentence_beside():
    form = Form({"size": ["1,5<b>"]})
    form.wrong("size", "'1,5' could be 1.5 or 15", "one of them")
    text = fields('{{ fields.text(form, "size", "Size", value="9", hint="As stamped") }}', form)
    assert 'value="1,5&lt;b&gt;"' in text
    assert 'aria-describedby="f-size-hint f-size-wrong" aria-invalid="true"' in text
    assert '<span class="problem" id="f-size-wrong">&#39;1,5&#39; could be 1.5 or 15; wanted one' in text
    assert '<label for="f-size">Size</label>' in text


def test_fresh_field_shows_what_is_kept():
    text = fields('{{ fields.text(form, "size", "Size", value="9", inputmode="decimal", required=true) }}')
    assert 'inputmode="decimal" value="9" autocomplete="off" required>' in text
    assert "aria-" not in text
    assert 'value=""' in fields('{{ fields.text(form, "size", "Size", value=none) }}')


def test_passphrase_is_never_written_back():
    assert "secret" not in fields(
        '{{ fields.text(form, "p", "P", type="password") }}', Form({"p": ["secret"]})
    )


def test_choices_keep_what_was_chosen():
    options = '[("a & b", "One"), ("c", "Two")]'
    form = Form({"scale": ["a & b"]})
    assert '<option value="a &amp; b" selected>One' in fields(
        f'{{{{ fields.choice(form, "scale", "Scale", {options}, "c") }}}}', form
    )
    assert '<option value="c" selected>Two' in fields(
        f'{{{{ fields.choice(form, "scale", "Scale", {options}, "c") }}}}'
    )
    assert 'value="a &amp; b" checked>' in fields(
        f'{{{{ fields.radios(form, "scale", "Scale", {options}) }}}}', form
    )
    assert "checked" not in fields(f'{{{{ fields.radios(form, "scale", "Scale", {options}) }}}}')


@pytest.mark.parametrize(
    ("form", "ticked"), [(None, True), (Form(), False), (Form({"keeps": ["yes"]}), True)]
)
def test_tick_stays_as_it_was_sent(form: Form | None, ticked: bool):
    text = fields('{{ fields.tick(form, "keeps", "Keeps", true) }}', form)
    assert (" checked" in text) is ticked


def test_area_keeps_its_lines():
    form = Form({"note": ["\n first\n</textarea>"]})
    assert "first &lt;/textarea&gt;</textarea>" in fields('{{ fields.area(form, "note", "Note") }}', form)


def test_form_keeps_the_first_sentence_about_a_field():
    form = Form()
    assert form.good
    form.wrong("size", "that is long", "a size")
    form.wrong("size", "another", "thing")
    form.wrong("width", "", "a letter")
    assert form.problems == {"size": "That is long; wanted a size.", "width": "Wanted a letter."}
    assert not form.good


def test_value_that_is_too_long_is_told(bench: Bench):
    answer = bench.post("/settings", {"default_units": "m" * (LONGEST_VALUE + 1)})
    assert answer.status_code == 422
    assert f"That is {LONGEST_VALUE + 1} characters long; wanted at most {LONGEST_VALUE}." in answer.text
