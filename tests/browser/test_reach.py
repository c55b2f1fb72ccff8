"""Pages for eyes, hands and screens of every kind: keyboard, zoom, night, little motion, a slow network."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import suppress
from typing import Final

import pytest
from playwright.sync_api import Browser, Page, Route, expect
from playwright.sync_api import Error as PlaywrightError

from tests.browser.looking import SIZES, complaints
from tests.browser.walk import keep_lasts, new_wearer, six_readings, write_down

pytestmark = pytest.mark.browser

#: The control in focus: a mark of its own, its text, and whether a ring is seen on it or its label.
_FOCUSED: Final = """(() => {
  const one = document.activeElement;
  if (!one || one === document.body) return null;
  one.dataset.walked ??= String(Math.random());
  const near = one.matches("input[type=radio], input[type=checkbox]") ? one.closest("label") : one;
  const ringed = [one, near ?? one].map(each => getComputedStyle(each)).some(
    style => style.outlineStyle !== "none" && parseFloat(style.outlineWidth) > 0);
  return [one.dataset.walked, one.outerHTML.slice(0, 120), ringed];
})()"""


@pytest.fixture
def page(chromium: Browser) -> Iterator[Page]:
    context = chromium.new_context(viewport=SIZES["desk"])
    yield context.new_page()
    context.close()


@pytest.fixture
def fitted(page: Page, bench_at: str) -> Page:
    """Return a page at a wearer whose feet are read, with lasts to order from."""
    keep_lasts(bench_at)
    new_wearer(page, bench_at)
    page.get_by_role("link", name=re.compile("Read (both|the) feet")).first.click()
    six_readings(page)
    write_down(page)
    return page


def addresses(page: Page) -> list[str]:
    """Return the pages that stand behind the wearer's page, and the lists."""
    here = page.url
    root = here.split("/wearers/")[0]
    lists = [f"{root}/{name}" for name in ("wearers", "lasts", "pairs", "letters", "gauge", "settings")]
    return [here, f"{here}/foot", f"{here}/order", f"{here}/history", f"{here}/sheet", *lists]


def test_six_readings_take_no_keyboard_and_at_most_twenty_taps(page: Page, bench_at: str) -> None:
    new_wearer(page, bench_at)
    page.get_by_role("link", name=re.compile("Read (both|the) feet")).first.click()
    page.evaluate("window.taps = 0; document.addEventListener('click', () => { window.taps += 1 }, true)")
    six_readings(page)
    assert page.evaluate("window.taps") <= 20


def test_targets_are_large_enough_for_a_thumb(fitted: Page) -> None:
    fitted.goto(f"{fitted.url}/foot")
    small = fitted.evaluate(
        "[...document.querySelectorAll('#entering button')].filter(one => one.offsetParent)"
        ".map(one => [one.textContent.trim(), one.offsetWidth, one.offsetHeight])"
        ".filter(([, wide, high]) => wide < 44 || high < 44)"
    )
    assert small == []


def test_by_night_every_page_passes_the_same_checks(fitted: Page) -> None:
    fitted.emulate_media(color_scheme="dark")
    for address in addresses(fitted):
        fitted.goto(address)
        assert complaints(fitted) == [], address


@pytest.mark.parametrize("width", [640, 320])
def test_twice_and_four_times_as_large_nothing_scrolls_sideways(fitted: Page, width: int) -> None:
    """A desk of 1280 px at 200 % leaves 640, at 400 % 320 (WCAG 1.4.10)."""
    fitted.set_viewport_size({"width": width, "height": 600})
    for address in addresses(fitted):
        fitted.goto(address)
        wide = fitted.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert wide <= 0, address


def test_with_the_keyboard_alone_every_control_is_reached_and_seen(fitted: Page) -> None:
    for address in addresses(fitted)[:4]:
        fitted.goto(address)
        controls = fitted.evaluate(
            "[...document.querySelectorAll('a[href], button, input, select, textarea, summary')]"
            ".filter(one => one.checkVisibility() && !one.disabled && one.type !== 'hidden'"
            " && !(one.type === 'radio' && !one.checked)).length"
        )
        seen: set[str] = set()
        for _ in range(controls + 5):
            fitted.keyboard.press("Tab")
            told = fitted.evaluate(_FOCUSED)
            if told is None:
                continue
            mark, html, ringed = told
            assert ringed, f"no focus to see: {html}"
            seen.add(mark)
        assert len(seen) >= controls, address


def test_where_little_motion_is_wanted_nothing_moves(fitted: Page) -> None:
    fitted.emulate_media(reduced_motion="reduce")
    for address in addresses(fitted):
        fitted.goto(address)
        moving = fitted.evaluate(
            "[...document.querySelectorAll('*')].map(one => getComputedStyle(one))"
            ".filter(s => parseFloat(s.transitionDuration) > 0.01 || parseFloat(s.animationDuration) > 0.01)"
            ".length"
        )
        assert moving == 0, address


def test_an_answer_that_comes_late_is_dropped(fitted: Page) -> None:
    fitted.get_by_role("link", name="What to order").click()
    held: list[Route] = []

    def delay(route: Route) -> None:
        if not held:
            held.append(route)  # the first question's answer waits
        else:
            route.continue_()

    fitted.route("**/order/day", delay)
    fitted.get_by_label("thick").check()
    expect.set_options(timeout=5000)
    fitted.wait_for_timeout(200)
    assert held, "the change asked nothing"
    fitted.get_by_label("thin").check()
    expect(fitted.locator("#answer")).to_contain_text(re.compile("thin sock", re.IGNORECASE))
    with suppress(PlaywrightError):  # where the browser has given the first question up already
        held[0].continue_()
    fitted.wait_for_timeout(500)
    expect(fitted.locator("#answer")).to_contain_text(re.compile("thin sock", re.IGNORECASE))
    assert "thick sock" not in fitted.locator("#answer").inner_text()


def test_no_page_asks_another_host_for_anything(fitted: Page) -> None:
    asked: list[str] = []
    fitted.on("request", lambda request: asked.append(request.url))
    for address in addresses(fitted):
        fitted.goto(address)
    root = fitted.url.rsplit("/", 1)[0]
    assert len(asked) > 20
    assert [url for url in asked if not url.startswith((root, "data:"))] == []


def test_no_name_and_no_code_stands_in_an_address(fitted: Page) -> None:
    asked: list[str] = []
    fitted.on("request", lambda request: asked.append(request.url))
    for address in addresses(fitted):
        fitted.goto(address)
    fitted.goto(f"{fitted.url.rsplit('/', 1)[0]}/wearers")
    fitted.get_by_label("Name or code").press_sequentially("Tess", delay=30)
    expect(fitted.locator("#found")).to_contain_text("Tess Wearer")
    assert [url for url in asked if "tess" in url.lower() or "W12" in url] == []
