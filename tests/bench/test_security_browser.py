"""What another site can do to a bench, in a real browser: nothing."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest
from playwright.sync_api import Browser, Page, expect

pytestmark = pytest.mark.browser

_ELSEWHERE = """<!doctype html><title>Elsewhere</title>
<form method="post" action="{bench}settings/fitter">
<input name="fitter" value="EVIL"><input name="back" value="/settings"><button>Win a prize</button></form>
<a href="{bench}settings">To the bench</a>
<iframe src="{bench}settings" title="The bench"></iframe>"""


@pytest.fixture
def page(chromium: Browser) -> Iterator[Page]:
    context = chromium.new_context()
    yield context.new_page()
    context.close()


@pytest.fixture
def root(bench_at: str) -> str:
    return bench_at.rstrip("/") + "/"


@pytest.fixture
def elsewhere(root: str) -> Iterator[Callable[[str], str]]:
    """Return what gives another site's address under a name of this machine."""
    with ExitStack() as running:

        class Site(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                self.send_response(200)
                self.send_header("Content-Type", "text/html")
                self.end_headers()
                self.wfile.write(_ELSEWHERE.format(bench=root).encode())

            def log_message(self, *_: object) -> None:
                pass

        def start(name: str) -> str:
            server = running.enter_context(ThreadingHTTPServer(("127.0.0.1", 0), Site))
            threading.Thread(target=server.serve_forever, daemon=True).start()
            running.callback(server.shutdown)
            return f"http://{name}:{server.server_port}/"

        yield start


@pytest.fixture
def signed(page: Page, root: str) -> Page:
    """Return a page at the settings, signed by a fitter."""
    page.goto(f"{root}settings")
    page.get_by_label("Fitter's initials").fill("QB")
    page.get_by_role("button", name="Sign with these").click()
    expect(page.get_by_label("Fitter's initials")).to_have_value("QB")
    return page


# The second is another port of the same machine: browsers send it the bench's cookie all the same.
@pytest.mark.parametrize("name", ["localhost", "127.0.0.1"])
def test_another_site_writes_nothing(signed: Page, root: str, elsewhere: Callable[[str], str], name: str):
    signed.goto(elsewhere(name))
    signed.get_by_role("button").click()
    expect(signed.get_by_role("heading")).to_contain_text("did not come from the bench's own pages")
    signed.goto(f"{root}settings")
    expect(signed.get_by_label("Fitter's initials")).to_have_value("QB")


@pytest.mark.parametrize("name", ["localhost", "127.0.0.1"])
def test_a_link_from_another_site_keeps_the_session(signed: Page, elsewhere: Callable[[str], str], name: str):
    signed.goto(elsewhere(name))
    signed.get_by_role("link").click()
    expect(signed.get_by_role("heading", name="Settings")).to_be_visible()
    expect(signed.get_by_label("Fitter's initials")).to_have_value("QB")


def test_another_site_frames_nothing(page: Page, elsewhere: Callable[[str], str]):
    page.goto(elsewhere("127.0.0.1"))
    expect(page.frame_locator("iframe").get_by_text("Settings")).to_have_count(0)
    (frame,) = page.main_frame.child_frames
    assert frame.url.startswith("chrome-error:")


def test_nothing_written_into_a_page_runs(signed: Page):
    # What the browser's tools evaluate is let through, so the page itself does it, a moment later.
    signed.evaluate(
        """() => {
          const script = document.createElement("script");
          script.textContent = "window.ran = true";
          document.body.append(script);
          document.body.insertAdjacentHTML("beforeend", "<img src='/none' onerror='window.ran = true'>");
          document.body.insertAdjacentHTML("beforeend", "<p id='styled' style='position:fixed'>x</p>");
          setTimeout(() => {
            try { eval("window.ran = true"); } catch (error) { window.refused = error.name; }
          });
        }"""
    )
    signed.wait_for_timeout(300)
    assert signed.evaluate("window.refused") == "EvalError"
    assert signed.evaluate("window.ran") is None
    assert signed.evaluate("getComputedStyle(document.getElementById('styled')).position") == "static"
