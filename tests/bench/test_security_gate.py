"""Who may speak to the bench: names, origins, tokens and sizes."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from types import SimpleNamespace

import pytest
from attrs import evolve
from fastapi import APIRouter

from heelball.bench import app, bodies
from heelball.bench.bodies import FORM_BYTES, UPLOAD_BYTES, BoundedBody
from heelball.bench.hosts import Hosts
from heelball.bench.pages import ROUTERS
from heelball.bench.settings import Settings
from tests.bench.conftest import Bench, Open

UNITS = "/settings/units"


def is_kept(bench: Bench) -> bool:
    """Whether the write that these tests try has come through."""
    return 'value="in" aria-pressed="true"' in bench.get("/settings").text


@pytest.mark.parametrize(
    "host", ["127.0.0.1:4380", "localhost:4380", "[::1]:4380", "LOCALHOST", "localhost."]
)
def test_own_names_are_answered(bench: Bench, host: str):
    assert bench.get("/settings", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "host",
    ["elsewhere.example", "127.0.0.1.elsewhere.example", "localhost:80:80", "", "local host", "192.0.2.1"],
)
@pytest.mark.parametrize("path", ["/settings", "/static/x/style.css", "/api/v1/openapi.json", "/nothing"])
def test_other_names_are_refused(bench: Bench, host: str, path: str):
    answer = bench.get(path, headers={"host": host})
    assert answer.status_code == 403
    assert "does not answer to that name" in answer.text


def test_told_names_and_bound_address_are_answered(open_bench: Open, settings: Settings):
    bench = open_bench(evolve(settings, host="192.0.2.7", host_names=("Bench.example",)))
    for host in ("192.0.2.7:4380", "bench.example:4380", "localhost"):
        assert bench.get("/settings", headers={"host": host}).status_code == 200
    assert bench.get("/settings", headers={"host": "192.0.2.8"}).status_code == 403


@pytest.mark.parametrize("met", ["192.0.2.7", "::ffff:192.0.2.7"])
def test_bound_to_all_answers_to_the_address_it_was_met_at(met: str):
    hosts = Hosts("::", ())

    def asked(host: bytes):
        return {"headers": [(b"host", host)], "server": (met, 4380)}

    assert hosts.answers_to(asked(b"192.0.2.7:4380"))
    assert not hosts.answers_to(asked(b"192.0.2.8:4380"))
    assert not hosts.answers_to(asked(b"elsewhere.example"))


def test_two_host_headers_are_refused():
    twice = {"headers": [(b"host", b"localhost"), (b"host", b"elsewhere.example")], "server": None}
    assert not Hosts("127.0.0.1", ()).answers_to(twice)


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "https://elsewhere.example"},
        {"origin": "https://127.0.0.1:4380"},
        {"origin": "http://127.0.0.1:9999"},
        {"origin": "null", "sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_writes_from_other_pages_are_refused(bench: Bench, headers: dict[str, str]):
    answer = bench.post(UNITS, {"units": "in"}, headers=headers)
    assert answer.status_code == 403
    assert "own pages" in answer.text
    assert not is_kept(bench)


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://127.0.0.1:4380", "sec-fetch-site": "same-origin"},
        # What a browser writes for a form of ours, since no page gives its address away.
        {"origin": "null", "sec-fetch-site": "same-origin"},
        {},
    ],
)
def test_writes_from_own_pages_come_through(bench: Bench, headers: dict[str, str]):
    assert bench.post(UNITS, {"units": "in", "back": "/settings"}, headers=headers).status_code == 200
    assert is_kept(bench)


def test_every_write_needs_its_token(bench: Bench):
    writes = [(method, at) for method, at in bench.pages() if method != "GET"]
    assert ("POST", UNITS) in writes
    for method, at in writes:
        for fields in ({}, {"csrf": ""}, {"csrf": "x" * 43}, {"csrf": "ä"}):
            answer = bench.client.request(method, at, data=fields | {"units": "in"}, follow_redirects=False)
            assert answer.status_code in (403, 415), (at, fields)
            assert "<h1>" in answer.text
    assert not is_kept(bench)


def test_a_page_that_forgets_the_token_is_guarded_too(
    open_bench: Open, settings: Settings, monkeypatch: pytest.MonkeyPatch
):
    forgetful, written = APIRouter(), []

    @forgetful.post("/forgetful")
    def write():
        written.append(1)

    monkeypatch.setattr(app, "ROUTERS", (*ROUTERS, forgetful))
    bench = open_bench(settings)
    assert bench.client.post("/forgetful", data={"a": "b"}).status_code == 403
    assert written == []
    assert bench.post("/forgetful").status_code == 200
    assert written == [1]


def test_token_of_another_session_is_refused(bench: Bench, open_bench: Open, settings: Settings):
    other = open_bench(settings)
    assert other.token != bench.token
    assert bench.client.post(UNITS, data={"csrf": other.token, "units": "in"}).status_code == 403


def test_token_may_come_as_a_header(bench: Bench):
    headers = {"x-csrf-token": bench.token, "hx-request": "true"}
    answer = bench.client.post(UNITS, data={"units": "in", "back": "/settings"}, headers=headers)
    assert answer.status_code == 200
    assert is_kept(bench)


def test_what_is_no_form_is_refused(bench: Bench):
    answer = bench.client.post(UNITS, json={"csrf": bench.token, "units": "in"})
    assert answer.status_code == 415
    assert not is_kept(bench)


def test_larger_form_is_refused_by_its_told_length(bench: Bench):
    answer = bench.post(UNITS, {"units": "in", "more": "x" * FORM_BYTES})
    assert answer.status_code == 413
    assert "64 kB" in answer.text
    assert not is_kept(bench)


@pytest.mark.parametrize("told", [b"65537", b"-1", b"1e3", b"9" * 30, b"9" * 5000])
def test_body_told_to_be_too_large_is_never_read(told: bytes, settings: Settings):
    async def unread(*_):
        raise AssertionError("the body was asked for")

    assert bounded(unread, unread, settings, (b"content-length", told)) == 413


def test_body_that_does_not_come_to_its_end_is_let_go(settings: Settings, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(bodies, "PATIENCE_S", 0.05)
    pieces = iter([{"type": "http.request", "body": b"units=", "more_body": True}])

    async def stalled():
        for piece in pieces:
            return piece
        return await asyncio.Event().wait()

    async def read(_scope, receive, _send):
        while (await receive())["more_body"]:
            pass

    assert bounded(read, stalled, settings) == 408


def bounded(page, receive, settings: Settings, *headers: tuple[bytes, bytes]) -> int:
    """Return the status that a page under `BoundedBody` answers with, below any server."""
    sent = []

    async def send(message):
        sent.append(message)

    app = SimpleNamespace(state=SimpleNamespace(settings=settings))
    scope = {"type": "http", "method": "POST", "path": "/", "headers": headers, "app": app}
    # In a thread of its own: the browser's tests leave a loop behind in this one.
    with ThreadPoolExecutor(1) as apart:
        apart.submit(asyncio.run, BoundedBody(page)(scope, receive, send)).result()
    return int(sent[0]["status"])


@pytest.mark.parametrize(
    ("kind", "most"),
    [
        ("application/x-www-form-urlencoded", FORM_BYTES),
        ("multipart/form-data; boundary=b", UPLOAD_BYTES),
        ("text/plain", FORM_BYTES),
    ],
)
def test_larger_body_in_pieces_is_refused(bench: Bench, kind: str, most: int):
    sent = 0

    def pieces() -> Iterator[bytes]:
        nonlocal sent
        yield f"csrf={bench.token}&units=in&more=".encode()
        while sent < 4 * most:
            sent += 10_000
            yield b"x" * 10_000

    headers = {"content-type": kind, "x-csrf-token": bench.token}
    answer = bench.client.post(UNITS, content=pieces(), headers=headers)
    assert "content-length" not in answer.request.headers
    assert answer.status_code in ((413,) if kind != "text/plain" else (413, 415))
    assert not is_kept(bench)


def test_api_refuses_a_larger_body_in_pieces_with_413(bench: Bench):
    def pieces() -> Iterator[bytes]:
        yield b'{"from": "'
        for _ in range(100):
            yield b"x" * 10_000

    answer = bench.client.post(
        "/api/v1/wearers", content=pieces(), headers={"content-type": "application/json"}
    )
    assert answer.status_code == 413
    assert "512 kB" in answer.json()["error"]


def test_signs_that_cannot_be_printed_are_refused(bench: Bench):
    assert bench.post("/settings/fitter", {"fitter": "A\x00B"}).status_code == 422
    assert 'name="fitter" value=""' in bench.get("/settings").text


@pytest.mark.parametrize(
    "back", ["//elsewhere.example", "https://elsewhere.example", "/\\elsewhere.example", ""]
)
def test_a_switch_leads_back_to_our_own_pages_only(bench: Bench, back: str):
    answer = bench.post(UNITS, {"units": "in", "back": back}, follow=False)
    assert answer.headers["location"] == "/"
