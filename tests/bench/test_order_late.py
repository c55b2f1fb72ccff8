"""The order page in a browser: the day moves the answer at once, and a late answer is dropped."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator

import pytest
import uvicorn
from playwright.sync_api import Browser, Error, Page, Route

from heelball.bench.app import make_app
from heelball.bench.settings import Settings
from heelball.records.store import open_records
from heelball.records.values import Author
from tests.bench.conftest import BEGINNING, Clock
from tests.browser.looking import SIZES, complaints, look
from tests.browser.served import free_port
from tests.kept_wearers import DAY, gauge_readings, keep_lasts, keep_wearer

pytestmark = pytest.mark.browser

BY = Author("QB", BEGINNING)


@pytest.fixture(scope="module")
def order_url(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Yield the address of one wearer's order page, at a bench served from this process."""
    folder, clock, port = tmp_path_factory.mktemp("bench"), Clock(), free_port()
    records = open_records(folder / "records", now=clock())
    keep_lasts(records, 8, by=BY)
    wearer = keep_wearer(records, "W12", gauge_readings("10", "10 1/2", "D"), day=DAY, by=BY)
    address = f"http://127.0.0.1:{port}/"
    app = make_app(Settings(data_folder=folder, port=port, address=address, clock=clock), records)
    server = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=port, log_level="error"))
    thread = threading.Thread(target=server.run)
    thread.start()
    while not server.started:
        time.sleep(0.02)
    yield f"{address}wearers/{wearer}/order"
    server.should_exit = True
    thread.join(20)
    records.close()


@pytest.fixture(params=SIZES)
def page(request: pytest.FixtureRequest, chromium: Browser, order_url: str) -> Iterator[Page]:
    context = chromium.new_context(viewport=SIZES[request.param])
    page = context.new_page()
    page.set_default_timeout(15_000)
    page.goto(order_url)
    yield page
    context.close()


def shown_for(page: Page) -> str:
    return page.locator(".shown-for p").inner_text()


def test_each_change_of_the_day_moves_answer_and_picture(page: Page):
    before = page.locator("figure").inner_html()
    page.locator("#hours").fill("9")
    page.locator("#hours").press("Tab")
    page.get_by_text("For one moment: medium sock, foot swollen.").wait_for()
    assert page.locator("figure").inner_html() != before
    # Where one was typing, one goes on typing.
    assert page.evaluate("document.activeElement.id") == "insole"
    page.get_by_role("button", name="Show the wearer's own day").click()
    page.get_by_text("For the wearer's own day.").wait_for()
    assert page.locator("figure").inner_html() == before


def test_an_answer_that_comes_after_a_later_question_is_dropped(page: Page):
    waiting: list[Route] = []

    def hold_the_first(route: Route) -> None:
        if waiting:
            route.continue_()
        else:
            waiting.append(route)

    page.route("**/order/day", hold_the_first)
    page.get_by_label("thick").check()
    page.wait_for_function("document.querySelector('#day-form').classList.contains('htmx-request')")
    page.get_by_label("thin").check()
    page.get_by_text("For one moment: thin sock").wait_for()
    try:
        waiting[0].continue_()
        page.wait_for_timeout(1500)
    except Error:
        # The browser has given the first question up already.
        pass
    assert shown_for(page).startswith("For one moment: thin sock")


def test_what_cannot_be_read_is_marked_beside_its_field_and_mended(page: Page):
    page.locator("#hours").fill("all day")
    page.locator("#hours").press("Tab")
    page.locator("#hours-wrong", has_text="wanted hours, 0 to 24").wait_for()
    page.locator('#hours[aria-invalid="true"]').wait_for()
    assert page.locator("#hours").input_value() == "all day"
    page.locator("#hours").fill("9")
    page.locator("#hours").press("Tab")
    page.get_by_text("For one moment: medium sock, foot swollen.").wait_for()
    page.locator("#hours:not([aria-invalid])").wait_for()
    assert page.locator("#hours-wrong").inner_text() == ""


def test_another_last_is_told_in_full_and_stays_so(page: Page):
    last = page.get_by_role("button", name="Look at").first
    code = last.inner_text().removeprefix("Look at ")
    last.click()
    page.locator("#looked-at", has_text=f"{code} by").wait_for()
    page.get_by_label("thick").check()
    page.get_by_text("For one moment: thick sock").wait_for()
    assert page.locator("#looked-at").inner_text().startswith(f"{code} by")


def test_nothing_on_the_page_keeps_anyone_out(page: Page):
    assert complaints(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]  # type: ignore[index]
    small = page.evaluate(
        "[...document.querySelectorAll('main button, main input:not([type=hidden]):not([type=radio])')]"
        ".filter(one => one.getBoundingClientRect().height < 44).map(one => one.outerHTML)"
    )
    assert small == []
    look(page, f"order-{page.viewport_size['width']}")  # type: ignore[index]


def test_without_scripts_the_button_asks(chromium: Browser, order_url: str):
    context = chromium.new_context(viewport=SIZES["phone"], java_script_enabled=False)
    page = context.new_page()
    page.goto(order_url)
    page.get_by_label("thick").check()
    page.locator("#hours").fill("9")
    page.get_by_role("button", name="Show this moment").click()
    assert "For one moment: thick sock, foot swollen." in page.content()
    page.get_by_role("button", name="Look at").first.click()
    assert "For one moment: thick sock, foot swollen." in page.content()
    assert page.locator("#hours").input_value() == "9"
    context.close()
