"""The whole job as a fitter would do it: on a phone, at a desk, and without scripts."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.looking import WAYS, seen
from tests.browser.walk import keep_lasts, new_wearer, six_readings, write_down

pytestmark = pytest.mark.browser


@pytest.fixture(params=list(WAYS))
def way(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def test_from_a_new_wearer_to_the_boot_that_came(chromium: Browser, bench_at: str, way: str) -> None:
    lasts = keep_lasts(bench_at)
    context = chromium.new_context(**WAYS[way])
    page = context.new_page()
    problems: list[str] = []
    page.on("console", lambda message: problems.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: problems.append(str(error)))

    new_wearer(page, bench_at)
    seen(page, "wearer-new", way)
    page.get_by_role("link", name=re.compile("Read (both|the) feet")).first.click()
    seen(page, "foot-empty", way)
    six_readings(page, slip="12")
    seen(page, "foot-read", way)
    write_down(page)
    seen(page, "wearer", way)

    page.get_by_role("link", name="What to order").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("What to order")
    before = page.locator(".figures").all_inner_texts()
    seen(page, "order", way)
    page.get_by_label("thick").check()
    page.get_by_label("hot", exact=True).check()
    if way == "no-scripts":
        page.get_by_role("button", name="Show this moment").click()
    expect(page.locator("#answer")).to_contain_text("For one moment: thick sock")
    assert page.locator(".figures").all_inner_texts() != before
    seen(page, "order-hot", way)

    card = page.get_by_role("link", name="A4").get_attribute("href")
    assert card is not None
    paper = context.request.get(f"{bench_at}{card}")
    assert (paper.status, paper.body()[:5]) == (200, b"%PDF-")

    page.get_by_role("button", name=re.compile("^Order ")).first.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Tess Wearer")
    seen(page, "pair-ordered", way)
    page.get_by_role("button", name="It has come").click()
    expect(page.get_by_role("button", name="It is kept")).to_be_visible()
    seen(page, "pair-arrived", way)

    for name in ("pairs", "lasts", "letters", "gauge", "settings", "wearers"):
        page.goto(f"{bench_at}/{name}")
        seen(page, name, way)
    page.goto(f"{bench_at}/lasts/{lasts[0]['id']}")
    seen(page, "last", way)
    page.goto(f"{bench_at}/makers/{lasts[0]['maker_id']}")
    seen(page, "maker", way)
    # A question that a newer one replaced is dropped by design, and htmx calls that an error.
    dropped = ("htmx:sendAbort", "htmx:afterRequest")
    assert [problem for problem in problems if not problem.startswith(dropped)] == []
    context.close()
