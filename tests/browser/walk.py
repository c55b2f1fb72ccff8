"""What a fitter does at the pages, one step a function."""

from __future__ import annotations

import json
import urllib.request
from typing import Any, Final

from playwright.sync_api import Page, expect

LASTS: Final = (
    {"code": "N7", "maker": "Northmoor", "label_scale": "us-men", "sizes": "6-13 by 1/2", "widths": "B, D"},
    {"code": "Q2", "maker": "Quernmere", "label_scale": "us-men", "sizes": "7-12", "widths": "D, EE"},
)


def ask(address: str, path: str, body: dict[str, Any] | None = None) -> Any:
    """Ask the JSON API, as a program on the same machine may."""
    data = None if body is None else json.dumps(body).encode()
    request = urllib.request.Request(
        f"{address}/api/v1{path}", data=data, headers={"content-type": "application/json"}
    )
    with urllib.request.urlopen(request, timeout=20) as answer:
        return json.load(answer)


def keep_lasts(address: str) -> list[dict[str, Any]]:
    """Keep two lasts, of which one maker has said how it runs."""
    kept = [ask(address, "/lasts", last) for last in LASTS]
    ask(address, f"/lasts/{kept[0]['id']}/advice", {"order": "-1/2", "origin": "letter"})
    return kept


def new_wearer(page: Page, address: str, *, code: str = "W12", name: str = "Tess Wearer") -> None:
    page.goto(f"{address}/wearers")
    page.get_by_role("link", name="New wearer").click()
    page.get_by_label("Code").fill(code)
    page.get_by_label("Name", exact=True).fill(name)
    page.locator("input[name=population][value=men]").check()
    page.get_by_role("button", name="Write it down").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text(name)


def tap(page: Page, *marks: str) -> None:
    """Tap marks one after another; each has to be taken before the next is there."""
    for mark in marks:
        asked = page.locator("#ask").inner_text()
        page.locator(".targets").get_by_role("button", name=mark, exact=True).click()
        expect(page.locator("#ask")).not_to_have_text(asked)


def own_line(page: Page) -> None:
    """Tap that the breadth was read at the foot's own ball size."""
    asked = page.locator("#ask").inner_text()
    page.locator(".targets button[name=own]").click()
    expect(page.locator("#ask")).not_to_have_text(asked)


def six_readings(page: Page, *, slip: str | None = None) -> None:
    """Read both feet, the right length perhaps slipped first and put right when it is questioned."""
    tap(page, slip or "10", "10", "D")
    own_line(page)
    tap(page, "10", "10", "D")
    own_line(page)
    if slip is not None:
        question = page.locator(".slip").first
        expect(question).to_be_visible()
        question.get_by_role("link", name="Read it again").click()
        expect(page.locator("#ask")).to_have_text("Right length")
        tap(page, "10")
        expect(page.locator(".slip")).to_have_count(0)


def write_down(page: Page) -> None:
    page.get_by_role("button", name="Write it down").click()
    expect(page.get_by_role("heading", name="Readings")).to_be_visible()
