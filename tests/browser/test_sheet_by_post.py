"""A sheet that came by post, as a fitter takes it: on a phone, at a desk, and without scripts."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.looking import WAYS, seen
from tests.browser.walk import new_wearer
from tests.sheet.photographs import take

pytestmark = pytest.mark.browser


#: A right foot, small as a messenger leaves pictures; both its bars were measured as 150 mm.
SEED = 2


def send(page: Page, content: bytes) -> None:
    photo: Any = {"name": "photo.jpg", "mimeType": "image/jpeg", "buffer": content}
    page.get_by_label("Photograph of one foot’s sheet").set_input_files(photo)
    page.get_by_label("Long bar").fill("150")
    page.get_by_label("Bar across").fill("150")
    page.get_by_role("button", name="Read the photograph").click()


def _within(mm: float, of: float) -> re.Pattern[str]:
    """Return a pattern of a figure with one decimal, no farther than so from another."""
    steps = range(-round(10 * of), round(10 * of) + 1)
    return re.compile("|".join(re.escape(f"{mm + step / 10:.1f}") for step in steps))


@pytest.mark.parametrize("way", list(WAYS))
def test_a_photograph_is_read_its_tick_pressed_and_its_readings_kept(
    chromium: Browser, bench_at: str, way: str
) -> None:
    content = take(SEED).content
    context = chromium.new_context(**WAYS[way])
    page = context.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    new_wearer(page, bench_at)
    page.get_by_role("link", name="Measured by post").click()
    seen(page, "sheet", way)
    send(page, b"no picture")
    expect(page.locator("#f-photo-wrong")).to_contain_text("JPEG")
    expect(page.get_by_label("Long bar")).to_have_value("150")
    seen(page, "sheet-refused", way)

    send(page, content)
    expect(page.get_by_role("heading", level=1)).to_have_text("The right foot’s sheet")
    seen(page, "sheet-seen", way)
    before = float(page.get_by_label("Inner tick").input_value())
    picture = page.locator("input.press")
    drawn = picture.bounding_box()
    assert drawn is not None
    # It stands at its own size, so that a pixel pressed is a pixel meant; the inner side is at the left.
    assert drawn["width"] == float(picture.get_attribute("width") or 0)
    assert drawn["height"] == float(picture.get_attribute("height") or 0)
    picture.click(position={"x": 20.0, "y": 200.0})
    expect(page.get_by_text("The ticks were moved by the fitter.")).to_be_visible()
    after = float(page.get_by_label("Inner tick").input_value())
    picture.click(position={"x": 20.0, "y": 235.0})
    expect(page.get_by_label("Inner tick")).not_to_have_value(f"{after:.1f}")
    # 35 pixels down are 20 mm toward the heel.
    assert float(page.get_by_label("Inner tick").input_value()) == pytest.approx(after - 20, abs=1.5)
    page.get_by_label("Inner tick").fill(f"{before:.1f}")
    page.get_by_role("button", name="Move the ticks").click()
    # The tick stands on the nearest point of the line, of which there is one every quarter millimetre.
    expect(page.get_by_label("Inner tick")).to_have_value(_within(before, 0.2))

    page.get_by_label("The wearer agreed").check()
    page.get_by_role("button", name="Keep the readings").click()
    expect(page.get_by_role("heading", name="Readings")).to_be_visible()
    page.get_by_role("link", name="Measured by post").click()
    expect(page.get_by_role("heading", name="Sheets that are kept")).to_be_visible()
    seen(page, "sheet-kept", way)
    page.get_by_role("button", name="Forget the picture").click()
    expect(page.get_by_text("not kept")).to_be_visible()
    assert [url for url in asked if not url.startswith(bench_at)] == []
    context.close()
