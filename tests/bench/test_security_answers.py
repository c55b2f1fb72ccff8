"""What every answer carries, and what it never tells."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest

from heelball.bench import static_files
from heelball.bench.access_log import log, log_into
from heelball.bench.headers import CONTENT_SECURITY_POLICY
from heelball.bench.pages import home
from heelball.errors import InputError, InternalFault, MissingExtra, Problem, RecordsError
from heelball.records.refused import Conflict, DiskFull, NotFound
from tests.bench.conftest import Bench

STYLE = static_files.FILES.address("style.css")


def fail_with(monkeypatch: pytest.MonkeyPatch, error: Exception):
    """Make the front door raise."""

    def raising(_: str):
        raise error

    monkeypatch.setattr(home, "see", raising)


def test_policy_allows_nothing_inline_and_nothing_from_elsewhere():
    rules = dict(rule.split(" ", 1) for rule in CONTENT_SECURITY_POLICY.split("; "))
    assert rules["default-src"] == "'none'"
    assert rules["frame-ancestors"] == "'none'"
    assert rules["base-uri"] == "'none'"
    assert set(rules.values()) == {"'none'", "'self'"}


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/settings", 200),
        ("/", 303),
        ("/nothing", 404),
        ("/settings/units", 405),
        (STYLE, 200),
        ("/static/none/style.css", 404),
        ("/settings/address.svg", 200),
        ("/api/v1/openapi.json", 200),
        ("/api/v1/nothing", 404),
    ],
)
def test_every_answer_has_the_headers(bench: Bench, path: str, status: int):
    answer = bench.get(path, follow=False)
    assert answer.status_code == status
    check_headers(answer)
    if path == STYLE:
        assert answer.headers["cache-control"] == "public, max-age=31536000, immutable"
    else:
        assert answer.headers["cache-control"] == "no-store"


def test_refusals_and_faults_have_the_headers(bench: Bench, monkeypatch: pytest.MonkeyPatch):
    check_headers(bench.get("/settings", headers={"host": "elsewhere.example"}))
    check_headers(bench.post("/settings/units", {"more": "x" * 100_000}))
    fail_with(monkeypatch, ValueError("secret words"))
    answer = bench.get("/")
    assert answer.status_code == 500
    check_headers(answer)


def check_headers(answer):
    assert answer.headers["content-security-policy"] == CONTENT_SECURITY_POLICY
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["referrer-policy"] == "no-referrer"
    assert answer.headers["x-frame-options"] == "DENY"
    assert "server" not in answer.headers


def test_fault_becomes_a_sentence_and_tells_nothing(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, tmp_path, caplog
):
    kept = log_to(tmp_path)
    try:
        fail_with(monkeypatch, ValueError("Aurelia Vantongeren"))
        answer = bench.get("/")
    finally:
        kept.close()
        log.removeHandler(kept)
    assert answer.status_code == 500
    assert "fault of ours" in answer.text
    for word in ("Aurelia", "Traceback", "ValueError", "home.py"):
        assert word not in answer.text
    written = (tmp_path / "access.log").read_text()
    assert re.fullmatch(r"\S+ GET / 500 \d+ ms ValueError\n", written)
    assert "Aurelia" not in caplog.text


@pytest.mark.parametrize(
    ("error", "status", "words"),
    [
        (InputError([Problem("size", "'12x'", "a size"), Problem("b", "c", "d")]), 422, "wanted a size"),
        (NotFound("This wearer"), 404, "This wearer is not in the records."),
        (Conflict(None, 1, {}), 409, "Someone else changed this"),
        (DiskFull("here"), 507, "no room left"),
        (
            RecordsError("The records are damaged.", "Put the last backup back."),
            503,
            "Put the last backup back.",
        ),
        (InternalFault("inner words"), 500, "fault of ours"),
        (MissingExtra("typst", "sheet"), 501, "pip install 'heelball[sheet]'"),
    ],
)
def test_errors_of_ours_are_told_in_their_own_words(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, error: Exception, status: int, words: str
):
    fail_with(monkeypatch, error)
    answer = bench.get("/")
    assert answer.status_code == status
    assert words in answer.text.replace("&#39;", "'")
    assert "inner words" not in answer.text
    assert '<html lang="en">' in answer.text


def test_refusals_come_as_a_part_for_htmx_and_as_json_for_the_api(bench: Bench):
    part = bench.get("/nothing", headers={"hx-request": "true"})
    assert part.status_code == 404
    assert "<html" not in part.text
    assert '<p class="problem">There is nothing at this address.' in part.text
    answer = bench.get("/api/v1/nothing")
    assert answer.json()["error"] == "There is nothing at this address."


def test_log_holds_routes_and_neither_ids_nor_names(bench: Bench, tmp_path):
    kept = log_to(tmp_path)
    try:
        bench.get(STYLE)
        bench.get("/wearers/k3hsecretid/order?sought=Vantongeren")
        bench.get("/Vantongeren")
        bench.client.cookies = {}
        bench.get("/api/v1/wearers/k3hsecretid")
        bench.get("/api/v1/Vantongeren")
        bench.get("/api/v1/openapi.json")
        bench.post("/settings/fitter", {"fitter": "AV"})
        bench.client.request("VANTON", "/settings")
    finally:
        kept.close()
        log.removeHandler(kept)
    written = (tmp_path / "access.log").read_text()
    lines = [line.split(" ", 1)[1].rsplit(" ", 2)[0] for line in written.splitlines()]
    assert "GET /static/{mark}/{name} 200" in lines
    assert "POST /settings/fitter 303" in lines
    assert lines.count("GET (no page) 404") == 2
    assert re.search(r" GET /api/v1/wearers/\{\w+\} 404 \d+ ms NotFound\n", written)
    assert "GET /api/v1/openapi.json 200" in lines
    for word in ("k3hsecretid", "anton", "ANTON", "AV", "sought", bench.token, STYLE.split("/")[2]):
        assert word not in written
    assert (tmp_path / "access.log").stat().st_mode & 0o777 == 0o600


def test_log_that_cannot_be_written_stops_nothing(bench: Bench, tmp_path, capsys):
    kept = log_to(tmp_path)
    try:
        kept.stream.close()
        assert bench.get("/settings").status_code == 200
    finally:
        log.removeHandler(kept)
    assert capsys.readouterr().err == ""


def log_to(folder):
    log_into(folder / "access.log")
    return log.handlers[-1]


class Loaded(HTMLParser):
    """Collects what a page loads or runs."""

    def __init__(self) -> None:
        super().__init__()
        self.addresses: list[str] = []
        self.inline: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = dict(attrs)
        self.addresses += [names[name] or "" for name in ("src", "href", "action") if name in names]
        self.inline += [name for name in names if name == "style" or name.startswith(("on", "hx-on"))]
        if tag == "style" or (tag == "script" and "src" not in names):
            self.inline.append(tag)


def test_pages_load_from_the_bench_alone_run_nothing_inline_and_are_not_kept(bench: Bench):
    shown = 0
    for at in sorted({at for method, at in bench.pages() if method == "GET"} | {"/nothing"}):
        answer = bench.get(at)
        assert answer.status_code in (200, 404, 422), at
        assert answer.headers["cache-control"] == "no-store", at
        check_headers(answer)
        if not answer.headers["content-type"].startswith("text/html"):
            continue
        shown += answer.status_code == 200
        page = Loaded()
        page.feed(answer.text)
        own = [one for one in page.addresses if re.match(r"/(?!/)|[#?]", one)]
        # The bench's own address stands on the settings page, to be read.
        assert set(page.addresses) - set(own) <= {"http://127.0.0.1:4380/"}, at
        assert page.inline == [], at
        for one in own:
            if one.startswith("/static/"):
                assert bench.get(one).status_code == 200, one
    assert shown >= 6


def test_htmx_evaluates_nothing(bench: Bench):
    text = bench.get("/settings").text
    assert '"allowEval": false' in text
    assert '"selfRequestsOnly": true' in text
    assert '"includeIndicatorStyles": false' in text


def test_static_address_changes_with_content(tmp_path):
    (tmp_path / "a.css").write_text("a{}")
    before = static_files.StaticFiles(tmp_path, {}).address("a.css")
    (tmp_path / "a.css").write_text("b{}")
    assert static_files.StaticFiles(tmp_path, {}).address("a.css") != before
