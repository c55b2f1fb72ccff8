"""Screens to look at pages on, the vendored accessibility checks, and where pictures go."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

from playwright.sync_api import Page, ViewportSize

_REPOSITORY: Final = Path(__file__).resolve().parents[2]
_AXE: Final = Path(__file__).resolve().parents[1] / "vendor" / "axe.min.js"

#: Screenshots of every page, left for whoever wants to look; never committed.
ARTEFACTS: Final = _REPOSITORY / "artefacts" / "pages"

#: A phone held upright, and a desk.
SIZES: Final[dict[str, ViewportSize]] = {
    "phone": {"width": 390, "height": 844},
    "desk": {"width": 1280, "height": 900},
}

#: The ways in which a person may come to the pages, as a browser's context.
WAYS: Final[dict[str, dict[str, Any]]] = {
    "phone": {"viewport": SIZES["phone"], "has_touch": True},
    "desk": {"viewport": SIZES["desk"]},
    "no-scripts": {"viewport": SIZES["desk"], "java_script_enabled": False},
}


def complaints(page: Page) -> list[str]:
    """Return what the accessibility checks find wrong on a page (WCAG 2.2 A and AA)."""
    page.evaluate(_AXE.read_text(encoding="utf-8"))
    found: dict[str, Any] = page.evaluate(
        "axe.run(document, {runOnly: {type: 'tag',"
        " values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']}})"
    )
    return [
        f"{one['id']}: {one['help']}: {[node['html'][:160] for node in one['nodes']]}"
        for one in found["violations"]
    ]


def look(page: Page, name: str) -> None:
    """Leave pictures of a page by day and by night, and on paper's terms."""
    ARTEFACTS.mkdir(parents=True, exist_ok=True)
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        page.screenshot(path=ARTEFACTS / f"{name}-{scheme}.png", full_page=True, caret="initial")
    page.emulate_media(color_scheme="light")


def seen(page: Page, name: str, way: str) -> None:
    """Leave a picture of a page, and hold it to the accessibility checks where scripts can ask."""
    look(page, f"{name}-{way}")
    if way != "no-scripts":
        assert complaints(page) == [], name
        wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert wide <= 0, f"{name} scrolls sideways"
