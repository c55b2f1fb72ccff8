"""Sheets that wait at the bench: few, not for long, in memory alone, and for nobody else."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from heelball.bench import sheets_waiting
from heelball.bench.bodies import PHOTOGRAPH_BYTES, UPLOAD_BYTES, most_bytes
from heelball.bench.settings import Settings
from heelball.bench.sheets_waiting import MOST_WAITING, WAITS, SheetsWaiting
from heelball.errors import RecordsError
from heelball.sheet.values import Circumstances
from heelball.work import sheet_kept
from heelball.work.kept_core import wearer_as_kept
from heelball.work.sheet_apart import AskedSheet, SeenSheet
from tests.bench.conftest import Bench, Open
from tests.bench.sheets import id_of, new, quickly, read_at_once, send, waiting


@pytest.fixture
def url(bench: Bench) -> str:
    """Return the address of a wearer without readings."""
    return new(bench, "W41")


@pytest.fixture
def quick(bench: Bench) -> Bench:
    """Return a bench whose photographs are read at once."""
    return quickly(bench)


@pytest.mark.parametrize("end", ["", "/plan.png", "/photograph.jpg", "/ticks", "/keep", "/drop"])
def test_what_waits_is_found_by_nobody_else(
    quick: Bench, url: str, end: str, open_bench: Open, settings: Settings
):
    at = send(quick, url, b"photo").url.path
    other_wearer = new(quick, "W42")
    other = open_bench(settings)
    other.client.app.state.sheets = waiting(quick)  # type: ignore[attr-defined]
    elsewhere = f"{other_wearer}/sheet/{id_of(at)}{end}"
    for browser, address in ((quick, elsewhere), (other, at + end), (quick, f"{url}/sheet/{'0' * 32}{end}")):
        ask: Callable[[str], Any] = (
            browser.get if end in ("", "/plan.png", "/photograph.jpg") else browser.post
        )
        answer = ask(address)
        assert answer.status_code == 404, address
    if not end:
        # Nor may another's photograph be added to.
        assert send(other, url, b"photo", beside=id_of(at)).status_code == 404
        assert send(quick, other_wearer, b"photo", beside=id_of(at)).status_code == 404
    assert len(waiting(quick)) == 1


def test_after_half_an_hour_it_is_forgotten(quick: Bench, url: str):
    at = send(quick, url, b"photo").url.path
    quick.clock.forward(minutes=WAITS.total_seconds() / 60 - 1)
    assert quick.get(at).status_code == 200
    quick.clock.forward(minutes=2)
    gone = quick.get(at)
    assert gone.status_code == 404
    assert "no longer here" in gone.text
    assert len(waiting(quick)) == 0


def test_it_is_forgotten_though_nobody_asks(quick: Bench, url: str, monkeypatch: pytest.MonkeyPatch):
    started = []

    class Timer:
        daemon = False

        def __init__(self, seconds: float, then: Callable[[], object]) -> None:
            self.seconds, self.then = seconds, then

        def start(self) -> None:
            started.append(self)

        def cancel(self) -> None:
            started.remove(self)

    monkeypatch.setattr(sheets_waiting, "Timer", Timer)
    send(quick, url, b"photo")
    send(quick, url, b"photo")
    [timer] = started
    quick.clock.forward(seconds=timer.seconds)
    timer.then()
    assert waiting(quick)._waiting == {}


def test_few_wait_at_once_and_together_they_take_little(
    quick: Bench, url: str, monkeypatch: pytest.MonkeyPatch
):
    ats = [send(quick, url, b"photo").url.path for _ in range(MOST_WAITING + 1)]
    assert quick.get(ats[0]).status_code == 404
    assert quick.get(ats[1]).status_code == 200
    monkeypatch.setattr(sheets_waiting, "MOST_BYTES", 3000)
    last = send(quick, url, b"p" * 2960).url.path
    assert [quick.get(at).status_code for at in (ats[-1], last)] == [404, 200]
    assert len(waiting(quick)) == 1


def test_what_was_dropped_while_it_was_read_does_not_come_back(bench: Bench):
    def dropping(asked: AskedSheet) -> SeenSheet:
        if asked.ticks is not None:
            assert held.take(one)
        return read_at_once(asked)

    held = SheetsWaiting(bench.clock, dropping)
    one = held.put("w", "s", AskedSheet((b"photo",), Circumstances()))
    held.with_ticks(one, (200.0, 175.0))
    assert len(held) == 0


def test_erasing_a_wearer_forgets_what_waits_of_them(quick: Bench, url: str):
    other = new(quick, "W42")
    at = send(quick, url, b"photo").url.path
    stays = send(quick, other, b"photo").url.path
    quick.post(f"{url}/erase", {"code": "W41"})
    assert quick.get(at).status_code == 404
    assert quick.get(stays).status_code == 200
    assert len(waiting(quick)) == 1


def test_logging_out_forgets_what_waits(quick: Bench, url: str):
    send(quick, url, b"photo")
    quick.post("/logout", {})
    assert len(waiting(quick)) == 0


def test_only_the_page_of_sheets_takes_a_photograph():
    def asked(path: str, method: str = "POST", kind: bytes = b"multipart/form-data; boundary=b") -> int:
        return most_bytes({"path": path, "method": method, "headers": [(b"content-type", kind)]})

    assert asked("/wearers/abc/sheet") == PHOTOGRAPH_BYTES == 40 * 1024**2
    for path in ("/wearers/abc/sheet/def", "/wearers/a/b/sheet", "/wearers/abc/edit", "/x/wearers/abc/sheet"):
        assert asked(path) == UPLOAD_BYTES, path
    assert asked("/wearers/abc/sheet", "PUT") == UPLOAD_BYTES
    assert asked("/wearers/abc/sheet", kind=b"application/x-www-form-urlencoded") < UPLOAD_BYTES


def test_a_larger_photograph_is_refused(quick: Bench, url: str):
    large = send(quick, url, b"x" * (3 * 1024**2))
    assert large.status_code == 200
    refused = send(quick, url, b"x" * PHOTOGRAPH_BYTES)
    assert refused.status_code == 413
    assert "40 MB" in refused.text
    elsewhere = quick.post(f"{url}/edit", {}, files={"photo": ("a", b"x" * UPLOAD_BYTES, "image/jpeg")})
    assert elsewhere.status_code == 413


def test_a_photograph_never_touches_the_disk(quick: Bench, url: str, monkeypatch: pytest.MonkeyPatch):
    def written(*_: Any) -> None:
        raise AssertionError("a photograph went to the disk")

    monkeypatch.setattr("tempfile.SpooledTemporaryFile.rollover", written)
    assert send(quick, url, b"x" * (3 * 1024**2)).status_code == 200


def test_without_the_token_nothing_is_read(quick: Bench, url: str):
    files = {"photo": ("p.jpg", b"photo", "image/jpeg")}
    answer = quick.client.post(f"{url}/sheet", data={"csrf": "x" * 43}, files=files)
    assert answer.status_code == 403
    assert len(waiting(quick)) == 0
    broken = quick.client.post(
        f"{url}/sheet", content=b"--", headers={"content-type": "multipart/form-data; boundary=b"}
    )
    assert broken.status_code in (400, 403)


def test_where_the_records_cannot_be_written_the_sheet_still_waits(
    quick: Bench, url: str, monkeypatch: pytest.MonkeyPatch
):
    at = send(quick, url, b"photo").url.path

    def full(*_: Any, **__: Any) -> None:
        raise RecordsError("There is no room left.", "Make room.")

    monkeypatch.setattr(sheet_kept, "keep_sheet", full)
    refused = quick.post(f"{at}/keep", {})
    assert refused.status_code == 503
    assert "no room left" in refused.text
    monkeypatch.undo()
    assert quick.post(f"{at}/keep", {}).url.path == url


def test_dropping_forgets_the_photograph_and_keeps_nothing(quick: Bench, url: str):
    at = send(quick, url, b"photo").url.path
    left = quick.post(f"{at}/drop", {})
    assert left.url.path == f"{url}/sheet"
    assert len(waiting(quick)) == 0
    assert sheet_kept.list_sheets(quick.records, id_of(url)) == []
    assert wearer_as_kept(quick.records, id_of(url)).readings == ()
    for end in ("", "/plan.png", "/photograph.jpg"):
        assert quick.get(at + end).status_code == 404
